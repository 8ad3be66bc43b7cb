use super::*;
use crate::Rules;

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn tank(length: &str, width: &str, rules: &Rules) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"{width}\"\nheight = \"63 cm\"\n\
         pane = \"10 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n"
    );
    Tank::read("t.toml", &text, rules).unwrap()
}

#[test]
fn the_law_holds_so_far_as_the_water_that_comes_back_has_room() {
    let rules = Rules::compiled_in().unwrap();
    let tank = tank("200 cm", "62 cm", &rules);
    // 60 cm of water between panes 60 cm apart, worked by hand: one and a half times 60 cm.
    let holds = range(&tank, &rules.stream).si();
    assert!((holds - 0.9).abs() < 1e-9);
    // Straight across from the back pane it is the section along the tank that counts; out of a corner it is
    // not.
    let point = |x: f64, y: f64| Point { x: metres(x), y: metres(y), z: metres(0.3) };
    let on = |to_x: f64| {
        range_on(
            &Course { from: point(0.2, 0.6), to: point(to_x, 0.0), way: metres(1.0) },
            &tank,
            &rules.stream,
        )
        .si()
    };
    assert!((on(0.4) - 1.5 * (1.98_f64 * 0.6).sqrt()).abs() < 1e-9);
    assert!((on(1.2) - holds).abs() < 1e-12);
}

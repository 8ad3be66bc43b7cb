use crate::decide::stream::range;
use crate::quantity::Dimension;
use crate::sheet::Value;
use crate::{Catalogue, Rules, Sheet, Tank};

fn tank(length: &str, width: &str, rules: &Rules) -> Tank {
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"{width}\"\nheight = \"63 cm\"\n\
         pane = \"10 mm\"\nfill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n"
    );
    Tank::read("t.toml", &text, rules).unwrap()
}

#[test]
fn the_table_ends_where_the_law_does() {
    let rules = Rules::compiled_in().unwrap();
    let rows = |tank: &Tank| {
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), tank).unwrap();
        (sheet.tables["stream_slowing"].rows.len(), sheet.figure("stream.beyond").is_some())
    };
    // 60 cm deep and 70 cm wide: one and a half times 64.8 cm, so that the table ends with 90 cm.
    let within = rules.stream.distances.iter().filter(|distance| distance.si() <= 0.9).count();
    assert_eq!(rows(&tank("200 cm", "72 cm", &rules)), (within, true));
    assert!(!rows(&tank("70 cm", "62 cm", &rules)).1);
}

#[test]
fn no_place_along_a_stream_reaches_farther_than_its_law() {
    let rules = Rules::compiled_in().unwrap();
    let tank = tank("200 cm", "62 cm", &rules);
    let holds = range(&tank, &rules.stream).si();
    let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &tank).unwrap();
    let mut at_the_end = 0;
    for table in ["speeds_round", "speeds_sheet"].map(|id| &sheet.tables[id]) {
        for figure in table.figures().filter(|figure| figure.id.ends_with("up_to")) {
            let Value::One(up_to) = &figure.value else { panic!("{figure:?}") };
            assert!(up_to.si <= holds, "{figure:?}");
            at_the_end += usize::from(holds - up_to.si < 1e-12);
        }
        assert!(!format!("{:?}", table.rows).contains("the far glass"), "{table:?}");
    }
    // The round stream is still right for some animals there.
    assert!(at_the_end > 0);
}

use crate::{Catalogue, Rules, Sheet, Tank};

#[test]
fn a_square_tank_is_told_one_swing_and_another_both() {
    let rules = Rules::compiled_in().unwrap();
    let columns = |width: &str| {
        let text = format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"40 cm\"\nwidth = \"{width}\"\nheight = \"40 cm\"\npane = \"6 mm\"\n\
             fill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n"
        );
        let tank = Tank::read("t.toml", &text, &rules).unwrap();
        let sheet = Sheet::reckon(&rules, &Catalogue::empty(), &tank).unwrap();
        (
            sheet.tables["waves_pulses"].heads.len(),
            sheet.tables["waves_slosh"].rows.len(),
            sheet.figure("waves.wide").is_some(),
        )
    };
    assert_eq!((columns("40 cm"), columns("39 cm")), ((2, 3, false), (3, 6, true)));
}

use super::*;

#[test]
fn a_tank_whose_pump_works_in_no_team_is_told_of_two_that_fit_it() {
    let rules = crate::Rules::compiled_in().unwrap();
    let catalogue =
        Catalogue::read("pumps.toml", &std::fs::read_to_string("../book/pumps.toml").unwrap()).unwrap();
    let tank = |length: &str| {
        let text = format!(
            "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"{length}\"\nwidth = \"40 cm\"\nheight = \"40 cm\"\npane = \"6 mm\"\n\
             fill_line = \"2 cm\"\n[livestock]\nnow = \"soft\"\n"
        );
        Tank::read("t.toml", &text, &rules).unwrap()
    };
    for (length, model) in [("20 cm", "Runnel 3"), ("90 cm", "Runnel 4")] {
        let (found, setting) = smallest_able(&rules, &catalogue, &tank(length)).unwrap().unwrap();
        assert!(
            found.model == model
                && setting.0 * rules.team.example_low.0 >= found.lowest_setting.0 - 1e-9
                && setting.0 <= 1.0,
            "{length}: {} {setting:?}",
            found.model
        );
    }
}

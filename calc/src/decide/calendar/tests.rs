use super::*;

fn date(text: &str) -> Date {
    Date::parse(text).unwrap()
}

fn dues(more: &str) -> Vec<Due> {
    let rules = Rules::compiled_in().unwrap();
    let text = format!(
        "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"90 cm\"\nwidth = \"45 cm\"\nheight = \"45 cm\"\npane = \"8 mm\"\n[livestock]\nnow = \"soft\"\n{more}"
    );
    due(&rules, &Tank::read("t.toml", &text, &rules).unwrap(), date("2026-03-01"))
}

const TWO_PUMPS: &str = "[[pump]]\nname = \"left\"\nmodel = \"A\"\nwall = \"left\"\nheight = \"20 cm\"\n[[pump]]\nname = \"right\"\nmodel = \"A\"\nwall = \"right\"\nheight = \"20 cm\"\n";

#[test]
fn nothing_is_due_on_the_day_on_which_all_was_done_and_the_daily_look_is_not_written_down() {
    for more in ["", TWO_PUMPS, "[battery]\nenergy = \"300 Wh\"\nchemistry = \"lead-acid\"\n"] {
        let dues = dues(more);
        assert!(
            !dues.is_empty()
                && dues.iter().all(|due| due.first > date("2026-03-01") && due.care != Care::Look),
            "{dues:?}"
        );
    }
}

#[test]
fn pumps_are_bathed_one_after_the_other() {
    let baths = dues(TWO_PUMPS).into_iter().filter(|due| due.care == Care::AcidBath).collect::<Vec<_>>();
    let days: Vec<_> = baths.iter().map(|due| (due.pump.as_deref(), due.first)).collect();
    assert_eq!(days, [(Some("left"), date("2026-05-01")), (Some("right"), date("2026-05-06"))]);
    // Without pumps in the file one bath stands for all.
    assert_eq!(
        dues("")
            .iter()
            .filter(|due| due.care == Care::AcidBath)
            .map(|due| due.pump.clone())
            .collect::<Vec<_>>(),
        [None]
    );
}

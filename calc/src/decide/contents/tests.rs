use super::*;
use crate::quantity::Dimension;
use crate::rules::Rules;
use crate::trace::record;

/// The net water of a tank with the given sand and rock, and the rules that it read.
fn net_of(rest: &str) -> (f64, Vec<String>) {
    let rules = Rules::compiled_in().unwrap();
    let head = "name = \"T\"\n[glass]\nshape = \"box\"\nlength = \"62 cm\"\nwidth = \"52 cm\"\nheight = \"41 cm\"\n\
                pane = \"1 cm\"\n[livestock]\nnow = \"soft\"\n";
    let tank = Tank::read("t.toml", &format!("{head}{rest}"), &rules).unwrap();
    let (net, trace) = record(|| net(&tank, &rules.volume));
    (net.si() * 1e3, trace.rules().map(|place| rules.all[place].id.to_string()).collect())
}

#[test]
fn net_water_reads_only_the_rules_that_move_it() {
    let filled = net_of("").0;
    let [sand, own_sand, judged, weighed] = [
        "[sand]\ndepth = \"5 cm\"\ngrain = \"1 mm\"",
        "[sand]\ndepth = \"5 cm\"\ngrain = \"1 mm\"\nporosity = \"50 %\"",
        "[rock]\nshare = \"10 %\"",
        "[rock]\nmass = \"10 kg\"",
    ]
    .map(net_of);
    assert_eq!(net_of("").1, Vec::<String>::new());
    assert_eq!(sand.1, ["volume.sand_porosity"]);
    assert_eq!((own_sand.1, judged.1), (Vec::new(), Vec::new()));
    let mut rules = weighed.1;
    rules.sort();
    assert_eq!(rules, ["volume.mineral_density", "volume.rock_porosity"]);
    // 60 × 50 cm under 5 cm of sand, half of it grains; and a tenth of the water.
    assert!((filled - own_sand.0 - 7.5).abs() < 1e-9);
    assert!((judged.0 - 0.9 * filled).abs() < 1e-9);
}

#[test]
fn a_rear_chamber_takes_its_water_away() {
    // 60 cm by 50 cm by 40 cm of water; the chamber takes 10 cm of the width.
    assert!((net_of("").0 - 120.0).abs() < 1e-9);
    let chamber = net_of("[rear_chamber]\ndepth = \"10 cm\"").0;
    assert!((chamber - (120.0 - 0.6 * 0.1 * 0.4 * 1e3)).abs() < 1e-9, "{chamber}");
}

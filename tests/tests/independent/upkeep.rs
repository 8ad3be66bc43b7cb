//! Acid baths: `tests/independent/upkeep*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::upkeep::{acetic_acid, citric_acid, citric_crystals, vinegar_scale};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{Mass, Volume};

#[test]
fn standard_atomic_weights_in_two_libraries() {
    let rules = Rules::compiled_in().unwrap();
    for row in independent("upkeep_molar_mass").rows() {
        let got = match row.text("substance") {
            "citric_acid" => *rules.upkeep.citric_acid,
            "citric_monohydrate" => *rules.upkeep.citric_monohydrate,
            "acetic_acid" => *rules.upkeep.acetic_acid,
            "scale" => *rules.upkeep.scale,
            "oxygen" => *rules.oxygen.molar_mass,
            other => panic!("unknown substance {other}"),
        };
        let reason = "the libraries use editions that differ in the fourth decimal";
        for library in ["molmass", "chemicals"] {
            assert_within(row.text("substance"), got.si() * 1e3, row.number(library), 0.001, reason);
        }
    }
}

#[test]
fn molmass_stoichiometry_of_descaling() {
    let rules = Rules::compiled_in().unwrap().upkeep;
    for row in independent("upkeep").rows() {
        let acid = Mass::from_si(1.0);
        let scale = match row.text("acid") {
            "citric" => citric_acid(acid, &rules),
            "citric_monohydrate" => citric_crystals(acid, &rules),
            "acetic" => acetic_acid(acid, &rules),
            other => panic!("unknown acid {other}"),
        };
        let got = scale.unwrap().si();
        assert_within(
            row.text("acid"),
            got,
            row.number("scale"),
            1e-5,
            "molar masses rounded to 0.001 g/mol",
        );
    }
}

/// At 4 g of acetic acid in 100 mL, the floor of FDA compliance policy guide 525.825, a litre of vinegar
/// dissolves 33.3 g: computed outside this project with molmass 2026.1.8 as 3.333339939 g in 100 mL.
#[test]
fn fda_525_825_vinegar_dissolves_its_share() {
    let rules = Rules::compiled_in().unwrap().upkeep;
    let vinegar = Volume::from_si(0.01);
    let for_each_litre = vinegar_scale(vinegar, &rules).unwrap().si() / vinegar.si();
    assert_within(
        "scale, g in 100 mL of vinegar",
        for_each_litre * 0.1,
        3.333339939,
        1e-4,
        "molar masses rounded to 0.001 g/mol",
    );
}

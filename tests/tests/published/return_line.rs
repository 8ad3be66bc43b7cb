//! Friction in pipes: `tests/published/return_line_examples.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::return_line::{Fluid, Pipe, friction_factor, head_loss, reynolds, speed};
use reckoner_calc::quantity::{Dimension, parse};
use reckoner_calc::rules::return_line::ReturnLineRules;
use reckoner_tests::{assert_within, published};
use uom::si::f64::{DynamicViscosity, Length, MassDensity, VolumeRate};
use uom::si::{
    length::foot, length::inch, mass_density::pound_per_cubic_foot, volume_rate::cubic_foot_per_second,
};

fn rules() -> ReturnLineRules {
    Rules::compiled_in().unwrap().return_line
}

fn assert_examples_of(source: &str, count: usize) {
    let table = published("return_line_examples");
    let rows: Vec<_> = table.rows().filter(|row| row.text("source") == source).collect();
    assert_eq!(rows.len(), count, "{source}");
    for row in rows {
        let got = friction_factor(row.number("Re"), row.number("eD"), &rules()).unwrap();
        let what = format!("{source} at Re {} and e/D {}", row.text("Re"), row.text("eD"));
        assert_within(
            &what,
            got,
            row.number("f"),
            row.number("tolerance") * row.number("f"),
            row.text("reason"),
        );
    }
}

#[test]
fn lindeburg_example_17_2() {
    assert_examples_of("Lindeburg example 17.2", 1);
}

#[test]
fn crane_tp_410m_example_7_1() {
    assert_examples_of("Crane TP-410M example 7.1", 1);
    // The example's own inputs: 200 L/min of water at 30 °C in a bore of about 52.5 mm. Density and viscosity
    // at 30 °C by IAPWS.
    let fluid =
        Fluid { density: MassDensity::from_si(995.65), viscosity: DynamicViscosity::from_si(7.972218e-4) };
    let reynolds = reynolds(parse("200 L/min").unwrap(), parse("52.5 mm").unwrap(), fluid).unwrap();
    assert_within("Reynolds number", reynolds, 100_600.0, 503.0, "half a per cent: the bore is rounded");
}

#[test]
fn cengel_and_cimbala_example_8_3() {
    assert_examples_of("Cengel and Cimbala example 8-3", 1);
    let (bore, flow) = (Length::new::<inch>(2.0), VolumeRate::new::<cubic_foot_per_second>(0.2));
    let pipe = Pipe {
        length: Length::new::<foot>(200.0),
        bore,
        roughness: bore * 4.2e-5,
        elbows: 0,
        other_fittings: 0.0,
    };
    let density = MassDensity::new::<pound_per_cubic_foot>(62.36);
    // The book states the Reynolds number, 126,400; the viscosity is the one that makes it.
    let viscosity =
        DynamicViscosity::from_si(density.si() * speed(flow, bore).unwrap().si() * bore.si() / 126_400.0);
    let head = head_loss(flow, pipe, Fluid { density, viscosity }, &rules()).unwrap();
    assert_within(
        "head in feet",
        head.get::<foot>(),
        27.3,
        0.003 * 27.3,
        "the book rounds f to three digits on the way",
    );
    // A foot of water weighs as many pounds on a square foot as a cubic foot of it: lbf/ft² are head ×
    // density in lbm/ft³.
    let pressure = head.get::<foot>() * 62.36;
    assert_within(
        "pressure in lbf/ft2",
        pressure,
        1700.0,
        0.003 * 1700.0,
        "the book rounds f to three digits on the way",
    );
    let watts = density.si() * 9.80665 * head.si() * flow.si();
    assert_within(
        "pumping power in W",
        watts,
        461.0,
        0.003 * 461.0,
        "the book rounds f to three digits on the way",
    );
}

#[test]
fn colebrook_table() {
    assert_examples_of("Colebrook table", 8);
}

//! Head lost in pipes and fittings: `tests/independent/return_line_*.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::return_line::{
    Fluid, Pipe, elbow, expansion, friction_factor, head_loss, narrowing, reynolds, speed,
};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::rules::return_line::ReturnLineRules;
use reckoner_tests::{Row, assert_within, independent};
use uom::si::f64::{DynamicViscosity, Length, MassDensity, VolumeRate};

fn rules() -> ReturnLineRules {
    Rules::compiled_in().unwrap().return_line
}

#[test]
fn fluids_friction_factors() {
    let rules = rules();
    let (mut turbulent, mut laminar) = (0, 0);
    for row in independent("return_line_friction").rows() {
        let got = friction_factor(row.number("Re"), row.number("eD"), &rules).unwrap();
        let near = |column: &str, tolerance: f64, reason: &str| {
            let what = format!("{column} at Re {} and e/D {}", row.text("Re"), row.text("eD"));
            assert_within(&what, got, row.number(column), tolerance * row.number(column), reason);
        };
        near("fluids_colebrook", 1e-8, "the same equation; the library prints ten digits");
        near("fluids_clamond", 1e-8, "the same equation, solved another way");
        // The table has no approximations for laminar flow.
        if row.number("Re") > 2000.0 {
            near("fluids_haaland", 0.02, "Haaland's stated agreement with Colebrook");
            near("fluids_swamee_jain", 0.03, "Swamee and Jain's stated agreement with Colebrook");
            turbulent += 1;
        } else {
            laminar += 1;
        }
    }
    assert_eq!((turbulent, laminar), (99, 3));
}

/// The explicit formulas of Haaland and of Swamee and Jain, typed in here: neither shares a line with the
/// iteration.
#[test]
#[allow(clippy::disallowed_methods, reason = "agreement to a per cent; the last bits do not count")]
fn explicit_formulas_agree_between_the_rows_of_the_table() {
    let rules = rules();
    for step in 0..=60 {
        let re = 5e3 * 10_f64.powf(f64::from(step) / 20.0);
        for rough in [0.0, 1e-5, 5e-4, 2e-3, 3e-2] {
            let f = friction_factor(re, rough, &rules).unwrap();
            let haaland = (-1.8 * (6.9 / re + (rough / 3.7_f64).powf(1.11)).log10()).powi(-2);
            let swamee_jain = 0.25 / (rough / 3.7 + 5.74 / re.powf(0.9)).log10().powi(2);
            assert_within(
                &format!("Haaland at {re}, {rough}"),
                f,
                haaland,
                0.02 * haaland,
                "its stated agreement",
            );
            assert_within(
                &format!("Swamee and Jain at {re}, {rough}"),
                f,
                swamee_jain,
                0.03 * swamee_jain,
                "its stated agreement",
            );
        }
    }
}

#[test]
fn fluids_heads_of_return_lines() {
    let rules = rules();
    for row in independent("return_line_heads").rows() {
        let fluid = Fluid {
            density: MassDensity::from_si(row.number("rho")),
            viscosity: DynamicViscosity::from_si(row.number("mu")),
        };
        let flow = VolumeRate::from_si(row.number("Q_l_h") / 3.6e6);
        let pipe = |length: f64, other_fittings: f64| Pipe {
            length: Length::from_si(length),
            bore: Length::from_si(row.number("ID_mm") * 1e-3),
            roughness: Length::from_si(1.5e-6),
            elbows: 0,
            other_fittings,
        };
        let metre = pipe(1.0, 0.0);
        let near = |column: &str, got: f64| {
            let what = format!(
                "{column} of {} at {} L/h in {} mm",
                row.text("fluid"),
                row.text("Q_l_h"),
                row.text("ID_mm")
            );
            assert_within(
                &what,
                got,
                row.number(column),
                1e-8 * row.number(column),
                "the library prints ten digits",
            );
        };
        near("v_m_s", speed(flow, metre.bore).unwrap().si());
        near("Re", reynolds(flow, metre.bore, fluid).unwrap());
        near("fluids_f_colebrook", friction_factor(row.number("Re"), row.number("eD"), &rules).unwrap());
        near("hf_per_m", head_loss(flow, metre, fluid, &rules).unwrap().si());
        near("h_example_m", head_loss(flow, pipe(1.5, 0.5 + 1.0 + 3.0 * 0.9), fluid, &rules).unwrap().si());
    }
}

#[test]
fn fluids_losses_in_fittings() {
    let rules = rules();
    let loss = |row: Row<'_>| match row.text("fitting") {
        "entrance_sharp" => rules.entrance.si(),
        "exit_normal" => rules.exit.si(),
        "sudden_contraction" => narrowing(row.number("small_mm") / row.number("large_mm"), &rules).unwrap(),
        "sudden_expansion" => expansion(row.number("small_mm") / row.number("large_mm")).unwrap(),
        "elbow90_threaded_standard" => {
            elbow(row.number("Re"), Length::from_si(row.number("small_mm") * 1e-3), &rules).unwrap()
        }
        other => panic!("unknown fitting {other}"),
    };
    for row in independent("return_line_fittings").rows() {
        let (got, want) = (loss(row), row.number("K"));
        if row.text("differs").is_empty() {
            assert_within(row.text("fitting"), got, want, 1e-8 * want, "the library prints ten digits");
        } else {
            assert!(got > want, "{}: the row says that it differs, and it does not", row.text("fitting"));
        }
    }
}

/// A pipe that leaves a wide sump is a narrowing from a bore without end: the sharp entrance.
#[test]
fn fluids_sharp_entrance_is_the_limit_of_a_narrowing() {
    assert_within(
        "narrowing from a wide sump",
        narrowing(0.0, &rules()).unwrap(),
        0.57,
        0.005,
        "half the last printed digit",
    );
}

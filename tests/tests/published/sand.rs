//! When sand starts to move: `tests/published/sand.csv` and `sand_note.csv`.

use reckoner_calc::Rules;
use reckoner_calc::quantity::Dimension;
use reckoner_calc::sand::{Grains, SandRules, depth_mean, friction_velocity, roughness, speed_at_height};
use reckoner_tests::{Row, assert_printed, assert_within, published};
use uom::si::f64::{KinematicViscosity, Length, MassDensity, Velocity};

fn rules() -> SandRules {
    Rules::compiled_in().unwrap().sand
}

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn grains(size_mm: f64, density: f64, water: f64, viscosity: f64) -> Grains {
    let (density, water) = (MassDensity::from_si(density), MassDensity::from_si(water));
    Grains::new(metres(size_mm * 1e-3), density, water, KinematicViscosity::from_si(viscosity)).unwrap()
}

fn noted_grains(row: Row<'_>) -> Grains {
    let number = |column| row.number(column);
    grains(number("size"), number("grain_density"), number("water_density"), number("viscosity") * 1e-6)
}

/// What the note or the book prints beside a row's quantity.
fn reckoned(row: Row<'_>, rules: &SandRules) -> f64 {
    let grains = noted_grains(row);
    match row.text("quantity") {
        "threshold_current" => grains.threshold_current(metres(5.0), rules).unwrap().si(),
        "dimensionless_size" => grains.dimensionless_size().si(),
        "dstar_factor" => grains.dimensionless_size().si() / (row.number("size") * 1e-3),
        "threshold" => grains.threshold(rules).unwrap().si(),
        "threshold_stress" => grains.threshold_stress(rules).unwrap().si(),
        "friction_velocity" => {
            friction_velocity(grains.threshold_stress(rules).unwrap(), MassDensity::from_si(row.number("water_density"))).si()
        }
        "depth_mean" => {
            let z0 = metres(row.number("size") * 1e-3 / 12.0);
            depth_mean(Velocity::from_si(0.02), z0, metres(0.4), rules).unwrap().si()
        }
        other => panic!("unknown quantity {other}"),
    }
}

#[test]
fn soulsby_1997_example_6_1() {
    let rules = rules();
    let table = published("sand_note");
    let row = table.rows().find(|row| row.text("source") == "book").unwrap();
    assert_printed("threshold current", reckoned(row, &rules), row.text("printed"));
}

#[test]
fn technical_note_on_soulsby_1997_prints_the_same_digits() {
    let rules = rules();
    for row in published("sand_note").rows().filter(|row| row.text("source") == "note") {
        let what = format!("{} at {} mm", row.text("quantity"), row.text("size"));
        if row.text("quantity") == "dstar_factor" {
            assert_within(&what, reckoned(row, &rules), row.number("printed"), 0.1, "the density ratio is given in six digits");
        } else {
            assert_printed(&what, reckoned(row, &rules), row.text("printed"));
        }
    }
}

/// The note gives the least threshold as 0.0299 at D* = 17.1, found by calculus.
#[test]
fn technical_note_on_soulsby_1997_least_threshold() {
    let rules = rules();
    // In the note's water, D* is 24162.4 times the size in metres.
    let at = |size: f64| grains(size / 24.1624, 2650.0, 1025.0, 1.05e-6).threshold(&rules).unwrap().si();
    assert_printed("least threshold", at(17.1), "0.0299");
    for size in 1..=200 {
        assert!(at(f64::from(size)) >= at(17.1) - 1e-7, "lower at D* = {size}");
    }
}

#[test]
fn numpy_table_of_soulsby_1997_is_met_over_its_whole_range() {
    let rules = rules();
    for row in published("sand").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let stress = grains.threshold_stress(&rules).unwrap();
        let friction = friction_velocity(stress, MassDensity::from_si(number("rho")));
        let rough = metres(number("d_mm") * 1e-3 / 12.0);
        let speed = |z0, height| speed_at_height(friction, z0, metres(height), &rules).unwrap().si();
        let current = |depth| grains.threshold_current(metres(depth), &rules).unwrap().si();
        let pairs = [
            ("D_star", grains.dimensionless_size().si()),
            ("theta_cr", grains.threshold(&rules).unwrap().si()),
            ("tau_cr_Pa", stress.si()),
            ("ustar_cr_m_s", friction.si()),
            ("u_z5cm_rough_m_s", speed(rough, 0.05)),
            ("u_z5cm_smoothrough_m_s", speed(roughness(grains.size(), grains.viscosity(), friction), 0.05)),
            ("u_z5cm_smoothrough_m_s", grains.threshold_speed(metres(0.05), &rules).unwrap().si()),
            ("U_cd_h0.5_m_s", depth_mean(friction, rough, metres(0.5), &rules).unwrap().si()),
            ("U_17_h0.5_m_s", current(0.5)),
            ("U_17_h5_m_s", current(5.0)),
        ];
        for (column, got) in pairs {
            let what = format!("{column}, {} at {} mm", row.text("case"), row.text("d_mm"));
            assert_within(&what, got, number(column), 1e-8 * number(column), "nine printed digits");
        }
    }
}

/// Brownlie's curve lies 25 % above Soulsby's at 0.1 mm, 4 to 11 % above from 0.2 to 2 mm and 2 to 4 % below at 5 mm, as the technical
/// note finds for its water; other waters shift the sizes a little.
#[test]
fn brownlie_1981_lies_within_the_stated_band() {
    let rules = rules();
    for row in published("sand").rows() {
        let number = |column| row.number(column);
        let grains = grains(number("d_mm"), number("rho_s"), number("rho"), number("nu"));
        let above = number("theta_brownlie") / grains.threshold(&rules).unwrap().si() - 1.0;
        let what = format!("{} at {} mm: {above}", row.text("case"), row.text("d_mm"));
        assert!((-0.05..=0.30).contains(&above), "{what}");
        if row.text("case") == "pub_note" {
            let stated = match number("d_mm") {
                size if size <= 0.1 => 0.245..=0.255,
                size if size <= 2.0 => 0.035..=0.115,
                size if size < 5.0 => -0.045..=0.115,
                _ => -0.045..=-0.015,
            };
            assert!(stated.contains(&above), "{what}");
        }
    }
}

/// Parker et al. (2003) take half of Brownlie's stress, and speeds go as the root of stress: the low end of the rules' band is theirs,
/// to a tenth.
#[test]
fn parker_2003_speeds_lie_near_the_low_end_of_the_band() {
    let band = rules().band.0;
    for row in published("sand").rows() {
        let share = (row.number("theta_parker_half") / row.number("theta_cr")).sqrt();
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        assert_within(&what, 1.0 - band, share, 0.1, "a band in round figures");
    }
}

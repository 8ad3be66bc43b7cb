//! When sand starts to move: `tests/independent/sand.csv`.

use reckoner_calc::Rules;
use reckoner_calc::formulas::sand::{Grains, depth_mean, friction_velocity, roughness, speed_at_height};
use reckoner_calc::quantity::Dimension;
use reckoner_calc::rules::sand::SandRules;
use reckoner_tests::{assert_within, independent};
use uom::si::f64::{KinematicViscosity, Length, MassDensity};

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

#[test]
fn numpy_table_of_soulsby_1997_is_met_over_its_whole_range() {
    let rules = rules();
    for row in independent("sand").rows() {
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
            ("u_z5cm_smoothrough_m_s", grains.threshold_speed_at(metres(0.05), &rules).unwrap().si()),
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

/// Brownlie's curve lies 25 % above Soulsby's at 0.1 mm, 4 to 11 % above from 0.2 to 2 mm and 2 to 4 % below
/// at 5 mm, as the technical note finds for its water; other waters shift the sizes a little.
#[test]
fn brownlie_1981_lies_within_the_stated_band() {
    let rules = rules();
    for row in independent("sand").rows() {
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

/// Parker et al. (2003) take half of Brownlie's stress, and speeds go as the root of stress: the low end of
/// the rules' band lies below all of theirs, by what the lighter grains of coral take off, and the high end
/// above Brownlie's.
#[test]
fn parker_2003_speeds_lie_inside_the_band() {
    let band = rules().band;
    for row in independent("sand").rows() {
        let share = |column: &str| (row.number(column) / row.number("theta_cr")).sqrt();
        let what = format!("{} at {} mm", row.text("case"), row.text("d_mm"));
        assert!(band.low.0 < share("theta_parker_half") - 0.05, "{what}: {}", share("theta_parker_half"));
        assert!(band.high.0 > share("theta_brownlie"), "{what}: {}", share("theta_brownlie"));
    }
}

//! The slosh of tanks: `tests/published/waves_merian.csv`, and a package's worked example.

use std::f64::consts::PI;

use reckoner_calc::formulas::waves::{shallow_period, slosh_period, wavelength};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_within, published};
use uom::si::f64::{Length, Time};

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

/// The worked example of the Python package `oceans`: 10 m deep, 5 s; k 0.171703 per m, wavelength 36.5934 m,
/// h/L 0.273274.
#[test]
fn oceans_package_worked_example() {
    let wave = wavelength(Time::from_si(5.0), metres(10.0)).unwrap().si();
    let check = |what: &str, got: f64, want: f64| {
        assert_within(what, got, want, 5e-4 * want, "the package takes a local gravity")
    };
    check("k", 2.0 * PI / wave, 0.171703);
    check("wavelength", wave, 36.5934);
    check("depth over wavelength", 10.0 / wave, 0.273274);
}

/// The same package: a wave 100 m long over 10 m of water has h/L0 = 0.05568933, where L0 = g T²/(2 π) is its
/// length in deep water.
#[test]
fn oceans_package_deep_water_ratio() {
    let period = slosh_period(metres(50.0), metres(10.0), 1).unwrap();
    let deep = wavelength(period, metres(1000.0)).unwrap().si();
    assert_within(
        "depth over deep-water length",
        10.0 / deep,
        0.05568933,
        0.5e-8,
        "half the last printed digit",
    );
}

#[test]
fn coastal_course_page_merian_periods() {
    for row in published("waves_merian").rows() {
        let mode = row.text("mode").parse().unwrap();
        let want = row.number("printed_min");
        let minutes = |depth| shallow_period(metres(8192.0), metres(depth), mode).unwrap().si() / 60.0;
        assert_within(
            "18 m",
            minutes(18.0),
            want,
            4e-4 * want,
            "the page takes gravity as 9.8, 0.034 % on the period's square",
        );
        assert!((minutes(12.0) / want - 1.0).abs() > 0.2, "the depth that the page names still does not fit");
    }
}

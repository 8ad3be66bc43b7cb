//! Volumes and masses of tanks: `tests/independent/volume.csv`.

use reckoner_calc::formulas::volume::{Glass, Outline, floor_load};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_printed, independent};
use uom::si::f64::{Length, MassDensity};

#[test]
fn numpy_worked_tanks_weigh_the_same() {
    for row in independent("volume").rows() {
        let metres = |column: &str, scale: f64| Length::from_si(row.number(column) * scale);
        let outline = Outline::Box { length: metres("length_m", 1.0), width: metres("width_m", 1.0) };
        let glass =
            Glass::new(outline, metres("height_m", 1.0), metres("pane_mm", 1e-3), Length::from_si(0.03))
                .unwrap();
        let panes = glass.mass(MassDensity::from_si(2500.0));
        let water = glass.filled() * MassDensity::from_si(1023.34);
        assert_printed("glass", panes.si(), row.text("glass_kg"));
        assert_printed("water", glass.filled().si() * 1e3, row.text("water_L"));
        assert_printed("water's mass", water.si(), row.text("water_kg"));
        assert_printed("load", floor_load(panes + water, glass.footprint()).si(), row.text("load_kg_m2"));
    }
}

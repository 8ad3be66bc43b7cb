//! Plates under an even load: `tests/published/glass.csv`.

use reckoner_calc::formulas::glass::{Load, Rim, bent};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::published;
use uom::si::f64::Ratio;

/// The handbook prints four digits of a coarser sum: it agrees with the series to 0.4 %.
#[test]
fn plates_with_four_held_edges_bend_as_the_handbook_prints() {
    for row in published("glass").rows() {
        let (ratio, printed) = (row.number("ratio"), row.number("beta"));
        // The height is the short side.
        let reckoned =
            bent(Ratio::from_si(ratio), Ratio::from_si(0.3), Rim::Braced, Load::Even).unwrap().bending;
        assert!((reckoned / printed - 1.0).abs() <= 0.004, "β for {ratio} is {reckoned}, printed {printed}");
    }
}

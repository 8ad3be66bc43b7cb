use proptest::prelude::*;
use uom::si::f64::{Length, MassDensity};

use super::*;
use crate::quantity::parse;

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

fn glass(outline: Outline) -> Glass {
    Glass::new(outline, metres(0.5), metres(0.01), metres(0.03)).unwrap()
}

/// The area of a floor plan by counting the cells of a fine grid whose centres lie inside it: independent of
/// the formulas.
fn counted(inside: impl Fn(f64, f64) -> bool, side: f64) -> f64 {
    let cells = 2000;
    let cell = side / f64::from(cells);
    let mut count = 0.0;
    for i in 0..cells {
        for j in 0..cells {
            let at = |k: i32| (f64::from(k) + 0.5) * cell - side / 2.0;
            if inside(at(i), at(j)) {
                count += 1.0;
            }
        }
    }
    count * cell * cell
}

#[test]
fn a_bow_front_has_the_area_that_a_grid_counts() {
    let (length, width, middle, pane) = (1.2, 0.4, 0.55, 0.012);
    let outline =
        Outline::BowFront { length: metres(length), width: metres(width), middle_width: metres(middle) };
    let (half, bow) = (length / 2.0, middle - width);
    let radius: f64 = (half * half + bow * bow) / (2.0 * bow);
    let centre = middle - radius;
    for inset in [0.0, pane] {
        let inside = |x: f64, y: f64| {
            let y = y + 0.3;
            x.abs() < half - inset
                && y > inset
                && x * x + (y - centre) * (y - centre) < (radius - inset) * (radius - inset)
        };
        let want = counted(inside, 1.4);
        assert!(
            (outline.area(metres(inset)).si() / want - 1.0).abs() < 1e-3,
            "inset {inset}: {} counted {want}",
            outline.area(metres(inset)).si()
        );
    }
}

#[test]
fn a_hexagon_has_the_area_that_a_grid_counts() {
    let outline = Outline::Hexagon { across: metres(0.6) };
    let inside = |x: f64, y: f64| {
        y.abs() < 0.3
            && (3.0_f64.sqrt() * x + y).abs() / 2.0 < 0.3
            && (3.0_f64.sqrt() * x - y).abs() / 2.0 < 0.3
    };
    let want = counted(inside, 0.8);
    assert!((outline.area(metres(0.0)).si() / want - 1.0).abs() < 1e-3);
}

#[test]
fn glass_that_can_not_hold_water_is_refused() {
    let outline = Outline::Box { length: metres(0.4), width: metres(0.4) };
    let message = |outline, height, pane, fill: f64| {
        Glass::new(outline, metres(height), metres(pane), metres(fill)).unwrap_err().to_string()
    };
    assert!(message(outline, 0.4, 0.2, 0.0).contains("check `pane`"));
    assert!(message(outline, 0.05, 0.01, 0.05).contains("check `height` and `fill_line`"));
    let bow = |width: f64, middle: f64| Outline::BowFront {
        length: metres(1.0),
        width: metres(width),
        middle_width: metres(middle),
    };
    assert!(message(bow(0.5, 0.4), 0.5, 0.01, 0.0).contains("swap"));
    assert!(message(bow(0.3, 0.9), 0.5, 0.01, 0.0).contains("deeper than half a circle"));
    assert!(message(bow(0.02, 0.4), 0.5, 0.01, 0.0).contains("check `pane`"));
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -0.01] {
        assert!(message(outline, 0.4, wrong, 0.03).contains("check `pane` and `fill_line`"), "pane {wrong}");
        assert!(
            message(outline, 0.4, 0.01, wrong).contains("check `pane` and `fill_line`"),
            "fill line {wrong}"
        );
        assert!(message(outline, wrong, 0.01, 0.03).contains("check the sides"), "height {wrong}");
        for side in [
            Outline::Box { length: metres(wrong), width: metres(0.4) },
            Outline::Box { length: metres(0.4), width: metres(wrong) },
            Outline::Cylinder { diameter: metres(wrong) },
            Outline::Hexagon { across: metres(wrong) },
            bow(wrong, 0.5),
            bow(0.4, wrong),
            Outline::BowFront { length: metres(wrong), width: metres(0.4), middle_width: metres(0.5) },
        ] {
            assert!(message(side, 0.4, 0.01, 0.03).contains("check the sides"), "{side:?}");
        }
    }
}

#[test]
fn solid_rock_pushes_aside_its_mass_over_its_density() {
    let rock = parse::<uom::si::f64::Mass>("29.3 kg").unwrap();
    let density = MassDensity::from_si(2930.0);
    assert!((rock_displacement(rock, density, Share(0.0)).si() - 0.01).abs() < 1e-12);
    assert!((rock_displacement(rock, density, Share(0.5)).si() - 0.02).abs() < 1e-12);
}

fn outlines() -> impl Strategy<Value = Outline> {
    let length = 0.2..3.0;
    let width = 0.2..1.0;
    prop_oneof![
        (length.clone(), width.clone())
            .prop_map(|(l, w)| Outline::Box { length: metres(l), width: metres(w) }),
        width.clone().prop_map(|d| Outline::Cylinder { diameter: metres(d) }),
        width.clone().prop_map(|a| Outline::Hexagon { across: metres(a) }),
        (length, width, 0.01..0.99).prop_map(|(l, w, bow)| Outline::BowFront {
            length: metres(l),
            width: metres(w),
            middle_width: metres(w + bow * l / 2.0)
        }),
    ]
}

proptest! {
    #[test]
    fn outside_is_more_than_gross_is_more_than_filled(outline in outlines()) {
        let glass = glass(outline);
        prop_assert!(glass.outside() > glass.gross());
        prop_assert!(glass.gross() > glass.filled());
        prop_assert!(glass.filled().si() > 0.0);
        prop_assert!(glass.mass(MassDensity::from_si(2500.0)).si() > 0.0);
    }

    #[test]
    fn thin_panes_lose_as_much_area_as_edge_times_pane(outline in outlines()) {
        // To first order, taking a thin line off the edge takes perimeter × thickness; the perimeter is at
        // least that of a circle.
        let thin = metres(1e-6);
        let lost = outline.area(metres(0.0)).si() - outline.area(thin).si();
        let circle = 2.0 * (std::f64::consts::PI * outline.area(metres(0.0)).si()).sqrt();
        prop_assert!(lost >= 0.999 * circle * 1e-6);
        prop_assert!(lost <= 4.0 * (outline.length().si() + outline.width().si()) * 1e-6);
    }

    #[test]
    fn doubling_every_measure_makes_eight_times_the_water(l in 0.3..2.0, w in 0.3..1.0, h in 0.3..1.0) {
        let tank = |k: f64| {
            Glass::new(Outline::Box { length: metres(k * l), width: metres(k * w) }, metres(k * h), metres(k * 0.01), metres(k * 0.03)).unwrap()
        };
        prop_assert!((tank(2.0).filled().si() / tank(1.0).filled().si() - 8.0).abs() < 1e-9);
    }
}

#[test]
fn a_false_wall_cuts_a_strip_off_every_shape() {
    let strip = |outline, depth: f64| {
        Glass::new(outline, metres(0.5), metres(0.01), metres(0.0)).unwrap().back_strip(metres(depth)).si()
    };
    let cylinder = Outline::Cylinder { diameter: metres(0.52) };
    // A false wall through the middle halves a circle of 25 cm radius; one at half its radius leaves r² (π/3
    // − √3/4) behind it.
    assert!((strip(cylinder, 0.25) - std::f64::consts::PI * 0.0625 / 2.0).abs() < 1e-12);
    assert!(
        (strip(cylinder, 0.125) - 0.0625 * (std::f64::consts::PI / 3.0 - 3.0_f64.sqrt() / 4.0)).abs() < 1e-12
    );
    // Half of a hexagon of 50 cm from pane to pane: √3/2 × 0.25 ÷ 2 m².
    assert!((strip(Outline::Hexagon { across: metres(0.52) }, 0.25) - 3.0_f64.sqrt() / 16.0).abs() < 1e-12);
}

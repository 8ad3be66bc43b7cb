//! The map of speeds against measured streams: `tests/published/speed_map.csv`.

use reckoner_calc::Rules;
use reckoner_calc::catalogue::Outlet;
use reckoner_calc::formulas::speed_map::{Basin, Jet, Waters};
use reckoner_calc::formulas::stream::{Laws, Stream, outlet_area};
use reckoner_calc::quantity::Dimension;
use reckoner_tests::{assert_within, published};
use uom::si::f64::{Length, Velocity};

fn metres(value: f64) -> Length {
    Length::from_si(value)
}

/// Round streams of one metre a second that cross a basin to its right end, side by side.
///
/// - `at`: how far each is from the front; they are half-way up the water
fn waters(length: f64, width: f64, diameter: f64, at: &[f64]) -> Waters {
    let rules = Rules::compiled_in().unwrap();
    let outlet = Outlet::Round { diameter: metres(diameter) };
    let flow = outlet_area(outlet) * Velocity::from_si(1.0);
    let stream = Stream::new(outlet, flow, Laws::of(&rules.stream)).unwrap();
    let place = |x: f64, y: f64| [x, y, width / 2.0].map(metres);
    let jets: Vec<_> =
        at.iter().map(|y| Jet { stream, from: place(0.0, *y), to: place(length, *y) }).collect();
    let basin =
        Basin { length: metres(length), width: metres(width), bed: metres(0.0), water: metres(width) };
    Waters::new(basin, &[], &jets, *rules.stream.range, &rules.speed_map).unwrap()
}

fn speed(waters: &Waters, place: [f64; 3], streams: usize) -> f64 {
    waters.at(place.map(metres)).speed(&vec![1.0; streams]).si()
}

/// The push within a circle, over that which left the outlet: `8 ∫ u² r dr` of speeds and distances in exit
/// speeds and diameters.
fn push(across: &[(f64, f64)]) -> f64 {
    let part = |pair: &[(f64, f64)]| {
        let [one, other] = [pair[0], pair[1]].map(|(beside, speed)| speed * speed * beside);
        (one + other) / 2.0 * (pair[1].0 - pair[0].0)
    };
    8.0 * across.windows(2).map(part).sum::<f64>()
}

#[test]
fn bridges_wernet_2011_the_push_is_kept_along_a_stream() {
    const DIAMETER: f64 = 0.0508;
    let open = waters(6.0, 4.0, DIAMETER, &[2.0]);
    for told in ["2", "5", "10"] {
        let ahead: f64 = told.parse().unwrap();
        let rows: Vec<_> = published("speed_map")
            .rows()
            .filter(|row| row.text("kind") == "across" && row.text("ahead") == told)
            .map(|row| (row.number("beside"), row.number("speed")))
            .collect();
        assert!(rows.len() > 30, "{told}");
        let what = format!("{told} diameters ahead");
        // As far from the middle as was measured, ten diameters ahead nearly all of it.
        let measured = push(&rows) / (rows[0].1 * rows[0].1).max(0.9);
        assert_within(&what, measured, 1.0, 0.06, "the window that was measured cuts off a part of it");
        let own: Vec<_> = rows
            .iter()
            .map(|(beside, _)| {
                let place = [ahead * DIAMETER, 2.0 + beside * DIAMETER, 2.0];
                (*beside, speed(&open, place, 1))
            })
            .collect();
        assert_within(&what, push(&own), 1.0, 0.03, "the same window");
    }
}

#[test]
fn bridges_wernet_2011_a_stream_on_the_map_slows_as_measured() {
    const DIAMETER: f64 = 0.0508;
    let open = waters(6.0, 4.0, DIAMETER, &[2.0]);
    let mut rows = 0;
    for row in published("stream").rows().filter(|row| row.text("kind") == "round") {
        let want = row.number("speed");
        let got = speed(&open, [row.number("distance") * DIAMETER, 2.0, 2.0], 1);
        assert!((0.86..=1.01).contains(&(got / want)), "{}: {got} for {want}", row.text("distance"));
        rows += 1;
    }
    assert!(rows > 20, "{rows}");
}

#[test]
fn panchapakesan_lumley_1993_a_stream_on_the_map_is_as_wide_as_measured() {
    let open = waters(8.0, 6.0, 0.01, &[3.0]);
    let middle = speed(&open, [0.8, 3.0, 3.0], 1);
    // Half-widths grow by 0.096 of the way; the law's own is 2 % more.
    let half_width = 0.096 * 0.8;
    for row in published("stream_across").rows().filter(|row| row.number("half_widths") <= 1.5) {
        let beside = row.number("half_widths") * half_width;
        let got = speed(&open, [0.8, 3.0 + beside, 3.0], 1) / middle;
        let reason = "of the speed in the middle: a bell stands in for the measured shape";
        assert_within(row.text("half_widths"), got, row.number("speed"), 0.04, reason);
    }
}

/// From one and a half diameters on the layer along the plate slows with the way; nearer to the middle it is
/// the stream that has not turned yet.
#[test]
fn cooper_1993_a_plate_turns_a_stream_as_measured() {
    const DIAMETER: f64 = 0.04;
    let length = 2.0 * DIAMETER;
    let close = waters(length, 2.0, DIAMETER, &[1.0]);
    let mut rows = 0;
    for row in published("speed_map").rows().filter(|row| row.text("kind") == "plate") {
        let beside = row.number("beside");
        if beside < 1.5 {
            continue;
        }
        // Highest along a line away from the plate, as it was looked for.
        let fastest = (0..200)
            .map(|step| speed(&close, [length - 0.0002 * f64::from(step), 1.0 + beside * DIAMETER, 1.0], 1))
            .fold(0.0, f64::max);
        let want = row.number("speed");
        assert_within(row.text("beside"), fastest, want, 0.085 * want, "two traverses differ by as much");
        rows += 1;
    }
    assert_eq!(rows, 5);
}

/// Newman et al. (1972) and others, as Launder & Rodi weigh them: a round stream along a wall grows by 0.048
/// away from it and by 0.26 sideways. A bell so wide that keeps its push is 1.24 times as fast as the free
/// one, before the wall brakes it.
#[test]
fn newman_1972_a_stream_along_a_wall_is_hardly_faster_than_one_in_the_open() {
    let free = Rules::compiled_in().unwrap().stream.round_decay.si();
    let kept = (std::f64::consts::LN_2 / (0.048 * 0.26)).sqrt() / free;
    assert_within("kept", kept, 1.24, 0.005, "what the two growths come to");
    let (wall, open) = (waters(3.0, 3.0, 0.04, &[0.02]), waters(3.0, 3.0, 0.04, &[1.5]));
    let gain = speed(&wall, [1.2, 0.02, 1.5], 1) / speed(&open, [1.2, 1.5, 1.5], 1);
    assert!((1.1..kept).contains(&gain), "{gain}");
}

/// Taddesse & Mathew (2022), abstract: midway between two round jets `S` apart the speed rises to
/// `Uj / (1.02 S/d + 0.44)`.
#[test]
fn taddesse_mathew_2022_twin_streams_on_the_map() {
    const DIAMETER: f64 = 0.01;
    for spacing in [2.0, 4.0, 5.0, 8.0] {
        let half = spacing * DIAMETER / 2.0;
        let pair = waters(4.0, 3.0, DIAMETER, &[1.5 - half, 1.5 + half]);
        let fastest =
            (1..120).map(|step| speed(&pair, [0.01 * f64::from(step), 1.5, 1.5], 2)).fold(0.0, f64::max);
        let want = 1.0 / (1.02 * spacing + 0.44);
        assert_within(&format!("{spacing}"), fastest, want, 0.08 * want, "streams side by side also bend");
    }
}

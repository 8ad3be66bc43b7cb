use proptest::prelude::*;
use uom::si::f64::{Power, VolumeRate};

use super::*;
use crate::cases::costly;
use crate::decide::power_cut::tests as power_cut;
use crate::document::Places;
use crate::formulas::programme::{Feeding, Pattern, Stretch, Swing};

pub(crate) const TANK: &str = r#"
name = "Test"
[glass]
shape = "box"
length = "90 cm"
width = "45 cm"
height = "45 cm"
pane = "8 mm"
fill_line = "3 cm"
[livestock]
now = "soft"
later = "small_polyp"
[[pump]]
name = "left"
model = "Dial"
wall = "left"
height = "30 cm"
[[pump]]
name = "right"
model = "Plain"
wall = "right"
height = "30 cm"
"#;

pub(crate) const PUMPS: &str = r#"
currency = "USD"
[[pump]]
model = "Dial"
kind = "round-controllable"
rated_flow = "4000 L/h"
lowest_setting = "20 %"
outlet = "5 cm"
power = "10 W"
standing_draw = "1 W"
sound = "34 dB"
price = "150 USD"
wet_end_price = "50 USD"
shaft = "ceramic"
battery_socket = true
works_in_a_team = true
[[pump]]
model = "Plain"
kind = "round-fixed"
rated_flow = "1000 L/h"
outlet = "3 cm"
power = "4 W"
sound = "30 dB"
price = "30 USD"
wet_end_price = "10 USD"
shaft = "ceramic"
"#;

pub(crate) fn rules() -> Rules {
    Rules::compiled_in().unwrap()
}

pub(crate) fn catalogue() -> Catalogue {
    Catalogue::read("pumps.toml", PUMPS).unwrap()
}

/// A tank with the given stretches and feedings.
pub(crate) fn tank(programme: &str) -> Result<Tank, Vec<Problem>> {
    Tank::read("tank.toml", &format!("{TANK}{programme}"), &Rules::compiled_in().unwrap())
}

/// What a reader is told: the marked text, the sentence and the help of each problem.
fn told(programme: &str) -> Vec<(String, String)> {
    let text = format!("{TANK}{programme}");
    let problems = match Tank::read("tank.toml", &text, &Rules::compiled_in().unwrap()) {
        Ok(tank) => check("tank.toml", &tank, &catalogue(), &rules().programme),
        Err(problems) => problems,
    };
    problems
        .into_iter()
        .map(|problem| {
            (text[problem.span].to_owned(), format!("{}: {}", problem.message, problem.help.join("; ")))
        })
        .collect()
}

pub(crate) fn stretch(pump: &str, from: &str, until: &str, rest: &str) -> String {
    format!("[[programme]]\npump = \"{pump}\"\nfrom = \"{from}\"\nuntil = \"{until}\"\n{rest}\n")
}

pub(crate) const RIGHT: &str = "[[programme]]\npump = \"right\"\nfrom = \"00:00\"\nuntil = \"24:00\"\npattern = \"steady\"\nsetting = \"100 %\"\n";

fn clock(text: &str) -> ClockTime {
    ClockTime::parse(text).unwrap()
}

pub(crate) const STEADY: &str = "pattern = \"steady\"\nsetting = \"50 %\"";

#[test]
fn a_covered_day_is_accepted() {
    let night = stretch("left", "20:00", "08:00", "pattern = \"rest\"");
    let day = stretch(
        "left",
        "08:00",
        "20:00",
        "pattern = \"pulse\"\nlow = \"30 %\"\nhigh = \"60 %\"\nperiod = \"4 s\"",
    );
    let feeding = "[[feeding]]\nat = \"18:00\"\npause = \"10 min\"\npumps = [\"left\"]\n";
    assert_eq!(told(&format!("{night}{day}{RIGHT}{feeding}")), []);
}

#[test]
fn each_mistake_is_told_at_its_place() {
    let whole = stretch("left", "00:00", "24:00", STEADY);
    let left = |rest: &str| format!("{}{RIGHT}", stretch("left", "00:00", "24:00", rest));
    let cases = [
        (
            format!("{}{RIGHT}", stretch("left", "08:00", "20:00", STEADY)),
            "\"20:00\"",
            "`left` has no programme from 20:00 until 08:00: write until = \"08:00\" here, or add a [[programme]] with pump = \"left\", \
             from = \"20:00\" and until = \"08:00\"",
        ),
        (whole.clone(), "\"left\"", "`right` has no programme from 00:00 until 24:00: add a [[programme]]"),
        (
            format!(
                "{}{}{RIGHT}",
                stretch("left", "08:00", "21:00", STEADY),
                stretch("left", "20:00", "08:00", STEADY)
            ),
            "\"20:00\"",
            "`left` is told two things from 20:00 until 21:00: the other stretch goes from 08:00 until 21:00",
        ),
        (
            format!("{}{RIGHT}{whole}", stretch("lefd", "00:00", "24:00", STEADY)),
            "\"lefd\"",
            "no pump is called `lefd`: did you mean `left`?",
        ),
        (
            left("pattern = \"steady\"\nsetting = \"15 %\""),
            "\"15 %\"",
            "`left` does not run at 15\u{a0}%: its lowest setting is 20 %",
        ),
        (
            left("pattern = \"wander\"\nlow = \"10 %\"\nhigh = \"60 %\"\nperiod = \"10 min\""),
            "\"10 %\"",
            "`left` does not run at 10\u{a0}%: its lowest setting is 20 %; to stop it, write pattern = \"rest\"",
        ),
        (
            format!("{whole}{}", stretch("right", "00:00", "24:00", STEADY)),
            "\"steady\"",
            "`right` has one speed: it runs or it rests: write pattern = \"steady\" with setting = \"100 %\"",
        ),
        (
            left("pattern = \"pulse\"\nlow = \"60 %\"\nhigh = \"30 %\"\nperiod = \"4 s\""),
            "\"30 %\"",
            "`high` is not above `low`: swap them",
        ),
        (
            format!(
                "{}{}{RIGHT}",
                stretch(
                    "left",
                    "08:00",
                    "09:00",
                    "pattern = \"alternate\"\nlow = \"30 %\"\nhigh = \"60 %\"\nperiod = \"2 h\""
                ),
                stretch("left", "09:00", "08:00", STEADY)
            ),
            "\"2 h\"",
            "the period is longer than the stretch, from 08:00 until 09:00",
        ),
        (
            format!("{}{RIGHT}", stretch("left", "8 am", "24:00", STEADY)),
            "\"8 am\"",
            "`8 am` is no time of the day",
        ),
        (
            format!("{}{RIGHT}", stretch("left", "24:00", "20:00", STEADY)),
            "\"24:00\"",
            "`24:00` is no time of the day: the day begins",
        ),
        (
            format!("{}{RIGHT}", stretch("left", "08:00", "08:00", STEADY)),
            "\"08:00\"",
            "the stretch ends when it begins",
        ),
        (
            format!("{whole}{RIGHT}[[feeding]]\nat = \"18:00\"\npause = \"30 min\"\n"),
            "\"30 min\"",
            "the pumps stand still for 30\u{a0}min: let",
        ),
        (
            format!("{whole}{RIGHT}[[feeding]]\nat = \"18:00\"\npause = \"90 s\"\n"),
            "\"90 s\"",
            "the pause is not a whole number of minutes",
        ),
        (
            format!(
                "{whole}{RIGHT}[[feeding]]\nat = \"23:55\"\npause = \"10 min\"\n[[feeding]]\nat = \"00:00\"\npause = \"5 min\"\n"
            ),
            "\"00:00\"",
            "this feeding runs into the one at 23:55",
        ),
        (
            format!("{whole}{RIGHT}[[feeding]]\nat = \"18:00\"\npause = \"5 min\"\npumps = [\"rihgt\"]\n"),
            "[\"rihgt\"]",
            "no pump is called `rihgt`: did you mean `right`?",
        ),
        (
            format!("{whole}{RIGHT}[lights]\non = \"08:00\"\noff = \"08:00\"\n"),
            "\"08:00\"",
            "the lights go off when they go on",
        ),
    ];
    for (programme, marked, sentence) in cases {
        let told = told(&programme);
        assert!(
            told.len() == 1 && told[0].0 == marked && told[0].1.starts_with(sentence),
            "wanted {marked}: {sentence}\ntold {told:#?}"
        );
    }
}

#[test]
fn a_setting_that_belongs_to_another_pattern_is_unknown() {
    let told = told(&format!(
        "{}{RIGHT}",
        stretch("left", "00:00", "24:00", "pattern = \"rest\"\nsetting = \"50 %\"")
    ));
    assert!(told[0].1.starts_with("unknown key `programme.setting`"), "{told:?}");
}

fn runner(name: &str, litres_an_hour: f64, lowest: f64) -> Runner {
    Runner {
        name: name.to_owned(),
        rated_flow: VolumeRate::from_si(litres_an_hour / 3.6e6),
        lowest: Share(lowest),
        most: Traced::given(Some(Share(1.0))),
        power: Power::from_si(litres_an_hour / 500.0),
        standing_draw: Power::from_si(0.5),
        sound: SoundLevel(32.0),
    }
}

/// Half the day at half speed and half at rest, worked by hand.
#[test]
fn a_day_is_summed() {
    let rules = rules();
    let pumps = [runner("left", 4000.0, 0.2)];
    let halves = [("00:00", "12:00", Pattern::Steady(Share(0.5))), ("12:00", "24:00", Pattern::Rest)];
    let stretches = halves.map(|(from, until, pattern)| Stretch {
        pump: "left".to_owned(),
        from: clock(from),
        until: clock(until),
        pattern,
        places: Places::default(),
    });
    let feeding = Feeding { at: clock("06:00"), pause: 10, pumps: Vec::new(), places: Places::default() };
    let programme = Programme { stretches: stretches.into(), feedings: vec![feeding] };
    let day = Day::of(&programme, &pumps);
    let litres = |flow: VolumeRate| flow.si() * 3.6e6;
    // 710 minutes of 1440 at half of 4000 L/h.
    assert!((litres(day.mean_flow()) - 2000.0 * 710.0 / 1440.0).abs() < 1e-6);
    assert!(
        litres(day.flow_range().low).abs() < 1e-9 && (litres(day.flow_range().high) - 2000.0).abs() < 1e-6
    );
    let band = |low: f64, high: f64| Band {
        low: VolumeRate::from_si(low / 3.6e6),
        high: VolumeRate::from_si(high / 3.6e6),
    };
    assert!((day.time_in(band(1500.0, 2000.0)).si() - 710.0 * 60.0).abs() < 1e-9);
    // Three changes of stretch and the two ends of the feeding: run, feed, run, rest.
    assert!((day.pumps[0].changes - 4.0).abs() < 1e-9);
    assert!((day.pumps[0].longest_rest.si() - 12.0 * 3600.0).abs() < 1e-9);
    // Full saving: 0.5 W standing and an eighth of 7.5 W for 710 minutes, the standing draw for the rest.
    let energy = day.energy(&pumps, &rules.power).unwrap();
    let least = (0.5 * 1440.0 + 7.5 / 8.0 * 710.0) * 60.0;
    assert!((energy.low.si() - least).abs() < 1e-6, "{} {least}", energy.low.si());
    assert!(energy.high > energy.low);
}

#[test]
fn a_pump_that_rests_all_night_makes_no_sound() {
    let rules = rules();
    let pumps = [runner("left", 4000.0, 0.2)];
    let stretches = [("08:00", "20:00", Pattern::Steady(Share(1.0))), ("20:00", "08:00", Pattern::Rest)];
    let stretches = stretches.map(|(from, until, pattern)| Stretch {
        pump: "left".to_owned(),
        from: clock(from),
        until: clock(until),
        pattern,
        places: Places::default(),
    });
    let day = Day::of(&Programme { stretches: stretches.into(), feedings: Vec::new() }, &pumps);
    assert_eq!(day.night_levels(&pumps, clock("22:00"), 480, &rules.sound).unwrap(), None);
    // By day it makes what is stated for it; half of the time is 3 dB less on average.
    let [mean, peak] = day.night_levels(&pumps, clock("14:00"), 720, &rules.sound).unwrap().unwrap();
    assert!((peak.0 - 32.0).abs() < 1e-9 && (mean.0 - (32.0 - 3.0103)).abs() < 1e-3, "{mean:?} {peak:?}");
}

fn runners() -> impl Strategy<Value = Vec<Runner>> {
    let pump = (500.0..20000.0, prop_oneof![Just(1.0), 0.05..0.6]);
    prop::collection::vec(pump, 1..6).prop_map(|pumps| {
        pumps
            .into_iter()
            .enumerate()
            .map(|(at, (flow, lowest))| runner(&format!("pump {at}"), flow, lowest))
            .collect()
    })
}

fn needs() -> impl Strategy<Value = Needs> {
    (100.0..20000.0, 1.2..5.0, 0.0..1.0, 0_u16..1440, 1_u16..1440, any::<bool>()).prop_map(
        |(low, times, share, on, light, bedroom)| {
            let on = ClockTime::new(on).unwrap();
            let flow = Band {
                low: VolumeRate::from_si(low / 3.6e6),
                high: VolumeRate::from_si(low * times / 3.6e6),
            };
            Needs {
                flow,
                aim: flow.at(share),
                lights: Lights { on, off: on.later(light) },
                bedroom,
                step: Share(0.05),
            }
        },
    )
}

#[test]
fn a_suggested_programme_passes_its_own_checks() {
    costly(20, (runners(), needs()), |(pumps, needs)| {
        let rules = rules();
        let programme = suggest(&pumps, needs, &rules.programme);
        let dials: Vec<_> = pumps.iter().map(|pump| Dial { pump: &pump.name, lowest: pump.lowest }).collect();
        prop_assert_eq!(programme.faults(&dials, *rules.programme.feeding_pause), vec![]);
        let day = Day::of(&programme, &pumps);
        prop_assert!(day.flow.iter().all(|flow| flow.si().is_finite()));
        prop_assert!(day.longest_still.si() <= rules.programme.feeding_pause.si() + 1e-6);
        Ok(())
    });
}

/// Where the pumps can reach the whole band by more than the per cent of a dial, the flow never leaves it but
/// to feed.
#[test]
fn a_suggested_programme_keeps_the_band() {
    costly(
        10,
        (2000.0..20000.0, 0.05..0.2, 0.2..0.4, 0.6..0.95, 1_usize..4),
        |(flow, lowest, low, high, count)| {
            let rules = rules();
            let pumps: Vec<_> = (0..count).map(|at| runner(&format!("pump {at}"), flow, lowest)).collect();
            let full = VolumeRate::from_si(flow * count as f64 / 3.6e6);
            let band = Band { low: full * low, high: full * high };
            let lights = Lights { on: clock("10:00"), off: clock("20:00") };
            let programme = suggest(
                &pumps,
                Needs { flow: band, aim: band.at(0.5), lights, bedroom: false, step: Share(0.05) },
                &rules.programme,
            );
            let day = Day::of(&programme, &pumps);
            let outside = 24.0 * 3600.0 - day.time_in(band).si();
            prop_assert!((outside - rules.programme.feeding_pause.si()).abs() < 1e-6, "{outside} s outside");
            // Two pumps or more that change sides stay in the band at every moment too.
            for segment in
                programme.timeline(&pumps.iter().map(|pump| pump.name.as_str()).collect::<Vec<_>>())
            {
                let (low, high) = segment.pattern.ends();
                prop_assert!(
                    segment.feeding
                        || (band.low <= full * (low.0 + 1e-9) && full * (high.0 - 1e-9) <= band.high)
                );
            }
            Ok(())
        },
    );
}

/// Cover, gap and overlap against a count of every minute.
#[test]
fn gaps_and_overlaps_are_found() {
    costly(10, prop::collection::vec((0_u16..1440, 1_u16..1440), 1..5), |ends| {
        let stretches: Vec<_> = ends
            .iter()
            .map(|(from, lasts)| {
                let from = ClockTime::new(*from).unwrap();
                Stretch {
                    pump: "left".to_owned(),
                    from,
                    until: from.later(*lasts),
                    pattern: Pattern::Rest,
                    places: Places::default(),
                }
            })
            .collect();
        let mut told = vec![0; 1440];
        for (from, lasts) in &ends {
            for minute in 0..*lasts {
                told[usize::from((from + minute) % 1440)] += 1;
            }
        }
        let programme = Programme { stretches, feedings: Vec::new() };
        let faults = programme.faults(&[Dial { pump: "left", lowest: Share(0.2) }], Time::from_si(600.0));
        let says = |words: &str| faults.iter().any(|fault| fault.message.contains(words));
        prop_assert_eq!(says("has no programme"), told.contains(&0));
        prop_assert_eq!(says("two things"), told.iter().any(|times| *times > 1));
        let timeline = programme.timeline(&["left"]);
        let covered: u16 =
            timeline.iter().map(|segment| segment.until.minutes() - segment.from.minutes()).sum();
        prop_assert_eq!(usize::from(covered), told.iter().filter(|times| **times > 0).count());
        Ok(())
    });
}

#[test]
fn a_mixed_reef_is_stirred_no_further_above_the_aim_than_it_goes_below_it() {
    let rules = Rules::compiled_in().unwrap();
    let needs = |now: &str| {
        let tank = Tank::read("t.toml", &TANK.replace("now = \"soft\"", now), &rules).unwrap();
        Needs::of(counted(&tank, &rules), &rules, &tank).unwrap()
    };
    // 20 to 40 times an hour for the small polyps alone; beside soft corals aimed at a quarter of the way,
    // and stirred up to the half.
    let (alone, mixed) = (needs("now = \"small_polyp\""), needs("now = [\"soft\", \"small_polyp\"]"));
    let times = |flow: VolumeRate, other: VolumeRate| flow.si() / other.si();
    assert!((times(alone.flow.high, alone.flow.low) - 2.0).abs() < 1e-9);
    assert!((times(mixed.flow.high, mixed.flow.low) - 1.5).abs() < 1e-9);
    assert!((times(mixed.aim, mixed.flow.low) - 1.25).abs() < 1e-9);
    // Fish go with any corals: with them alone nothing is mixed.
    assert!(
        (times(needs("now = [\"fish_only\", \"small_polyp\"]").flow.high, alone.flow.high) - 1.0).abs()
            < 1e-9
    );
}

#[test]
fn the_day_goes_no_higher_than_the_streams_leave_calm() {
    // Long polyps bear less than their band of flow would give them here.
    let rules = rules();
    let text = TANK
        .replace("width = \"45 cm\"", "width = \"90 cm\"")
        .replace("now = \"soft\"", "now = \"large_polyp\"")
        .replace("model = \"Plain\"", "model = \"Dial\"");
    let tank = Tank::read("t.toml", &text, &rules).unwrap();
    let pumps = hung(&rules, &catalogue(), &tank).unwrap();
    let most = (*pumps[0].most).unwrap();
    assert!(most.0 < 1.0 && Some(most) == *pumps[1].most, "{most:?}");
    let faults = |setting: f64| {
        let mut tank = tank.clone();
        tank.pumps.iter_mut().for_each(|pump| pump.setting = Share(setting));
        let fit = crate::decide::fit::check(&rules, &catalogue(), &tank).unwrap().unwrap();
        fit.streams.iter().map(|stream| stream.verdict.faults.len()).sum::<usize>()
    };
    assert!(faults(most.0) == 0 && faults(most.0 + 0.01) > 0, "{most:?}");
    let day = of(&rules, &catalogue(), &tank).unwrap();
    let highest = day.stretches.iter().map(|stretch| stretch.pattern.ends().1.0).fold(0.0, f64::max);
    assert!(highest <= most.0 && highest > 0.2, "{highest}");
    // The band alone would let it go higher.
    let free = suggest(
        &pumps
            .iter()
            .cloned()
            .map(|pump| Runner { most: Traced::given(Some(Share(1.0))), ..pump })
            .collect::<Vec<_>>(),
        Needs::of(counted(&tank, &rules), &rules, &tank).unwrap(),
        &rules.programme,
    );
    assert!(free.stretches.iter().any(|stretch| stretch.pattern.ends().1.0 > most.0));
}

#[test]
fn settings_are_steps_of_the_dial_where_the_band_has_room() {
    let rules = rules();
    let day = of(&rules, &catalogue(), &tank("").unwrap()).unwrap();
    for stretch in day.stretches.iter().filter(|stretch| stretch.pump == "left") {
        for end in [stretch.pattern.ends().0, stretch.pattern.ends().1] {
            let steps = end.0 / rules.placement.dial_step.0;
            assert!((steps - libm::rint(steps)).abs() < 1e-9, "{stretch:?}");
        }
    }
}

/// A pump that wanders may be at either end of its range at any moment; the mean says nothing of that.
#[test]
fn the_range_of_a_day_is_that_of_each_moment() {
    let pumps = [runner("left", 4000.0, 0.2)];
    let pattern = Pattern::Wander(Swing {
        low: Share(0.4),
        high: Share(0.6),
        period: Time::from_si(900.0),
        starts_high: true,
    });
    let stretch = Stretch {
        pump: "left".to_owned(),
        from: clock("00:00"),
        until: clock("24:00"),
        pattern,
        places: Places::default(),
    };
    let day = Day::of(&Programme { stretches: vec![stretch], feedings: Vec::new() }, &pumps);
    let litres = |flow: VolumeRate| flow.si() * 3.6e6;
    assert!(
        (litres(day.flow_range().low) - 1600.0).abs() < 1e-6
            && (litres(day.flow_range().high) - 2400.0).abs() < 1e-6
    );
    assert!((litres(day.mean_flow()) - 2000.0).abs() < 1e-6);
}

#[test]
fn a_suggested_programme_keeps_to_the_feeding_pause() {
    let (rules, catalogue) = (rules(), Catalogue::read("pumps.toml", power_cut::PUMPS).unwrap());
    let pauses = |fish| {
        let tank = Tank::read("tank.toml", &power_cut::crowded(fish), &rules).unwrap();
        let longest =
            Chain::new(&rules, &tank).unwrap().feeding_pause().unwrap().map(|pause| pause.si() / 60.0);
        let programme = of(&rules, &catalogue, &tank).unwrap();
        (longest, programme.feedings.iter().map(|feeding| f64::from(feeding.pause)).collect::<Vec<_>>())
    };
    let (longest, told) = pauses(1);
    assert_eq!((longest, told), (Some(10.0), vec![10.0]));
    assert_eq!(pauses(119), (None, vec![]));
    let shorter =
        (1..119).map(pauses).find(|(longest, _)| longest.is_some_and(|longest| longest < 10.0)).unwrap();
    assert_eq!(shorter.1, vec![shorter.0.unwrap()]);
}

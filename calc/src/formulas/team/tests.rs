use std::sync::LazyLock;

use proptest::prelude::*;

use std::f64::consts::PI;

use super::*;
use crate::rules::Rules;

fn team(mode: Mode, aims: Aims) -> Team {
    Team::new(mode, aims, Share(0.25), Share(1.0)).unwrap()
}

fn both(speed: f64) -> [Velocity; 2] {
    [Velocity::from_si(speed); 2]
}

/// Read once: a property asks thousands of times.
static RULES: LazyLock<Rules> = LazyLock::new(|| Rules::compiled_in().unwrap());

fn rules() -> &'static TeamRules {
    &RULES.team
}

/// Worked by hand for two like pumps that make 1 m/s midway, pulsing between a quarter and full: what each
/// mode leaves of it.
#[test]
fn pushes_add_or_cancel_midway() {
    // One full and one at a quarter: √(1 + 1/16) side by side, √(1 − 1/16) against each other.
    let (more, less) = (1.0625_f64.sqrt(), 0.9375_f64.sqrt());
    let both_full = 2.0_f64.sqrt();
    let cases = [
        // As strong as each other they meet here, and the water may come from either.
        (Mode::InStep, Aims::Facing, -1.0, 1.0),
        (Mode::InStep, Aims::SameWay, 0.25 * both_full, both_full),
        (Mode::Opposed, Aims::Facing, -less, less),
        (Mode::Opposed, Aims::SameWay, more, more),
        (Mode::LeadAndFollow, Aims::Facing, -1.0, 1.0),
        (Mode::LeadAndFollow, Aims::SameWay, 0.25 * both_full, both_full),
        (Mode::Turns, Aims::Facing, -less, less),
    ];
    for (mode, aims, low, high) in cases {
        let speeds = team(mode, aims).speeds(both(1.0), rules());
        assert!(
            (speeds.low.si() - low).abs() < 1e-12 && (speeds.high.si() - high).abs() < 1e-12,
            "{mode:?} {aims:?}: {speeds:?}"
        );
    }
}

#[test]
fn a_clearly_weaker_stream_gives_way_and_a_nearly_like_one_does_not() {
    let facing = team(Mode::InStep, Aims::Facing);
    let full = |lead: f64, follower: f64| {
        facing.speeds([Velocity::from_si(lead), Velocity::from_si(follower)], rules())
    };
    assert!(full(1.0, 0.95).low.si() < 0.0, "a tenth apart they still meet here");
    assert!(full(1.0, 0.6).low.si() > 0.0 && full(0.6, 1.0).high.si() < 0.0);
}

#[test]
fn opposed_pumps_keep_the_flow_even() {
    let flows = team(Mode::Opposed, Aims::Facing).flows([VolumeRate::from_si(1.0); 2]);
    assert!((flows.low.si() - 1.25).abs() < 1e-12 && (flows.high.si() - 1.25).abs() < 1e-12);
}

#[test]
fn pushes_add_or_cancel() {
    let push = |mode, aims| team(mode, aims).push().si();
    assert!((push(Mode::InStep, Aims::SameWay) - 2.0).abs() < 1e-12);
    assert!((push(Mode::Opposed, Aims::Facing) - 2.0).abs() < 1e-12);
    assert!(push(Mode::InStep, Aims::Facing).abs() < 1e-12);
    assert!(push(Mode::Opposed, Aims::SameWay).abs() < 1e-12);
    assert!((push(Mode::LeadAndFollow, Aims::Facing) - 2.0_f64.sqrt()).abs() < 1e-12);
    assert!(push(Mode::Turns, Aims::Facing).abs() < 1e-12);
}

#[test]
fn only_a_team_that_pushes_in_time_rocks_the_tank() {
    let rules = &RULES.waves;
    let slosh = Time::from_si(1.1);
    assert_eq!(team(Mode::Opposed, Aims::Facing).rocks(slosh, slosh, rules), Some(1));
    assert_eq!(team(Mode::InStep, Aims::Facing).rocks(slosh, slosh, rules), None);
    assert_eq!(team(Mode::Opposed, Aims::Facing).rocks(slosh * 1.5, slosh, rules), None);
}

#[test]
fn settings_that_are_none_are_refused() {
    for (low, high) in [(0.0, 1.0), (0.5, 1.1), (0.6, 0.5), (f64::NAN, 1.0), (0.5, f64::NAN)] {
        assert!(Team::new(Mode::InStep, Aims::Facing, Share(low), Share(high)).is_err(), "{low} {high}");
    }
}

fn modes() -> impl Strategy<Value = (Mode, Aims)> {
    (prop::sample::select(Mode::ALL.to_vec()), prop::sample::select(vec![Aims::Facing, Aims::SameWay]))
}

proptest! {
    /// The part of the net push that keeps time with the pulse, summed up over a period from the settings
    /// themselves.
    #[test]
    fn the_push_is_that_of_the_settings(
        mode in prop::sample::select(vec![Mode::InStep, Mode::Opposed, Mode::LeadAndFollow]),
        aims in prop::sample::select(vec![Aims::Facing, Aims::SameWay]), low in 0.05..0.9,
    ) {
        let team = Team::new(mode, aims, Share(low), Share(1.0)).unwrap();
        let sign = if aims == Aims::Facing { -1.0 } else { 1.0 };
        let part = |push: &dyn Fn(f64) -> f64| {
            let steps = 4000;
            let (mut along, mut across) = (0.0, 0.0);
            for step in 0..steps {
                let phase = (f64::from(step) + 0.5) / f64::from(steps);
                along += push(phase) * libm::cos(2.0 * PI * phase);
                across += push(phase) * libm::sin(2.0 * PI * phase);
            }
            (along * along + across * across).sqrt()
        };
        let net = part(&|phase| { let [lead, follower] = team.settings(phase); lead.0 * lead.0 + sign * follower.0 * follower.0 });
        let one = part(&|phase| { let [lead, _] = team.settings(phase); lead.0 * lead.0 });
        prop_assert!((net / one - team.push().si()).abs() < 1e-6, "{} {}", net / one, team.push().si());
    }

    #[test]
    fn no_moment_leaves_the_band((mode, aims) in modes(), phase in -3.0..3.0, lead in 0.0..2.0, follower in 0.0..2.0) {
        let team = team(mode, aims);
        let full = [Velocity::from_si(lead), Velocity::from_si(follower)];
        let (all, now) = (team.speeds(full, rules()), team.speed(full, phase, rules()));
        prop_assert!(all.contains(now.low) && all.contains(now.high));
        // Never more than both pushes give together.
        let most = stream::together(full).si() * (1.0 + 1e-12);
        prop_assert!(now.low.si() >= -most && now.high.si() <= most);
    }
}

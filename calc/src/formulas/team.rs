//! Teams: what several pumps do together, by how their pulses keep time.
//!
//! Two pumps with the same pulse can be high together, high by turns, or one some time after the other. Which
//! of these it is decides what a coral midway between them feels, how even the flow of both together is, and
//! whether their pushes add up to one that rocks the tank.
//!
//! Streams that meet add their pushes, which go with the square of their speeds: two like streams side by
//! side are √2 times as fast as one. Streams that face each other meet where both are as fast; there they
//! turn aside, and the place wanders, so that the water near it comes now from one side, now from the other.
//! What is told there is a band, not a line.
//!
//! Taken for granted throughout: speed follows the setting at once; really a change takes a second or two to
//! arrive. How high the water climbs when a team rocks it is not reckoned: raise a wave slowly, watch it, and
//! stop well below the rim.

use std::f64::consts::PI;

use uom::si::f64::{Ratio, Time, Velocity, VolumeRate};

use super::{formula, stream, waves};
use crate::error::{Error, within};
use crate::quantity::{Dimension, Share};
use crate::rules::team::TeamRules;
use crate::rules::waves::WavesRules;
use crate::rules::{Band, words};

/// How a follower keeps time with its lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// Both high at once.
    InStep,
    /// The follower is high while the lead is low.
    Opposed,
    /// The follower does what its lead did a quarter of a period before.
    LeadAndFollow,
    /// As opposed, but each is high for minutes or hours.
    Turns,
}

impl Mode {
    /// All of them.
    pub const ALL: [Mode; 4] = [Mode::InStep, Mode::Opposed, Mode::LeadAndFollow, Mode::Turns];

    /// In words.
    pub fn words(self, words: &words::Team) -> &str {
        match self {
            Mode::InStep => words.in_step(),
            Mode::Opposed => words.opposed(),
            Mode::LeadAndFollow => words.lead_and_follow(),
            Mode::Turns => words.turns(),
        }
    }

    /// The end of a figure's id.
    pub fn key(self) -> &'static str {
        match self {
            Mode::InStep => "in_step",
            Mode::Opposed => "opposed",
            Mode::LeadAndFollow => "lead_and_follow",
            Mode::Turns => "turns",
        }
    }

    /// Share of a period by which the follower is late.
    fn lag(self) -> f64 {
        match self {
            Mode::InStep => 0.0,
            Mode::LeadAndFollow => 0.25,
            Mode::Opposed | Mode::Turns => 0.5,
        }
    }
}

/// How the two streams point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aims {
    /// At each other, from opposite ends.
    Facing,
    /// The same way, side by side.
    SameWay,
}

/// Two pumps with one pulse, high for the first half of the lead's period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Team {
    /// How they keep time.
    pub mode: Mode,
    /// How they point.
    pub aims: Aims,
    /// The low setting, from 1 %.
    pub low: Share,
    /// The high setting, up to 100 %.
    pub high: Share,
}

impl Team {
    /// A team.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for settings below 1 %, above 100 %, or the low one above the high one.
    pub fn new(mode: Mode, aims: Aims, low: Share, high: Share) -> Result<Self, Error> {
        let high = within("the high setting", high, Share(0.01)..=Share(1.0))?;
        let low = within("the low setting", low, Share(0.01)..=high)?;
        Ok(Team { mode, aims, low, high })
    }

    /// The settings of lead and follower at a time, as a share of the period: any number, whole periods make
    /// no difference.
    pub fn settings(&self, phase: f64) -> [Share; 2] {
        let setting = |phase: f64| if phase - libm::floor(phase) < 0.5 { self.high } else { self.low };
        [setting(phase), setting(phase - self.mode.lag())]
    }

    /// Speed of the water midway between the pumps, along the lead's stream; negative against it. One speed,
    /// or a band where it swings.
    ///
    /// - side by side: `(u₁² s₁² + u₂² s₂²)^½`, see [`stream::together`]
    /// - facing each other: `±|u₁² s₁² − u₂² s₂²|^½`, the sign of the stronger; where the streams meet here,
    ///   to within the rule's [`meeting`](TeamRules::meeting), anything between the one stream and the other
    ///
    /// - `full`: the speeds that lead and follower alone would make there at full, as
    ///   [`Stream::speed_at`](super::stream::Stream::speed_at) gives them
    pub fn speed(&self, full: [Velocity; 2], phase: f64, rules: &TeamRules) -> Band<Velocity> {
        let settings = self.settings(phase);
        let (lead, follower) = (full[0] * settings[0].0, full[1] * settings[1].0);
        let one = |speed: Velocity| Band { low: speed, high: speed };
        if self.aims == Aims::SameWay {
            return one(stream::together([lead, follower]));
        }
        let (lead, follower) = (lead.si(), follower.si());
        // A stream slows about as its way grows, so that from midway they meet as much nearer to one as that
        // one is weaker.
        let (weaker, stronger) = (lead.min(follower), lead.max(follower));
        if weaker * (1.0 + rules.meeting.0) >= stronger {
            return Band { low: Velocity::from_si(-follower), high: Velocity::from_si(lead) };
        }
        let left = (stronger * stronger - weaker * weaker).sqrt();
        one(Velocity::from_si(if lead > follower { left } else { -left }))
    }

    /// The lowest and the highest of [`speed`](Self::speed) over a period.
    #[formula(words "√((lead's speed × its setting)² ± (follower's speed × its setting)²)")]
    pub fn speeds(&self, full: [Velocity; 2], rules: &TeamRules) -> Band<Velocity> {
        let bands = PHASES.map(|phase| self.speed(full, phase, rules));
        Band { low: band(bands.map(|band| band.low)).low, high: band(bands.map(|band| band.high)).high }
    }

    /// The lowest and the highest flow of both together over a period: `Q = Q₁ s₁ + Q₂ s₂`.
    #[formula(words "Σ rated flow × its setting × low or high of the pulse")]
    pub fn flows(&self, full: [VolumeRate; 2]) -> Band<VolumeRate> {
        band(PHASES.map(|phase| {
            let [lead, follower] = self.settings(phase);
            full[0] * lead.0 + full[1] * follower.0
        }))
    }

    /// How hard the team's pulses push the water to and fro along the tank, against one such pump alone: 0
    /// where the two pulses cancel, 2 where they add up. For two like pumps.
    ///
    /// A pump's push goes with the square of its setting, so it is a square wave too. Its part that keeps
    /// time with the pulse is an arrow of fixed length that turns once a period; the follower's is turned by
    /// the lag, and points the other way where the pumps face each other: `|1 ± e^(−2πi lag)|`. Pulses that
    /// are high together and face each other heap water up in the middle instead, which can rock it in its
    /// second swing. Turns are far too slow to rock anything.
    #[formula(words "|1 ± e^(−2πi × lag)|")]
    pub fn push(&self) -> Ratio {
        if self.mode == Mode::Turns {
            return Ratio::from_si(0.0);
        }
        let turned = 2.0 * PI * self.mode.lag();
        let (along, across) = (1.0 + self.sign() * libm::cos(turned), self.sign() * libm::sin(turned));
        let push = (along * along + across * across).sqrt();
        // What only the last bit of a cosine leaves is nothing.
        Ratio::from_si(if push < 1e-9 { 0.0 } else { push })
    }

    /// Whether the team rocks the tank, and on which swing of the water it pushes: `None` where it does not.
    ///
    /// - `pulse`: from push to push
    /// - `slosh`: time of one swing along the way the pumps point, see [`waves::slosh_period`]
    pub fn rocks(&self, pulse: Time, slosh: Time, rules: &WavesRules) -> Option<u32> {
        waves::meets_swing(pulse, slosh, rules).filter(|_| self.push().si() > 0.0)
    }

    fn sign(&self) -> f64 {
        match self.aims {
            Aims::Facing => -1.0,
            Aims::SameWay => 1.0,
        }
    }

    /// What it does, in words.
    pub fn says<'w>(&self, words: &'w words::Team) -> &'w str {
        match (self.aims, self.mode) {
            (Aims::Facing, Mode::InStep) => words.facing_in_step(),
            (Aims::Facing, Mode::Opposed) => words.facing_opposed(),
            (Aims::Facing, Mode::LeadAndFollow) => words.facing_lead_and_follow(),
            (Aims::Facing, Mode::Turns) => words.facing_turns(),
            (Aims::SameWay, Mode::InStep) => words.side_by_side_in_step(),
            (Aims::SameWay, Mode::Opposed) => words.side_by_side_opposed(),
            (Aims::SameWay, Mode::LeadAndFollow) => words.side_by_side_lead_and_follow(),
            (Aims::SameWay, Mode::Turns) => words.side_by_side_turns(),
        }
    }
}

/// Nothing changes within a quarter of a period: its middle stands for it.
const PHASES: [f64; 4] = [0.125, 0.375, 0.625, 0.875];

fn band<D: Dimension>(values: [D; 4]) -> Band<D> {
    let values = values.map(Dimension::si);
    Band {
        low: D::from_si(values.into_iter().fold(f64::INFINITY, f64::min)),
        high: D::from_si(values.into_iter().fold(f64::NEG_INFINITY, f64::max)),
    }
}

#[cfg(test)]
mod tests;

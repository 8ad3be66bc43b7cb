//! What of all that hums is heard at the pillow of a home.
//!
//! A home has one room: [`at_pillow_of`] is the one way from levels at one metre to a pillow, for the plan,
//! the fit, the programme and the limits alike. A shut door between tank and pillow keeps part of the sound
//! out.

use uom::si::f64::{Area, Length};

use crate::error::Error;
use crate::formulas::sound::{STATED_AT, heard, in_room, sum};
use crate::quantity::{Dimension, SoundLevel};
use crate::rules::sound::SoundRules;
use crate::rules::{Band, words};
use crate::tank::{Furnishing, Home, Tank};

/// What arrives at the pillow of a home from sources whose levels are stated at one metre.
///
/// Both ends are of the home's own room: at the least what arrives in the room that swallows most of its
/// kind, less the most that a shut door keeps out; at the most what arrives in the one that swallows least,
/// less the least that the door keeps out. Advice goes by the high end, rounded up.
///
/// - `stated`: at least one level
///
/// # Errors
/// As [`sum`] and [`in_room`].
pub fn at_pillow_of(
    home: &Home,
    stated: &[SoundLevel],
    rules: &SoundRules,
) -> Result<Band<SoundLevel>, Error> {
    Ok(heard(sum(stated)?, way_to_pillow(home, rules)?))
}

/// What the way from one metre to the pillow of a home adds to a level, or, below nothing, takes from it.
///
/// What is heard at one metre has its part from the room too: beyond a metre the way never adds.
///
/// # Errors
/// As [`in_room`].
pub fn way_to_pillow(home: &Home, rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    way_in(home, home.room, rules)
}

/// As [`way_to_pillow`], in a room that is furnished so.
pub(crate) fn way_in(home: &Home, room: Furnishing, rules: &SoundRules) -> Result<Band<SoundLevel>, Error> {
    let (metre, pillow, absorption) = (Length::from_si(STATED_AT), *home.pillow, absorption(room, rules));
    let kept_out = if home.door { *rules.door } else { Band { low: SoundLevel(0.0), high: SoundLevel(0.0) } };
    let adds = |absorption| {
        let at = |distance| in_room(SoundLevel(0.0), metre, distance, absorption);
        Ok::<_, Error>(at(pillow)?.0 - at(metre)?.0)
    };
    // The room that swallows more takes more on the way out from a metre, and gives more on the way in.
    let (one, other) = (adds(absorption.low)?, adds(absorption.high)?);
    Ok(Band {
        low: SoundLevel(one.min(other) - kept_out.high.0),
        high: SoundLevel(one.max(other) - kept_out.low.0),
    })
}

fn absorption(room: Furnishing, rules: &SoundRules) -> Band<Area> {
    match room {
        Furnishing::FullOfCloth => *rules.lined_room,
        Furnishing::LittleCloth => *rules.ordinary_room,
    }
}

/// What runs all day beside the pumps in the tank and hums.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hums {
    /// The return pump.
    ReturnPump,
    /// The overflow.
    Overflow,
    /// The skimmer.
    Skimmer,
}

impl Hums {
    /// In words, as in the middle of a sentence.
    pub fn words(self, words: &words::Sound) -> &str {
        match self {
            Hums::ReturnPump => words.return_pump(),
            Hums::Overflow => words.overflow(),
            Hums::Skimmer => words.skimmer(),
        }
    }
}

/// A source of sound that runs all day beside the pumps in the tank, at one metre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// What it is.
    pub what: Hums,
    /// Its level.
    pub level: SoundLevel,
}

/// What runs all day beside the pumps in the tank, as far as its file has it: return pump, overflow and
/// skimmer.
///
/// A tank with a return line has an overflow; one with a rear chamber has it too, but its water falls no
/// deeper than a hand.
pub fn beside_the_pumps(tank: &Tank, rules: &SoundRules) -> Vec<Source> {
    let mut sources = Vec::new();
    if let Some(line) = &tank.return_line {
        sources.push(Source { what: Hums::ReturnPump, level: *line.sound });
        if tank.rear_chamber.is_none() {
            sources.push(Source { what: Hums::Overflow, level: *rules.overflow });
        }
    }
    if let Some(skimmer) = &tank.skimmer {
        sources.push(Source { what: Hums::Skimmer, level: *skimmer.sound });
    }
    sources
}

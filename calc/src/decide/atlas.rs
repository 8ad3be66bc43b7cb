//! The atlas of shapes and rock: tanks of several shapes that differ in nothing else, and the same rock
//! stacked in each in several ways.
//!
//! All hold the same water, so that a larger floor makes it shallower, and have the same two pumps at full,
//! where the [placement](super::placement) hangs them. They have no sand, and are measured inside the glass. What
//! the [map of speeds](super::speed_map) takes for granted holds here too: the pane of a cylinder counts as the
//! box around it, and the bow of a front is left out.

use std::f64::consts::PI;

use uom::si::f64::{Length, Power, Volume};

use super::contents;
use super::placement::{Among, Room};
use super::speed_map::Scene;
use crate::catalogue::{Catalogue, Outlet, PumpKind, PumpModel, Shaft};
use crate::error::Error;
use crate::formulas::volume::{Glass, Outline};
use crate::quantity::{Currency, Dimension, Share, SoundLevel};
use crate::rules::Rules;
use crate::rules::words::Atlas as Words;
use crate::tank::{Aim, Form, HungPump, RearChamber, Rock, RockPiece, Rockwork, Stands, Tank};

/// The shapes of the atlas.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A box with room along its front.
    LongBox,
    /// As wide as long.
    Cube,
    /// Higher than long.
    Tall,
    /// The long box with only its left end to a wall.
    Divider,
    /// A box whose front swings out.
    BowFront,
    /// Round.
    Cylinder,
    /// A box with a chamber behind a false back wall.
    AllInOne,
    /// A box with a large floor and little water above it.
    Shallow,
}

/// The ways in which the rock is stacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stack {
    /// A single hill in the middle.
    Hill,
    /// A wall along the back.
    Wall,
    /// Islands with water between them.
    Islands,
}

impl Shape {
    /// All of them, in the order of the atlas.
    pub const ALL: [Shape; 8] = [
        Shape::LongBox,
        Shape::Cube,
        Shape::Tall,
        Shape::Divider,
        Shape::BowFront,
        Shape::Cylinder,
        Shape::AllInOne,
        Shape::Shallow,
    ];

    /// What the ids of its figures have for it.
    pub fn key(self) -> &'static str {
        match self {
            Shape::LongBox => "long_box",
            Shape::Cube => "cube",
            Shape::Tall => "tall",
            Shape::Divider => "divider",
            Shape::BowFront => "bow_front",
            Shape::Cylinder => "cylinder",
            Shape::AllInOne => "all_in_one",
            Shape::Shallow => "shallow",
        }
    }

    /// In words, as in the middle of a sentence.
    pub(crate) fn words(self, words: &Words) -> &str {
        match self {
            Shape::LongBox => words.long_box(),
            Shape::Cube => words.cube(),
            Shape::Tall => words.tall(),
            Shape::Divider => words.divider(),
            Shape::BowFront => words.bow_front(),
            Shape::Cylinder => words.cylinder(),
            Shape::AllInOne => words.all_in_one(),
            Shape::Shallow => words.shallow(),
        }
    }

    fn outline(self, rules: &Rules) -> Outline {
        let own = &rules.atlas;
        let of_box = |length, width| Outline::Box { length, width };
        match self {
            Shape::LongBox | Shape::Divider => of_box(*own.long_box_length, *own.long_box_width),
            Shape::Cube => of_box(*own.cube_side, *own.cube_side),
            Shape::Tall => of_box(*own.tall_length, *own.tall_width),
            Shape::BowFront => {
                let (length, width) = (*own.bow_front_length, *own.bow_front_width);
                Outline::BowFront { length, width, middle_width: width + *own.bow }
            }
            Shape::Cylinder => Outline::Cylinder { diameter: *own.cylinder_across },
            Shape::AllInOne => of_box(*own.all_in_one_length, *own.all_in_one_width),
            Shape::Shallow => of_box(*own.shallow_length, *own.shallow_width),
        }
    }
}

impl Stack {
    /// All of them, in the order of the atlas.
    pub const ALL: [Stack; 3] = [Stack::Hill, Stack::Wall, Stack::Islands];

    /// What the ids of its figures have for it.
    pub fn key(self) -> &'static str {
        match self {
            Stack::Hill => "hill",
            Stack::Wall => "wall",
            Stack::Islands => "islands",
        }
    }

    /// In words, as in the middle of a sentence.
    pub(crate) fn words(self, words: &Words) -> &str {
        match self {
            Stack::Hill => words.hill(),
            Stack::Wall => words.wall(),
            Stack::Islands => words.islands(),
        }
    }
}

/// What the pumps and their model are called: nobody reads it.
const PUMP: &str = "atlas";
/// How many hang in each tank.
pub const PUMPS: usize = 2;

/// A tank of the atlas, without its pumps.
///
/// # Errors
/// Where the rules make none.
pub fn tank(rules: &Rules, shape: Shape, stack: Stack) -> Result<Tank, Error> {
    let kind = rules.livestock.first().map_or("", |kind| kind.key());
    let text = include_str!("atlas/tank.toml").replace("KIND", kind);
    let base = Tank::read(PUMP, &text, rules).map_err(|problems| Error::NoAnswer {
        what: "a tank of the atlas",
        why: problems.into_iter().map(|problem| problem.message).collect::<Vec<_>>().join("; "),
    })?;
    let chamber = (shape == Shape::AllInOne).then(|| RearChamber { depth: *rules.atlas.chamber });
    let nothing = Length::default();
    let of_height = |height| Glass::new(shape.outline(rules), height, nothing, nothing);
    let flat = of_height(Length::from_si(1.0))?;
    let floor = flat.inside_area() - flat.back_strip(chamber.map_or(nothing, |chamber| chamber.depth));
    let mut tank = Tank {
        glass: of_height(*rules.atlas.water / floor)?,
        stands: if shape == Shape::Divider { Stands::RoomDivider } else { Stands::AgainstAWall },
        rear_chamber: chamber,
        rock: Some(Rock::Judged(*rules.atlas.rock)),
        rockwork: if stack == Stack::Islands { Rockwork::Islands } else { Rockwork::Wall },
        ..base
    };
    if stack == Stack::Hill {
        tank.pieces.push(hill(rules, &tank)?);
    }
    Ok(tank)
}

/// A single hill in the middle, as large as the rock of a tank with as much room in it as any pile has.
fn hill(rules: &Rules, tank: &Tank) -> Result<RockPiece, Error> {
    let (inside_length, inside_width, water) = Room::new(rules, tank)?.inside();
    let (length, width) =
        (inside_length * rules.atlas.hill_length.0, inside_width * rules.atlas.hill_width.0);
    let pile: Volume = contents::rock_aside(tank, &rules.volume) / rules.speed_map.packing.0;
    // Half an egg fills so much of the box around it.
    let (height, most) = (pile / (length * width) / (PI / 6.0), water * rules.speed_map.rock_top.0);
    Ok(RockPiece {
        form: Form::Mound,
        left: (inside_length - length) / 2.0,
        front: (inside_width - width) / 2.0,
        length,
        width,
        height: if height < most { height } else { most },
    })
}

/// The pump of the atlas; what it costs and draws is nobody's question.
fn model(rules: &Rules) -> PumpModel {
    PumpModel {
        model: PUMP.to_owned(),
        kind: PumpKind::RoundFixed,
        rated_flow: *rules.atlas.pump_flow,
        lowest_setting: Share(1.0),
        outlet: Outlet::Round { diameter: *rules.atlas.pump_outlet },
        power: Power::default(),
        standing_draw: Power::default(),
        sound: SoundLevel(0.0),
        price: 0.0,
        wet_end_price: 0.0,
        stated_tank: None,
        largest_pane: None,
        shaft: Shaft::Ceramic,
        battery_socket: false,
        works_in_a_team: false,
    }
}

/// A tank of the atlas with its pumps, where the placement hangs them.
///
/// # Errors
/// As [`tank`]; those of the placement and of [`Scene::of`].
pub fn scene(rules: &Rules, shape: Shape, stack: Stack) -> Result<Scene, Error> {
    let mut tank = tank(rules, shape, stack)?;
    let catalogue = Catalogue { currency: Currency::USD, pumps: vec![model(rules)] };
    let full = Share(1.0);
    let room = Room::new(rules, &tank)?;
    let pump = |spot: super::placement::Spot| {
        let heights = room.heights(&catalogue.pumps[0], full, spot)?;
        Ok(HungPump {
            name: PUMP.to_owned(),
            model: PUMP.to_owned(),
            setting: full,
            wall: spot.wall,
            along: spot.along,
            height: room.height(spot, heights, Among::pumps(PUMPS)),
            aim: Aim::default(),
        })
    };
    let pumps = room.spots(PUMPS).into_iter().map(pump).collect::<Result<_, Error>>()?;
    tank.pumps = pumps;
    let none = || Error::NoAnswer { what: "where the pumps of the atlas hang", why: shape.key().to_owned() };
    Scene::of(rules, &catalogue, &tank)?.ok_or_else(none)
}

#[cfg(test)]
mod tests;

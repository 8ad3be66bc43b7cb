//! The pump catalogue, as a TOML file lists it: `[[pump]]` for each model.

use uom::si::f64::{Length, Power, Volume, VolumeRate};

use crate::document::{self, Problem, Table};
pub use crate::formulas::stream::Outlet;
use crate::quantity::{Currency, Kind, Share, SoundLevel};
use crate::rules::Band;

/// All models on offer, and the money their prices are in.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    /// The money that prices are in.
    pub currency: Currency,
    /// The models, in the order of the file.
    pub pumps: Vec<PumpModel>,
}

/// One pump model.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpModel {
    /// Its name, once in a catalogue.
    pub model: String,
    /// What kind of pump it is.
    pub kind: PumpKind,
    /// What it gives at full, when clean.
    pub rated_flow: VolumeRate,
    /// The lowest setting at which it runs; full for a pump that can not be set.
    pub lowest_setting: Share,
    /// Where the water leaves it.
    pub outlet: Outlet,
    /// Power at full.
    pub power: Power,
    /// Power that its controller draws whatever the setting.
    pub standing_draw: Power,
    /// Sound level at one metre, at full.
    pub sound: SoundLevel,
    /// Its price.
    pub price: f64,
    /// Price of its wet end: the impeller, shaft and bearings.
    pub wet_end_price: f64,
    /// The tanks its maker says it is for.
    pub stated_tank: Option<Band<Volume>>,
    /// The thickest pane that its magnets hold through, where its maker says so.
    pub largest_pane: Option<Length>,
    /// What its shaft is made of.
    pub shaft: Shaft,
    /// Whether a battery can be plugged in.
    pub battery_socket: bool,
    /// Whether it can follow another pump's pulses.
    pub works_in_a_team: bool,
}

/// What kind of pump it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PumpKind {
    /// A propeller that pushes a round stream, one speed.
    RoundFixed,
    /// A propeller that pushes a round stream, speed set by a controller.
    RoundControllable,
    /// A long drum that pushes a sheet of water along the glass, speed set by a controller.
    CrossFlow,
}

/// What a shaft is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shaft {
    /// Hard, smooth, and brittle.
    Ceramic,
    /// Tougher, and dearer to seal against salt.
    Metal,
    /// Bends a little; wears faster.
    Plastic,
}

impl Catalogue {
    /// Reads a catalogue.
    ///
    /// # Errors
    /// Every problem in it, with its place.
    pub fn read(name: &str, text: &str) -> Result<Self, Vec<Problem>> {
        document::read(name, text, |table| {
            let currency = table.text("currency")?;
            let Some(currency) = Currency::new(&currency) else {
                table.refuse(
                    "currency",
                    format!("`{currency}` is not a currency code"),
                    "write its three capital letters, for instance \"EUR\"",
                );
                return None;
            };
            Some(Catalogue { currency, pumps: read_pumps(table, "pump", currency) })
        })
    }

    /// The catalogue with the models that a tank file adds to it.
    pub fn with(&self, models: &[PumpModel]) -> Self {
        let new = models.iter().filter(|model| self.pump(&model.model).is_none());
        Catalogue { currency: self.currency, pumps: self.pumps.iter().chain(new).cloned().collect() }
    }

    /// A catalogue without pumps: for figures that need none.
    pub fn empty() -> Self {
        Catalogue { currency: Currency::USD, pumps: Vec::new() }
    }

    /// The model of the given name.
    pub fn pump(&self, model: &str) -> Option<&PumpModel> {
        self.pumps.iter().find(|pump| pump.model == model)
    }
}

/// Reads a list of models, each of which has a name of its own.
pub(crate) fn read_pumps(table: &mut Table<'_>, key: &str, currency: Currency) -> Vec<PumpModel> {
    let mut names: Vec<String> = Vec::new();
    table.tables(key, |table| {
        let pump = read_pump(table, currency)?;
        if names.contains(&pump.model) {
            table.refuse(
                "model",
                format!("two pumps are called `{}`", pump.model),
                "give each model a name of its own",
            );
            return None;
        }
        names.push(pump.model.clone());
        Some(pump)
    })
}

fn read_pump(table: &mut Table<'_>, currency: Currency) -> Option<PumpModel> {
    let model = table.text("model");
    let kinds = [
        ("round-fixed", PumpKind::RoundFixed),
        ("round-controllable", PumpKind::RoundControllable),
        ("cross-flow", PumpKind::CrossFlow),
    ];
    let of_kind = table.by_choice("kind", &kinds, |table, kind| {
        let is_fixed = kind == PumpKind::RoundFixed;
        let lowest_setting =
            if is_fixed { Some(Share(1.0)) } else { table.quantity("lowest_setting", "1 %"..="100 %") };
        let outlet = if kind == PumpKind::CrossFlow {
            let (height, length) = (
                table.quantity("slot_height", "2 mm"..="10 cm"),
                table.quantity("slot_length", "2 cm"..="1 m"),
            );
            height.zip(length).map(|(height, length)| Outlet::Slot { height, length })
        } else {
            table.quantity("outlet", "5 mm"..="25 cm").map(|diameter| Outlet::Round { diameter })
        };
        Some((kind, lowest_setting?, outlet?))
    });
    let rated_flow = table.quantity("rated_flow", "100 L/h"..="200000 L/h");
    let power = table.quantity("power", "0.5 W"..="500 W");
    let standing_draw = table.maybe_quantity("standing_draw", "0 W"..="50 W").unwrap_or_default();
    let sound = table.quantity("sound", "5 dB"..="80 dB");
    let mut money = |key| table.quantity_of(key, Kind::Money(currency), "0"..="100000").map(|money| money.si);
    let (price, wet_end_price) = (money("price"), money("wet_end_price"));
    let stated_tank = table.maybe_table("stated_tank", |table| {
        let (low, high) =
            (table.quantity("low", "1 L"..="20000 L"), table.quantity("high", "1 L"..="20000 L"));
        Some(Band { low: low?, high: high? })
    });
    let largest_pane = table.maybe_quantity("largest_pane", "1 mm"..="6 cm");
    let shaft = table.choice(
        "shaft",
        &[("ceramic", Shaft::Ceramic), ("metal", Shaft::Metal), ("plastic", Shaft::Plastic)],
    );
    let battery_socket = table.flag("battery_socket");
    let works_in_a_team = table.flag("works_in_a_team");
    let (kind, lowest_setting, outlet) = of_kind?;
    Some(PumpModel {
        model: model?,
        kind,
        rated_flow: rated_flow?,
        lowest_setting,
        outlet,
        power: power?,
        standing_draw,
        sound: sound?,
        price: price?,
        wet_end_price: wet_end_price?,
        stated_tank,
        largest_pane,
        shaft: shaft?,
        battery_socket,
        works_in_a_team,
    })
}

//! A reader's tank, as a TOML file describes it.
//!
//! What the file leaves out and a figure needs comes from the rules of [`assumed`](crate::assumed);
//! [`Tank::assumed`] lists it.

mod measured;
pub mod programme;
mod wishes;

use std::ops::RangeInclusive;

use uom::si::f64::{
    Area, ElectricCurrent, ElectricPotential, Length, Mass, Power, ThermodynamicTemperature, Time, Volume,
    VolumeRate,
};

use crate::catalogue::{Catalogue, PumpModel, read_pumps};
use crate::document::{self, Key, Problem, Table, did_you_mean};
pub use crate::formulas::oxygen::Water;
pub use crate::formulas::power::{Battery, Chemistry, Output};
use crate::formulas::programme::{Lights, Programme};
pub use crate::formulas::speed_map::Form;
use crate::formulas::volume::{Glass, Outline};
use crate::quantity::{
    CURRENCIES, Currency, Dimension, Kind, Money, Quantity, Rounding, Salinity, Share, SoundLevel, show,
};
use crate::rules::Rules;
use crate::rules::assumed::AssumedRules;
use crate::rules::livestock::{Livestock, Stock};
use crate::trace::Traced;

pub use measured::{Crumb, Measured};
pub use wishes::{Rank, Wishes};

/// A tank and what is in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tank {
    /// What the reader calls it.
    pub name: String,
    /// One sentence about it.
    pub about: String,
    /// What calendars know it by, whatever it is called; its name where the file has none.
    pub id: String,
    /// The glass, outside measures.
    pub glass: Glass,
    /// What its panes are made of.
    pub material: Material,
    /// Whether glass strips or a frame hold its rim together.
    pub braced: bool,
    /// Whether a lid lies on it.
    pub lid: bool,
    /// How it stands in the room.
    pub stands: Stands,
    /// The chamber behind a false wall of an all-in-one tank.
    pub rear_chamber: Option<RearChamber>,
    /// The sand bed.
    pub sand: Option<Sand>,
    /// The rock.
    pub rock: Option<Rock>,
    /// How it is built, where its pieces are not listed.
    pub rockwork: Rockwork,
    /// Its pieces, where the file lists them.
    pub pieces: Vec<RockPiece>,
    /// Water in the sump while the pumps run.
    pub sump: Volume,
    /// The skimmer.
    pub skimmer: Option<Skimmer>,
    /// Temperature of its water.
    pub temperature: Traced<ThermodynamicTemperature>,
    /// Practical salinity of its water.
    pub salinity: Traced<Salinity>,
    /// Whether a fan blows over it.
    pub fan: bool,
    /// The fish, by kind.
    pub fish: Vec<Fish>,
    /// Models that the catalogue does not have, as their boxes say: they are on offer for this tank.
    pub models: Vec<PumpModel>,
    /// The pumps that hang in it.
    pub pumps: Vec<HungPump>,
    /// When the lights are on, where the file says so.
    pub lights: Option<Lights>,
    /// What the pumps do through the day; empty where the file does not say.
    pub programme: Programme,
    /// The pipe from the sump back to the tank.
    pub return_line: Option<ReturnLine>,
    /// The edge over which the water leaves the display.
    pub overflow: Option<Overflow>,
    /// The chamber in which the return pump stands.
    pub return_chamber: Option<ReturnChamber>,
    /// The battery for power cuts.
    pub battery: Option<Battery>,
    /// The air pump that runs on a battery of its own.
    pub air_pump: Option<AirPump>,
    /// The home it stands in.
    pub home: Home,
    /// What the reader measured of it.
    pub measured: Measured,
    /// What lives in it now.
    pub now: Stock,
    /// What it is to hold later: what the pumps are chosen for.
    pub later: Stock,
    /// Which volume the turnover counts.
    pub counts: Counts,
    /// At which height above the base the map of speeds shows the tank from above, where the file says so.
    pub map_height: Option<Length>,
    /// What a pump plan must keep to.
    pub wishes: Wishes,
    /// The keys that the file leaves out and of which something is assumed, such as `home.voltage`; all of
    /// them are in [`assumed::KEYS`](crate::assumed::KEYS).
    pub assumed: Vec<&'static str>,
}

/// What panes are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Material {
    /// Float glass.
    #[default]
    Glass,
    /// Acrylic: lighter, softer, and thicker for the same water.
    Acrylic,
}

/// How a tank stands in the room: it decides from where it is seen, and which panes a hand can reach from
/// outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Stands {
    /// Its back to a wall, as most do.
    #[default]
    AgainstAWall,
    /// Its back and its left end to walls.
    InACorner,
    /// Only its left end to a wall: seen from three sides.
    RoomDivider,
}

/// The chamber behind the false back wall of an all-in-one tank: filter, heater and return pump stand in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RearChamber {
    /// From the false wall to the back pane.
    pub depth: Length,
}

/// A skimmer.
#[derive(Debug, Clone, PartialEq)]
pub struct Skimmer {
    /// Power it takes.
    pub power: Traced<Power>,
    /// Its sound level at one metre.
    pub sound: Traced<SoundLevel>,
}

/// An air pump that runs on a battery of its own when the power fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirPump {
    /// Air that it gives.
    pub air: VolumeRate,
    /// How deep under the surface its bubbles leave.
    pub depth: Length,
    /// How long its battery runs it.
    pub lasts: Time,
}

/// A sand bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sand {
    /// Its depth.
    pub depth: Length,
    /// Size of its grains, by the sieve.
    pub grain: Length,
    /// Share of the bed that is water, where the reader knows better than the rule.
    pub porosity: Option<Share>,
}

/// The rock in a tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rock {
    /// Weighed, dry.
    Weighed {
        /// Its mass.
        mass: Mass,
        /// Share of it that is pores, where the reader knows better than the rule.
        porosity: Option<Share>,
    },
    /// Judged by eye: the share of the filled volume it takes.
    Judged(Share),
}

/// How rock is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rockwork {
    /// One wall along the back.
    #[default]
    Wall,
    /// Several mounds with water between them.
    Islands,
}

/// A piece of rock, as it stands on the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RockPiece {
    /// How it is shaped.
    pub form: Form,
    /// From the left end, inside, to its left side.
    pub left: Length,
    /// From the front pane, inside, to its near side.
    pub front: Length,
    /// From its left side to its right one.
    pub length: Length,
    /// From its near side to its far one.
    pub width: Length,
    /// Above the floor, or above the sand.
    pub height: Length,
}

/// Fish of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Fish {
    /// What they are.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Mass of one.
    pub mass: Mass,
}

/// A pump that hangs in the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct HungPump {
    /// What the reader calls it, for instance "left".
    pub name: String,
    /// Its model in the catalogue.
    pub model: String,
    /// What it is set to; full when it can not be set.
    pub setting: Share,
    /// The pane it hangs on.
    pub wall: Wall,
    /// How far along that pane, from the left or from the front.
    pub along: Share,
    /// Height of its outlet above the base.
    pub height: Length,
    /// Where it points, where the file says so.
    pub aim: Aim,
}

/// Where on the pane opposite a pump points, as far as a file says it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Aim {
    /// How far along that pane, from the left or from the front.
    pub along: Option<Share>,
    /// How high above the base.
    pub height: Option<Length>,
}

/// The pane that a pump hangs on, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wall {
    /// The left end.
    Left,
    /// The right end.
    Right,
    /// The back.
    Back,
    /// The front.
    Front,
}

/// The pipe from the sump back to the tank.
#[derive(Debug, Clone, PartialEq)]
pub struct ReturnLine {
    /// From the water in the sump up to the outlet.
    pub lift: Length,
    /// Length of the pipe.
    pub length: Length,
    /// Its inside diameter.
    pub bore: Length,
    /// How many elbows.
    pub elbows: Traced<u32>,
    /// What the return pump gives at no height.
    pub pump_flow: VolumeRate,
    /// The height at which the return pump gives nothing.
    pub pump_head: Length,
    /// Power the return pump takes.
    pub pump_power: Power,
    /// How deep its outlet hangs under the surface, where the file says so.
    pub outlet_depth: Option<Length>,
    /// Sound level of the return pump at one metre.
    pub sound: Traced<SoundLevel>,
}

/// The edge over which the water leaves the display, into a drain or a rear chamber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overflow {
    /// Its length.
    pub edge: Length,
    /// Whether it has the teeth of a comb.
    pub comb: bool,
}

/// The chamber in which the return pump stands, in the sump or behind a false wall: the only one whose level
/// falls when water evaporates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReturnChamber {
    /// Its length inside.
    pub length: Length,
    /// Its width inside.
    pub width: Length,
    /// From its usual level down to where the pump begins to draw air.
    pub fall: Length,
}

/// The home a tank stands in.
#[derive(Debug, Clone, PartialEq)]
pub struct Home {
    /// The money that prices are in.
    pub currency: Currency,
    /// Price of a kilowatt hour.
    pub price_per_kwh: Traced<f64>,
    /// From the tank to the nearest pillow.
    pub pillow: Traced<Length>,
    /// Voltage of the sockets.
    pub voltage: Traced<ElectricPotential>,
    /// Rating of the circuit's breaker.
    pub breaker: Traced<ElectricCurrent>,
    /// What else runs on the circuit for hours: heaters, lights, other rooms.
    pub other_load: Power,
    /// What one of that money buys in another, for prices that are in the other.
    pub exchange: Option<Money>,
    /// Whether a door is shut between tank and pillow.
    pub door: bool,
    /// How warm the tank's room is.
    pub temperature: Traced<ThermodynamicTemperature>,
    /// Relative humidity of its air.
    pub humidity: Traced<Share>,
    /// How much sound the room swallows.
    pub room: Furnishing,
    /// Whether a residual-current device guards the tank's sockets.
    pub residual_current: bool,
}

/// How a room is furnished: it decides how much sound its walls throw back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Furnishing {
    /// Carpet, curtains and a bed.
    FullOfCloth,
    /// A hard floor and little cloth: the louder room, and the one that counts where a tank file does not
    /// say.
    LittleCloth,
}

impl ReturnLine {
    /// The power its pump draws: what was measured at the plug, or what its label says.
    pub fn drawn(&self, measured: &Measured) -> Power {
        measured.return_power.unwrap_or(self.pump_power)
    }
}

impl Home {
    /// What a kilowatt hour costs in a currency: the home's own, or the one that [`Home::exchange`] leads to;
    /// `None` for another.
    pub fn price_in(&self, currency: Currency) -> Option<Money> {
        self.rate_to(currency).map(|rate| Money { amount: *self.price_per_kwh * rate, currency })
    }

    /// What one of the home's money buys in a currency; `None` where that is not known.
    pub fn rate_to(&self, currency: Currency) -> Option<f64> {
        let exchanged = self.exchange.filter(|money| money.currency == currency).map(|money| money.amount);
        if self.currency == currency { Some(1.0) } else { exchanged }
    }
}

/// Which volume the turnover counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counts {
    /// The water that is there: less sand and rock.
    Net,
    /// The inside of the glass up to the rim.
    Gross,
}

impl Tank {
    /// Reads a tank file. What it leaves out and a figure needs comes from the rules.
    ///
    /// # Errors
    /// Every problem in it, with its place.
    pub fn read(name: &str, text: &str, rules: &Rules) -> Result<Self, Vec<Problem>> {
        document::read(name, text, |table| read_tank(table, rules, None))
    }

    /// Reads a tank file whose pumps must be models of a catalogue.
    ///
    /// # Errors
    /// As [`Tank::read`], and a model that the catalogue does not have, with the nearest names.
    pub fn read_with(
        name: &str,
        text: &str,
        rules: &Rules,
        catalogue: &Catalogue,
    ) -> Result<Self, Vec<Problem>> {
        document::read(name, text, |table| read_tank(table, rules, Some(catalogue)))
    }

    /// From the false wall of a rear chamber to the back pane; nothing for a tank without one.
    pub fn chamber_depth(&self) -> Length {
        self.rear_chamber.map_or_else(Length::default, |chamber| chamber.depth)
    }

    /// Depth of its water: from the surface to the floor or the sand.
    pub fn water_depth(&self) -> Length {
        self.glass.water_height() - self.sand.map_or(Length::default(), |sand| sand.depth)
    }

    /// Its water.
    pub fn water(&self) -> Water {
        Water { temperature: *self.temperature, salinity: *self.salinity }
    }

    /// The floor of the display, and its water's surface: inside the glass, without a rear chamber.
    pub fn display_area(&self) -> Area {
        self.glass.inside_area() - self.glass.back_strip(self.chamber_depth())
    }
}

/// Every key that a tank file may have, in the order in which one is best written.
///
/// - `rules`: where the values come from that are taken when a key is left out
pub fn keys(rules: &Rules) -> Vec<Key> {
    document::describe(|table| {
        read_tank(table, rules, None);
    })
}

fn read_tank(table: &mut Table<'_>, rules: &Rules, catalogue: Option<&Catalogue>) -> Option<Tank> {
    let (kinds, rules) = (&rules.livestock, &rules.assumed);
    let mut assumed = Vec::new();
    let name = table.text("name");
    let about = table.maybe_text("about").unwrap_or_default();
    let id = table.maybe_text("id").or_else(|| name.clone());
    let glass = table.table("glass", |table| {
        let glass = read_glass(table);
        let material = table.choice_or(
            "material",
            &[("glass", Material::Glass), ("acrylic", Material::Acrylic)],
            Material::Glass,
        );
        let (braced, lid) = (table.flag("braced"), table.flag("lid"));
        Some((glass?, material?, braced, lid))
    });
    let stands = table
        .table_or_empty("stand", |table| table.choice_or("place", &STANDS, Stands::default()))
        .unwrap_or_default();
    let rear_chamber = table.maybe_table("rear_chamber", |table| {
        Some(RearChamber { depth: table.quantity("depth", "2 cm"..="50 cm")? })
    });
    let sand = table.maybe_table("sand", |table| {
        let depth = table.quantity("depth", "1 mm"..="50 cm");
        let grain = table.quantity("grain", "0.05 mm"..="20 mm");
        let porosity = table.maybe_quantity("porosity", "20 %"..="70 %");
        Some(Sand { depth: depth?, grain: grain?, porosity })
    });
    let rock = table.maybe_table("rock", |table| {
        let rock = read_rock(table);
        let works = [("wall", Rockwork::Wall), ("islands", Rockwork::Islands)];
        let rockwork = table.choice_or("shape", &works, Rockwork::default());
        Some((rock?, rockwork?))
    });
    let pieces =
        table.tables("rock_piece", |table| read_piece(table, glass.as_ref().map(|(glass, ..)| glass)));
    let sump = table.maybe_table("sump", |table| table.quantity::<Volume>("water", "1 L"..="5000 L"));
    let skimmer = table.maybe_table("skimmer", |table| {
        let mut given = Given { table, keys: &mut assumed };
        let power = given.quantity("skimmer.power", "0.5 W"..="500 W", || *rules.skimmer_power);
        Some(Skimmer {
            power,
            sound: given.quantity("skimmer.sound", "5 dB"..="80 dB", || *rules.skimmer_sound),
        })
    });
    let water = table.table_or_empty("water", |table| {
        let mut given = Given { table, keys: &mut assumed };
        let temperature = given.quantity("water.temperature", "15 °C"..="35 °C", || *rules.temperature);
        let salinity = given.quantity("water.salinity", "20"..="42", || *rules.salinity);
        Some((temperature, salinity, table.flag("fan")))
    });
    let livestock = table.table("livestock", |table| {
        let words: Vec<_> = kinds.iter().map(|kind| (kind.key(), kind)).collect();
        let stock = |chosen: Vec<&Livestock>| Stock::of(chosen.into_iter().cloned());
        let now = table.choices("now", &words).and_then(stock);
        let later = table.maybe_choices("later", &words).and_then(stock).or_else(|| now.clone());
        let counts =
            table.choice_or("counts", &[("net", Counts::Net), ("gross", Counts::Gross)], Counts::Net);
        Some((now?, later?, counts?))
    });
    let fish = table.tables("fish", |table| {
        let (name, count, mass) = (
            table.text("name"),
            table.count("count", "0"..="1000"),
            table.quantity("mass", "0.1 g"..="20 kg"),
        );
        Some(Fish { name: name?, count: count?, mass: mass? })
    });
    let models = read_models(table, catalogue);
    let with_models = catalogue.map(|catalogue| catalogue.with(&models));
    let mut all_pumps = true;
    let mut names: Vec<String> = Vec::new();
    let pumps = table.tables("pump", |table| {
        let pump = read_pump(table, with_models.as_ref(), glass.as_ref().map(|(glass, ..)| glass), &names);
        all_pumps &= pump.is_some();
        names.extend(pump.iter().map(|pump| pump.name.clone()));
        pump
    });
    let lights = table.maybe_table("lights", programme::read_lights);
    if lights.is_none() {
        assumed.push("lights");
    }
    let names: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
    let programme = Programme::read(table, all_pumps.then_some(&names));
    let return_line =
        table.maybe_table("return", |table| read_return_line(Given { table, keys: &mut assumed }, rules));
    let overflow = table.maybe_table("overflow", |table| {
        let edge = table.quantity("edge", "2 cm"..="10 m");
        let comb = table.flag("comb");
        Some(Overflow { edge: edge?, comb })
    });
    let return_chamber = table.maybe_table("return_chamber", |table| {
        let side = |table: &mut Table<'_>, key| table.quantity::<Length>(key, "2 cm"..="5 m");
        let (length, width) = (side(table, "length"), side(table, "width"));
        let fall = table.quantity("fall", "5 mm"..="1 m");
        Some(ReturnChamber { length: length?, width: width?, fall: fall? })
    });
    let map_height = table.maybe_table("map", |table| table.quantity::<Length>("height", "1 cm"..="3 m"));
    let battery = table.maybe_table("battery", |table| {
        let energy = table.quantity("energy", "10 Wh"..="100 kWh");
        let words =
            [("lead-acid", Chemistry::LeadAcid), ("lithium-iron-phosphate", Chemistry::LithiumIronPhosphate)];
        let chemistry = table.choice("chemistry", &words);
        let output = read_output(table);
        Some(Battery { energy: energy?, chemistry: chemistry?, output: output? })
    });
    let air_pump = table.maybe_table("air_pump", |table| {
        let air = table.quantity("air", "5 L/h"..="2000 L/h");
        let (depth, lasts) =
            (table.quantity("depth", "1 cm"..="2 m"), table.quantity("lasts", "10 min"..="14 days"));
        Some(AirPump { air: air?, depth: depth?, lasts: lasts? })
    });
    // The money is known even where something else of the home is wrong.
    let mut currency = USUAL_CURRENCY;
    let home = table.table_or_empty("home", |table| {
        read_home(Given { table, keys: &mut assumed }, rules, catalogue, &mut currency)
    });
    let measured = table
        .maybe_table("measured", |table| {
            let hung: Vec<_> = pumps.iter().map(|pump| pump.name.as_str()).collect();
            Measured::read(table, &hung)
        })
        .unwrap_or_default();
    let wishes = table.maybe_table("wishes", |table| {
        let wishes = Wishes::read(table, currency)?;
        let prices = catalogue.map(|catalogue| catalogue.currency);
        let exchange = home.as_ref().and_then(|home| home.exchange);
        let budget = match (wishes.budget, exchange) {
            (Some(budget), Some(exchange)) => {
                Some(Money { amount: budget.amount * exchange.amount, currency: exchange.currency })
            }
            (Some(_), None) if prices.is_some_and(|prices| prices != currency) => {
                let (own, prices) = (currency.code(), prices.unwrap_or(currency).code());
                let help =
                    format!("write under [home] what one {own} buys, such as exchange = \"1.10 {prices}\"");
                table.refuse(
                    "budget",
                    format!("the budget is in {own}, and the prices of the pumps in {prices}"),
                    help,
                );
                return None;
            }
            (budget, _) => budget,
        };
        Some(Wishes { budget, ..wishes })
    });
    let wishes = wishes.unwrap_or_default();
    if let (Some((glass, ..)), Some(sand)) = (&glass, &sand)
        && sand.depth >= glass.water_height()
    {
        table.refuse(
            "sand",
            "the sand is deeper than the water",
            "check the depth of the sand and the height of the glass",
        );
    }
    if let (Some((glass, ..)), Some(height)) = (&glass, map_height)
        && height > glass.water_height()
    {
        table.refuse("map", "the map lies above the water", "its height is counted from the base pane up");
    }
    if let (Some((glass, ..)), Some(air_pump)) = (&glass, &air_pump)
        && air_pump.depth > glass.water_height()
    {
        table.refuse(
            "air_pump",
            "the air stone lies deeper than the water",
            "measure from the surface of the water down to the stone",
        );
    }
    if let (Some((glass, ..)), Some(chamber)) = (&glass, &rear_chamber)
        && (chamber.depth + glass.pane * 2.0 >= glass.outline.width() / 2.0
            || chamber.depth + glass.pane * 2.0 >= glass.outline.end_width())
    {
        let help = "measure from the false wall to the back pane";
        table.refuse("rear_chamber", "the rear chamber takes half of the tank or more", help);
    }
    let (now, later, counts) = livestock?;
    let (glass, material, braced, lid) = glass?;
    let ((temperature, salinity, fan), home) = (water?, home?);
    let sump = sump.unwrap_or_default();
    let (rock, rockwork) = rock.map_or_else(Default::default, |(rock, work)| (Some(rock), work));
    Some(Tank {
        name: name?,
        about,
        id: id?,
        glass,
        material,
        braced,
        lid,
        stands,
        rear_chamber,
        sand,
        rock,
        rockwork,
        pieces,
        sump,
        skimmer,
        temperature,
        salinity,
        fan,
        fish,
        models,
        pumps,
        lights,
        programme,
        return_line,
        overflow,
        return_chamber,
        battery,
        air_pump,
        home,
        measured,
        now,
        later,
        counts,
        map_height,
        wishes,
        assumed,
    })
}

/// Reads keys of which something is assumed where the file leaves them out, which is then noted.
struct Given<'t, 'd, 'k> {
    table: &'t mut Table<'d>,
    /// The keys of which something is assumed.
    keys: &'k mut Vec<&'static str>,
}

impl Given<'_, '_, '_> {
    /// A quantity; `key` is the whole one, such as `home.pillow`.
    fn quantity<D: Dimension>(
        &mut self,
        key: &'static str,
        range: RangeInclusive<&str>,
        assumed: impl Fn() -> D,
    ) -> Traced<D> {
        let said = self.table.maybe_quantity(name(key), range);
        self.table.assumes(name(key), || assumed().into());
        self.traced(key, said, assumed)
    }

    /// What the file says, or what a rule has.
    fn traced<T>(&mut self, key: &'static str, said: Option<T>, assumed: impl Fn() -> T) -> Traced<T> {
        if said.is_none() {
            self.keys.push(key);
        }
        said.map_or_else(|| Traced::new(assumed), Traced::given)
    }

    /// Notes a key that is left out, where no rule stands behind what is assumed.
    fn note_left_out(&mut self, key: &'static str) {
        if !self.table.has(name(key)) {
            self.keys.push(key);
        }
    }
}

/// The name of a key within its table.
fn name(key: &str) -> &str {
    key.rsplit('.').next().unwrap_or_default()
}

/// How a tank may stand, as a tank file names it.
const STANDS: [(&str, Stands); 3] = [
    ("against_a_wall", Stands::AgainstAWall),
    ("in_a_corner", Stands::InACorner),
    ("room_divider", Stands::RoomDivider),
];

fn read_output(table: &mut Table<'_>) -> Option<Output> {
    table.by_choice_or("output", &[("direct", false), ("inverter", true)], false, |table, is_inverter| {
        if is_inverter {
            return Some(Output::Inverter { idle: table.maybe_quantity("idle", "0 W"..="100 W") });
        }
        if table.has("idle") {
            table.refuse(
                "idle",
                "only an inverter takes power for itself",
                "write output = \"inverter\", or leave `idle` out",
            );
            return None;
        }
        Some(Output::Direct)
    })
}

/// Reads the models that a catalogue lacks; their prices are in its money.
fn read_models(table: &mut Table<'_>, catalogue: Option<&Catalogue>) -> Vec<PumpModel> {
    let models = read_pumps(table, "model", catalogue.map_or(USUAL_CURRENCY, |catalogue| catalogue.currency));
    let known = models.iter().filter_map(|model| catalogue?.pump(&model.model));
    for model in known {
        let message = format!("the catalogue has a `{}` already", model.model);
        table.refuse("model", message, "leave it out here, or give yours another name");
    }
    models
}

fn read_pump(
    table: &mut Table<'_>,
    catalogue: Option<&Catalogue>,
    glass: Option<&Glass>,
    names: &[String],
) -> Option<HungPump> {
    let (name, model) = (table.text("name"), table.text("model"));
    let name = name.filter(|name| {
        let is_new = !names.contains(name);
        if !is_new {
            table.refuse(
                "name",
                format!("two pumps are called `{name}`"),
                "give each pump a name of its own",
            );
        }
        is_new
    });
    let model = model.filter(|model| catalogue.is_none_or(|catalogue| is_model(table, catalogue, model)));
    let setting = table.quantity_or("setting", "0 %"..="100 %", Share(1.0));
    let walls = [("left", Wall::Left), ("right", Wall::Right), ("back", Wall::Back), ("front", Wall::Front)];
    let wall = table.choice("wall", &walls);
    let along = table.quantity_or("along", "0 %"..="100 %", Share(0.5));
    let height: Option<Length> = table.quantity("height", "1 cm"..="3 m");
    let height = height.filter(|height| glass.is_none_or(|glass| is_in_the_water(table, *height, glass)));
    let along_there = table.maybe_quantity("aim_along", "0 %"..="100 %");
    let height_there: Option<Length> = table.maybe_quantity("aim_height", "0 cm"..="3 m");
    if let (Some(glass), Some(aim)) = (glass, height_there)
        && aim > glass.water_height()
    {
        table.refuse(
            "aim_height",
            "this pump points above the water",
            "it is where its stream meets the pane opposite",
        );
    }
    let aim = Aim { along: along_there, height: height_there };
    Some(HungPump { name: name?, model: model?, setting, wall: wall?, along, height: height?, aim })
}

/// Whether a pump's outlet is under the water's surface; notes a problem if not.
fn is_in_the_water(table: &Table<'_>, height: Length, glass: &Glass) -> bool {
    let shown = |length: Length, rounding| show(length.into(), rounding).metric;
    let (water, rim) = (glass.water_height(), glass.height - glass.pane);
    let help = || {
        let water = shown(water, Rounding::Down);
        format!("`height` is that of the outlet above the base; the water stands {water} high")
    };
    let told = |whence: String| {
        format!("this pump hangs {whence}: its outlet is {} up", shown(height, Rounding::Nearest))
    };
    if height > rim {
        table.refuse(
            "height",
            told(format!("above the rim, which is {} up", shown(rim, Rounding::Nearest))),
            help(),
        );
    } else if height > water {
        table.refuse("height", told("above the water".to_owned()), help());
    }
    height <= water
}

/// Whether the catalogue has a model; notes a problem if not.
fn is_model(table: &Table<'_>, catalogue: &Catalogue, model: &str) -> bool {
    let names: Vec<_> = catalogue.pumps.iter().map(|pump| pump.model.as_str()).collect();
    let found = names.contains(&model);
    if !found {
        let all = || {
            if names.is_empty() {
                "it holds no pump at all".to_owned()
            } else {
                format!("its models are {}", names.join(", "))
            }
        };
        table.refuse(
            "model",
            format!("the catalogue has no `{model}`"),
            did_you_mean(model, &names).unwrap_or_else(all),
        );
    }
    found
}

fn read_return_line(mut given: Given<'_, '_, '_>, rules: &AssumedRules) -> Option<ReturnLine> {
    let table = &mut *given.table;
    let (lift, length) = (table.quantity("lift", "0 cm"..="10 m"), table.quantity("length", "5 cm"..="50 m"));
    let bore = table.quantity("bore", "8 mm"..="15 cm");
    let elbows = table.maybe_count("elbows", "0"..="1000");
    table.assumes("elbows", || Quantity::new(Kind::Count, *rules.elbows as f64));
    let elbows = given.traced("return.elbows", elbows, || *rules.elbows as u32);
    let table = &mut *given.table;
    let pump_flow = table.quantity("pump_flow", "100 L/h"..="50000 L/h");
    let (pump_head, pump_power) =
        (table.quantity("pump_head", "20 cm"..="20 m"), table.quantity("pump_power", "1 W"..="2000 W"));
    let outlet_depth = table.maybe_quantity("outlet_depth", "0 cm"..="1 m");
    let sound = given.quantity("return.sound", "5 dB"..="80 dB", || *rules.return_sound);
    Some(ReturnLine {
        lift: lift?,
        length: length?,
        bore: bore?,
        elbows,
        pump_flow: pump_flow?,
        pump_head: pump_head?,
        pump_power: pump_power?,
        outlet_depth,
        sound,
    })
}

/// The money of a tank file that names a price and no currency, and of pumps whose catalogue is not there.
const USUAL_CURRENCY: Currency = Currency::USD;

fn read_home(
    mut given: Given<'_, '_, '_>,
    rules: &AssumedRules,
    catalogue: Option<&Catalogue>,
    money: &mut Currency,
) -> Option<Home> {
    let table = &mut *given.table;
    let currencies: Vec<_> =
        CURRENCIES.into_iter().filter_map(|code| Some((code, Currency::new(code)?))).collect();
    let (has_currency, has_price) = (table.has("currency"), table.has("price_per_kwh"));
    // A file that says neither pays the price of the rules, in its money.
    let usual = if has_price { USUAL_CURRENCY } else { rules.price.currency };
    let said = table.choice_or("currency", &currencies, usual);
    let currency = said.unwrap_or(usual);
    *money = currency;
    if said.is_some_and(|said| said != usual) && !has_price {
        table.refuse(
            "currency",
            "`currency` needs a price beside it",
            "add price_per_kwh, the price of a kilowatt hour in this currency",
        );
    }
    let (price, exchange) = if said.is_none() && has_currency {
        // Which money is meant is not known, so whether the amounts are right can not be told.
        table.has("exchange");
        (None, None)
    } else {
        let price = table.maybe_quantity_of("price_per_kwh", Kind::Money(currency), "0.001"..="1000");
        (price.map(|price| price.si), read_exchange(table, currency, catalogue))
    };
    given.table.assumes("price_per_kwh", || Quantity::from(*rules.price));
    let price_per_kwh = given.traced("home.price_per_kwh", price, || rules.price.amount);
    let pillow = given.quantity("home.pillow", "30 cm"..="50 m", || *rules.pillow);
    let rooms = [("full_of_cloth", Furnishing::FullOfCloth), ("little_cloth", Furnishing::LittleCloth)];
    let room = given.table.choice_or("room", &rooms, Furnishing::LittleCloth);
    given.note_left_out("home.room");
    // What the mains are goes by the money, so no one value is told of these.
    let voltage = given.table.maybe_quantity("voltage", "90 V"..="260 V");
    let voltage = given.traced("home.voltage", voltage, || rules.mains_voltage(currency));
    let breaker = given.table.maybe_quantity("breaker", "2 A"..="63 A");
    let breaker = given.traced("home.breaker", breaker, || rules.mains_breaker(currency));
    let door = given.table.flag("door");
    given.note_left_out("home.door");
    let temperature = given.quantity("home.temperature", "5 °C"..="45 °C", || *rules.room);
    let humidity = given.quantity("home.humidity", "5 %"..="100 %", || *rules.humidity);
    let other_load = given.table.maybe_quantity("other_load", "0 W"..="10 kW").unwrap_or_default();
    let residual_current = given.table.flag("residual_current");
    Some(Home {
        currency: said?,
        price_per_kwh,
        pillow,
        voltage,
        breaker,
        other_load,
        exchange,
        door,
        temperature,
        humidity,
        room: room?,
        residual_current,
    })
}

/// What one of the home's money buys in that of the catalogue: `exchange = "1.10 USD"`.
fn read_exchange(table: &mut Table<'_>, home: Currency, catalogue: Option<&Catalogue>) -> Option<Money> {
    let written = table.maybe_text("exchange")?;
    let wanted = catalogue.map(|catalogue| catalogue.currency).filter(|currency| *currency != home);
    let example = wanted.unwrap_or(Currency::USD).code();
    let Some(currency) = Currency::of_amount(&written) else {
        let message = format!("`exchange` does not end with the code of a currency: \"{written}\"");
        table.refuse(
            "exchange",
            message,
            format!("write what one {} buys, for instance \"1.10 {example}\"", home.code()),
        );
        return None;
    };
    if currency == home {
        let message = format!("one {} is one {}: there is nothing to exchange", home.code(), home.code());
        table.refuse("exchange", message, "leave it out, or name the money of the pump prices");
        return None;
    }
    if let Some(wanted) = wanted.filter(|wanted| *wanted != currency) {
        let message = format!("the prices of the pumps are in {}, not in {}", wanted.code(), currency.code());
        table.refuse(
            "exchange",
            message,
            format!("write what one {} buys in {}", home.code(), wanted.code()),
        );
        return None;
    }
    let amount = table.maybe_quantity_of("exchange", Kind::Money(currency), "0.00001"..="100000")?.si;
    Some(Money { amount, currency })
}

fn read_glass(table: &mut Table<'_>) -> Option<Glass> {
    let side = |table: &mut Table<'_>, key| table.quantity::<Length>(key, "10 cm"..="10 m");
    let outline = table.by_choice(
        "shape",
        &["box", "cylinder", "bow_front", "hexagon"].map(|shape| (shape, shape)),
        |table, shape| match shape {
            "box" => {
                let (length, width) = (side(table, "length"), side(table, "width"));
                Some(Outline::Box { length: length?, width: width? })
            }
            "cylinder" => Some(Outline::Cylinder { diameter: side(table, "diameter")? }),
            "bow_front" => {
                let (length, width, middle_width) =
                    (side(table, "length"), side(table, "width"), side(table, "middle_width"));
                Some(Outline::BowFront { length: length?, width: width?, middle_width: middle_width? })
            }
            _ => Some(Outline::Hexagon { across: side(table, "across")? }),
        },
    );
    let height = side(table, "height");
    let pane = table.quantity("pane", "1 mm"..="6 cm");
    let fill_line = table.quantity_or("fill_line", "0 cm"..="30 cm", Length::default());
    let (outline, height, pane) = (outline?, height?, pane?);
    match Glass::new(outline, height, pane, fill_line) {
        Ok(glass) => Some(glass),
        Err(error) => {
            table.refuse("shape", error.to_string(), "measure the glass outside, and the pane at the rim");
            None
        }
    }
}

fn read_piece(table: &mut Table<'_>, glass: Option<&Glass>) -> Option<RockPiece> {
    let form = table.choice_or("form", &[("block", Form::Block), ("mound", Form::Mound)], Form::Mound);
    let from = |table: &mut Table<'_>, key| table.quantity::<Length>(key, "0 cm"..="10 m");
    let (left, front) = (from(table, "left"), from(table, "front"));
    let side = |table: &mut Table<'_>, key| table.quantity::<Length>(key, "1 cm"..="10 m");
    let (length, width, height) = (side(table, "length"), side(table, "width"), side(table, "height"));
    let piece = RockPiece {
        form: form?,
        left: left?,
        front: front?,
        length: length?,
        width: width?,
        height: height?,
    };
    if let Some(glass) = glass {
        let panes = glass.pane * 2.0;
        let sticks_out = [
            ("length", "right", piece.left + piece.length, glass.outline.length() - panes),
            ("width", "back", piece.front + piece.width, glass.outline.width() - panes),
            ("height", "top", piece.height, glass.height - glass.pane),
        ];
        for (key, side, end, room) in sticks_out {
            if end > room {
                let room = show(room.into(), Rounding::Down).metric;
                table.refuse(
                    key,
                    format!("this piece of rock sticks out of the tank at the {side}"),
                    format!("measure inside the glass: there is room for {room}"),
                );
                return None;
            }
        }
    }
    Some(piece)
}

fn read_rock(table: &mut Table<'_>) -> Option<Rock> {
    let none =
        ["rock needs its mass or its share of the water", "write mass = \"12 kg\" or share = \"10 %\""];
    let both = ["rock has both a mass and a share", "keep the mass, if you weighed it; else the share"];
    table.by_key(&["mass", "share"], none, both, |table, key| {
        if key == "mass" {
            let (mass, porosity) = (
                table.quantity("mass", "100 g"..="5000 kg"),
                table.maybe_quantity("porosity", "0 %"..="90 %"),
            );
            return Some(Rock::Weighed { mass: mass?, porosity });
        }
        if table.has("porosity") {
            table.refuse(
                "porosity",
                "the porosity is of no use beside a share",
                "leave it out: a share counts the rock's outer volume",
            );
        }
        table.quantity("share", "0 %"..="60 %").map(Rock::Judged)
    })
}

#[cfg(test)]
mod tests;

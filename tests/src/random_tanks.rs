//! Tank files by chance: every shape, every part with and without, any number of pumps, metric and US units.
//! The same seed gives the same files on every machine.
//!
//! To add a key, add its line to the function of its table below.

use std::fmt::Write as _;

use reckoner_calc::Rules;
use reckoner_calc::catalogue::PumpModel;
use reckoner_calc::quantity::Dimension as _;
use reckoner_calc::rules::livestock::Livestock;

/// Chance from a seed: the generator splitmix64.
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall the same way for the same seed.
    pub fn new(seed: u64) -> Self {
        Dice(seed)
    }

    /// Other dice: what they give leaves these as they lie.
    fn apart(&self) -> Self {
        Dice(self.0 ^ 0x5851_f42d_4c95_7f2d)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From nothing to one below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    /// A number between two others.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// True so many times in a hundred.
    pub fn chance(&mut self, in_a_hundred: usize) -> bool {
        self.below(100) < in_a_hundred
    }

    /// One of several.
    pub fn pick<'p>(&mut self, from: &[&'p str]) -> &'p str {
        from[self.below(from.len())]
    }
}

/// How a tank file writes its quantities.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Units {
    Metric,
    Us,
}

impl Units {
    fn length(self, centimetres: f64) -> String {
        match self {
            Units::Metric => format!("\"{centimetres:.1} cm\""),
            Units::Us => format!("\"{:.2} in\"", centimetres / 2.54),
        }
    }

    fn volume(self, litres: f64) -> String {
        match self {
            Units::Metric => format!("\"{litres:.1} L\""),
            Units::Us => format!("\"{:.2} US gal\"", litres / 3.785_411_784),
        }
    }

    fn mass(self, grams: f64) -> String {
        match self {
            Units::Metric => format!("\"{grams:.1} g\""),
            Units::Us => format!("\"{:.3} oz\"", grams / 28.349_523_125),
        }
    }

    fn flow(self, litres_per_hour: f64) -> String {
        match self {
            Units::Metric => format!("\"{litres_per_hour:.0} L/h\""),
            Units::Us => format!("\"{:.1} US gal/h\"", litres_per_hour / 3.785_411_784),
        }
    }

    fn temperature(self, celsius: f64) -> String {
        match self {
            Units::Metric => format!("\"{celsius:.1} °C\""),
            Units::Us => format!("\"{:.1} °F\"", celsius * 1.8 + 32.0),
        }
    }
}

/// A table of a tank file as it is written.
struct Keys(String);

impl Keys {
    fn of(head: &str) -> Self {
        Keys(format!("\n{head}\n"))
    }

    fn key(&mut self, key: &str, value: impl std::fmt::Display) -> &mut Self {
        // Writing to a string cannot fail.
        let _ = writeln!(self.0, "{key} = {value}");
        self
    }

    fn word(&mut self, key: &str, word: &str) -> &mut Self {
        self.key(key, format!("\"{word}\""))
    }
}

const WALLS: [&str; 4] = ["left", "right", "back", "front"];
const PUMP_NAMES: [&str; 4] = ["left", "right", "behind the rock", "spare"];

/// A valid tank file.
///
/// - `name`: what the tank is called
/// - `models`: the pumps that may hang in it
pub fn tank(name: &str, dice: &mut Dice, models: &[PumpModel]) -> String {
    let units = if dice.chance(50) { Units::Metric } else { Units::Us };
    let mut out = format!("name = \"{name}\"\n");
    if dice.chance(70) {
        out.push_str("about = \"An invented tank that chance made.\"\n");
    }
    let Glass { text, length, width, height, litres } = glass(dice, units);
    out.push_str(&text);
    out.push_str(&livestock(dice));
    let parts: [(usize, Writer<'_>); 12] = [
        (60, &|dice| sand(dice, units, height)),
        (80, &|dice| rock(dice, units, litres)),
        (50, &|dice| {
            Keys::of("[sump]").key("water", units.volume(dice.between(0.1, 0.5) * litres + 1.0)).0.clone()
        }),
        (70, &|dice| water(dice, units)),
        (50, &|dice| return_line(dice, units, litres)),
        (50, &|dice| battery(dice)),
        (40, &|dice| lights(dice)),
        (70, &|dice| home(dice, units)),
        (40, &|dice| skimmer(dice)),
        (30, &|dice| air_pump(dice, units)),
        (20, &|dice| {
            Keys::of("[rear_chamber]")
                .key("depth", units.length(dice.between(2.0, (width * 0.25).max(2.1))))
                .0
                .clone()
        }),
        (40, &|dice| {
            Keys::of("[stand]")
                .word("place", dice.pick(&["against_a_wall", "in_a_corner", "room_divider"]))
                .0
                .clone()
        }),
    ];
    for (in_a_hundred, part) in parts {
        if dice.chance(in_a_hundred) {
            out.push_str(&part(dice));
        }
    }
    for _ in 0..dice.below(4) {
        out.push_str(&fish(dice, units, litres));
    }
    let pieces = if dice.chance(40) { 1 + dice.below(4) } else { 0 };
    for _ in 0..pieces {
        out.push_str(&rock_piece(dice, units, [length, width, height]));
    }
    if dice.chance(30) {
        out.push_str(
            Keys::of("[map]").key("height", units.length(height * dice.between(0.1, 0.8))).0.as_str(),
        );
    }
    out.push_str(&pumps(dice, units, height, length, models));
    let apart = &mut dice.apart();
    if apart.chance(40) {
        out.push_str(&overflow(apart, units));
    }
    if apart.chance(40) {
        out.push_str(&return_chamber(apart, units));
    }
    if apart.chance(40) {
        out.push_str(&measured(apart, units, litres, out.contains("[[pump]]")));
    }
    // A budget is in the money of the home, and needs to be exchanged for that of the catalogue.
    let currency = ["EUR", "JPY"]
        .into_iter()
        .find(|code| out.contains(&format!("currency = \"{code}\"")))
        .unwrap_or("USD");
    let can_pay = currency == "USD" || out.contains("exchange");
    out.push_str(&wishes(dice, currency, can_pay));
    if dice.chance(20) {
        out.push_str(&own_model(dice, units, litres));
    }
    out
}

/// Writes one table of a tank file.
type Writer<'w> = &'w dyn Fn(&mut Dice) -> String;

struct Glass {
    text: String,
    length: f64,
    width: f64,
    height: f64,
    litres: f64,
}

fn glass(dice: &mut Dice, units: Units) -> Glass {
    let mut keys = Keys::of("[glass]");
    // Small tanks as often as large ones.
    let (least, most) = [(20.0, 45.0), (45.0, 90.0), (90.0, 150.0), (150.0, 240.0)][dice.below(4)];
    let length = dice.between(least, most);
    let width = (length * dice.between(0.4, 0.9)).clamp(20.0, 120.0);
    let height = (length * dice.between(0.5, 1.0)).clamp(20.0, 80.0);
    let pane = (height * dice.between(0.012, 0.03)).max(0.4);
    let (length, width) = match dice.below(4) {
        0 => {
            keys.word("shape", "box").key("length", units.length(length)).key("width", units.length(width));
            (length, width)
        }
        1 => {
            let across = length.clamp(20.0, 120.0);
            keys.word("shape", "cylinder").key("diameter", units.length(across));
            (across, across)
        }
        2 => {
            let bow = width + (length * 0.4).min(dice.between(2.0, 15.0));
            keys.word("shape", "bow_front")
                .key("length", units.length(length))
                .key("width", units.length(width));
            keys.key("middle_width", units.length(bow));
            (length, width)
        }
        _ => {
            let across = length.clamp(20.0, 120.0);
            keys.word("shape", "hexagon").key("across", units.length(across));
            (across, across)
        }
    };
    keys.key("height", units.length(height)).key("pane", units.length(pane));
    let optional: [(usize, &str, String); 4] = [
        (80, "fill_line", units.length(dice.between(0.5, height * 0.08))),
        (30, "material", "\"acrylic\"".to_owned()),
        (40, "braced", "true".to_owned()),
        (40, "lid", "true".to_owned()),
    ];
    optionally(&mut keys, dice, &optional);
    Glass { text: keys.0, length, width, height, litres: length * width * height / 1000.0 }
}

fn optionally(keys: &mut Keys, dice: &mut Dice, optional: &[(usize, &str, String)]) {
    for (in_a_hundred, key, value) in optional {
        if dice.chance(*in_a_hundred) {
            keys.key(key, value);
        }
    }
}

fn livestock(dice: &mut Dice) -> String {
    let mut keys = Keys::of("[livestock]");
    keys.key("now", kinds(dice));
    let optional = [(60, "later", kinds(dice)), (30, "counts", "\"gross\"".to_owned())];
    optionally(&mut keys, dice, &optional);
    keys.0
}

/// One kind of livestock, or a list of several.
fn kinds(dice: &mut Dice) -> String {
    let all = Rules::compiled_in().unwrap_or_else(|problems| panic!("{problems:?}")).livestock;
    if dice.chance(60) {
        return format!("\"{}\"", all[dice.below(all.len())].key());
    }
    let mut kinds: Vec<_> = all.iter().map(Livestock::key).filter(|_| dice.chance(40)).collect();
    if kinds.is_empty() {
        kinds.push("soft");
    }
    format!("{kinds:?}")
}

fn sand(dice: &mut Dice, units: Units, height: f64) -> String {
    let mut keys = Keys::of("[sand]");
    keys.key("depth", units.length(dice.between(1.0, height * 0.2)))
        .key("grain", format!("\"{:.2} mm\"", dice.between(0.1, 5.0)));
    optionally(&mut keys, dice, &[(20, "porosity", "\"45 %\"".to_owned())]);
    keys.0
}

fn rock(dice: &mut Dice, units: Units, litres: f64) -> String {
    let mut keys = Keys::of("[rock]");
    if dice.chance(50) {
        keys.key("mass", units.mass((litres * dice.between(30.0, 150.0)).max(150.0)));
        optionally(&mut keys, dice, &[(20, "porosity", "\"35 %\"".to_owned())]);
    } else {
        keys.key("share", format!("\"{:.0} %\"", dice.between(2.0, 25.0)));
    }
    optionally(&mut keys, dice, &[(40, "shape", "\"islands\"".to_owned())]);
    keys.0
}

/// A piece of rock that stands somewhere in the tank.
fn rock_piece(dice: &mut Dice, units: Units, [length, width, height]: [f64; 3]) -> String {
    let mut keys = Keys::of("[[rock_piece]]");
    optionally(&mut keys, dice, &[(50, "form", "\"block\"".to_owned())]);
    let mut between = |key: &str, low: f64, high: f64| {
        keys.key(key, units.length(dice.between(low, high)));
    };
    between("left", 0.0, length * 0.45);
    between("front", 0.0, width * 0.4);
    between("length", 3.0, (length * 0.4).max(3.1));
    between("width", 3.0, (width * 0.4).max(3.1));
    between("height", 3.0, (height * 0.8).max(3.1));
    keys.0
}

fn water(dice: &mut Dice, units: Units) -> String {
    let mut keys = Keys::of("[water]");
    let optional = [
        (70, "temperature", units.temperature(dice.between(22.0, 29.0))),
        (70, "salinity", format!("{:.1}", dice.between(30.0, 37.0))),
    ];
    optionally(&mut keys, dice, &optional);
    optionally(&mut keys, &mut dice.apart(), &[(20, "fan", "true".to_owned())]);
    keys.0
}

fn return_line(dice: &mut Dice, units: Units, litres: f64) -> String {
    let mut keys = Keys::of("[return]");
    let lift = dice.between(30.0, 180.0);
    keys.key("lift", units.length(lift)).key("length", units.length(lift + dice.between(10.0, 150.0)));
    keys.key("bore", format!("\"{:.1} mm\"", dice.between(12.0, 40.0))).key("elbows", dice.below(7));
    keys.key("pump_flow", units.flow((litres * dice.between(3.0, 15.0)).clamp(200.0, 20000.0)));
    keys.key("pump_head", units.length(lift * dice.between(1.3, 3.0)));
    keys.key("pump_power", format!("\"{:.0} W\"", dice.between(4.0, 120.0)));
    let optional = [(50, "sound", format!("\"{:.0} dB\"", dice.between(25.0, 50.0)))];
    optionally(&mut keys, dice, &optional);
    let apart = &mut dice.apart();
    let depth = units.length(apart.between(0.0, 8.0));
    optionally(&mut keys, apart, &[(50, "outlet_depth", depth)]);
    keys.0
}

fn overflow(dice: &mut Dice, units: Units) -> String {
    let mut keys = Keys::of("[overflow]");
    keys.key("edge", units.length(dice.between(5.0, 80.0)));
    optionally(&mut keys, dice, &[(60, "comb", "true".to_owned())]);
    keys.0
}

fn measured(dice: &mut Dice, units: Units, litres: f64, has_pumps: bool) -> String {
    let mut keys = Keys::of("[measured]");
    let seconds = |dice: &mut Dice, most: f64| format!("\"{:.1} s\"", dice.between(1.0, most));
    if dice.chance(50) {
        keys.key("bucket", units.volume(dice.between(2.0, 15.0))).key("bucket_time", seconds(dice, 90.0));
    }
    if dice.chance(50) {
        keys.key("swings", 5 + dice.below(20)).key("swings_time", seconds(dice, 40.0));
    }
    if has_pumps && dice.chance(50) {
        keys.word("crumb_pump", PUMP_NAMES[0]).key("crumb_from", units.length(dice.between(0.0, 20.0)));
        keys.key("crumb_to", units.length(dice.between(25.0, 80.0))).key("crumb_time", seconds(dice, 20.0));
    }
    let optional: [(usize, &str, String); 4] = [
        (50, "return_power", format!("\"{:.0} W\"", dice.between(4.0, 120.0))),
        (50, "dawn_oxygen", format!("\"{:.1} mg/L\"", dice.between(3.0, 8.0))),
        (50, "pillow", format!("\"{:.0} dB\"", dice.between(15.0, 45.0))),
        (50, "top_up", units.volume((litres * dice.between(0.002, 0.03)).max(0.1))),
    ];
    optionally(&mut keys, dice, &optional);
    keys.0
}

fn return_chamber(dice: &mut Dice, units: Units) -> String {
    let mut keys = Keys::of("[return_chamber]");
    keys.key("length", units.length(dice.between(5.0, 60.0)))
        .key("width", units.length(dice.between(5.0, 50.0)))
        .key("fall", units.length(dice.between(1.0, 20.0)));
    keys.0
}

fn battery(dice: &mut Dice) -> String {
    let mut keys = Keys::of("[battery]");
    keys.key("energy", format!("\"{:.0} Wh\"", dice.between(20.0, 3000.0)));
    keys.word("chemistry", dice.pick(&["lead-acid", "lithium-iron-phosphate"]));
    if dice.chance(40) {
        keys.word("output", "inverter");
        optionally(&mut keys, dice, &[(50, "idle", "\"8 W\"".to_owned())]);
    }
    keys.0
}

fn lights(dice: &mut Dice) -> String {
    let on = dice.below(15);
    let off = on + 1 + dice.below(14);
    let (on, off) = (format!("{on:02}:00"), format!("{:02}:30", off % 24));
    Keys::of("[lights]").word("on", &on).word("off", &off).0.clone()
}

fn home(dice: &mut Dice, units: Units) -> String {
    let mut keys = Keys::of("[home]");
    if dice.chance(60) {
        let currency = dice.pick(&["USD", "EUR", "JPY"]);
        keys.word("currency", currency)
            .key("price_per_kwh", format!("\"{:.2} {currency}\"", dice.between(0.1, 0.6)));
        optionally(
            &mut keys,
            dice,
            &[(if currency == "USD" { 0 } else { 60 }, "exchange", "\"1.10 USD\"".to_owned())],
        );
    }
    let optional: [(usize, &str, String); 7] = [
        (70, "pillow", units.length(dice.between(60.0, 1200.0))),
        (60, "voltage", format!("\"{} V\"", dice.pick(&["100", "120", "230", "240"]))),
        (60, "breaker", format!("\"{} A\"", dice.pick(&["10", "15", "16", "20"]))),
        (50, "other_load", format!("\"{:.0} W\"", dice.between(0.0, 1500.0))),
        (40, "room", format!("\"{}\"", dice.pick(&["full_of_cloth", "little_cloth"]))),
        (30, "door", "true".to_owned()),
        (40, "residual_current", "true".to_owned()),
    ];
    optionally(&mut keys, dice, &optional);
    let apart = &mut dice.apart();
    let room = [
        (40, "temperature", units.temperature(apart.between(14.0, 34.0))),
        (40, "humidity", format!("\"{:.0} %\"", apart.between(20.0, 95.0))),
    ];
    optionally(&mut keys, apart, &room);
    keys.0
}

fn skimmer(dice: &mut Dice) -> String {
    let mut keys = Keys::of("[skimmer]");
    let optional = [
        (60, "power", format!("\"{:.0} W\"", dice.between(4.0, 60.0))),
        (60, "sound", format!("\"{:.0} dB\"", dice.between(25.0, 50.0))),
    ];
    optionally(&mut keys, dice, &optional);
    keys.0
}

fn air_pump(dice: &mut Dice, units: Units) -> String {
    let mut keys = Keys::of("[air_pump]");
    keys.key("air", format!("\"{:.0} L/h\"", dice.between(30.0, 250.0)))
        .key("depth", units.length(dice.between(5.0, 18.0)));
    keys.key("lasts", format!("\"{:.0} h\"", dice.between(2.0, 72.0)));
    keys.0
}

fn fish(dice: &mut Dice, units: Units, litres: f64) -> String {
    let mut keys = Keys::of("[[fish]]");
    let name = dice.pick(&["Goby", "Clownfish", "Tang", "Wrasse", "Chromis"]);
    let mass = dice.between(1.0, (litres * 0.5).clamp(2.0, 300.0));
    keys.word("name", name).key("count", 1 + dice.below(4)).key("mass", units.mass(mass));
    keys.0
}

fn pumps(dice: &mut Dice, units: Units, height: f64, length: f64, models: &[PumpModel]) -> String {
    let count = dice.below(PUMP_NAMES.len() + 1);
    let with_programme = count > 0 && dice.chance(35);
    let mut out = String::new();
    let mut days = String::new();
    for name in &PUMP_NAMES[..count] {
        // A pump that is much too strong is a mistake that people make; most choose better.
        let fitting: Vec<_> =
            models.iter().filter(|model| model.rated_flow.si() * 3.6e6 < length * 60.0).collect();
        let model = if fitting.is_empty() || dice.chance(15) {
            &models[dice.below(models.len())]
        } else {
            fitting[dice.below(fitting.len())]
        };
        let mut keys = Keys::of("[[pump]]");
        keys.word("name", name).word("model", &model.model).word("wall", dice.pick(&WALLS));
        keys.key("height", units.length(height * dice.between(0.15, 0.9)));
        let optional = [
            (80, "setting", format!("\"{:.0} %\"", dice.between(0.0, 100.0))),
            (50, "along", format!("\"{:.0} %\"", dice.between(10.0, 90.0))),
            (25, "aim_along", format!("\"{:.0} %\"", dice.between(0.0, 100.0))),
            (25, "aim_height", units.length(height * dice.between(0.1, 0.85))),
        ];
        optionally(&mut keys, dice, &optional);
        out.push_str(&keys.0);
        days.push_str(&day(dice, name, model));
    }
    if with_programme {
        out.push_str(&days);
    }
    if count > 0 && dice.chance(40) {
        let mut keys = Keys::of("[[feeding]]");
        keys.word("at", "18:00").key("pause", format!("\"{} min\"", 5 + dice.below(6)));
        optionally(&mut keys, dice, &[(50, "pumps", format!("[\"{}\"]", PUMP_NAMES[0]))]);
        out.push_str(&keys.0);
    }
    out
}

/// A model that the catalogue lacks, as its box says.
fn own_model(dice: &mut Dice, units: Units, litres: f64) -> String {
    let mut keys = Keys::of("[[model]]");
    let kind = dice.pick(&["round-fixed", "round-controllable", "cross-flow"]);
    keys.word("model", "Off the shelf").word("kind", kind);
    keys.key("rated_flow", units.flow((litres * dice.between(5.0, 40.0)).clamp(150.0, 20000.0)));
    if kind != "round-fixed" {
        keys.key("lowest_setting", format!("\"{:.0} %\"", dice.between(10.0, 50.0)));
    }
    if kind == "cross-flow" {
        keys.key("slot_height", "\"12 mm\"").key("slot_length", "\"15 cm\"");
    } else {
        keys.key("outlet", format!("\"{:.0} mm\"", dice.between(15.0, 70.0)));
    }
    keys.key("power", format!("\"{:.1} W\"", dice.between(2.0, 40.0)))
        .key("sound", format!("\"{:.0} dB\"", dice.between(22.0, 45.0)));
    keys.key("price", format!("\"{:.0} USD\"", dice.between(15.0, 400.0))).key("wet_end_price", "\"20 USD\"");
    keys.word("shaft", dice.pick(&["ceramic", "metal", "plastic"]));
    let optional: [(usize, &str, String); 5] = [
        (50, "standing_draw", "\"0.4 W\"".to_owned()),
        (50, "stated_tank", "{ low = \"50 L\", high = \"300 L\" }".to_owned()),
        (50, "largest_pane", "\"12 mm\"".to_owned()),
        (50, "battery_socket", "true".to_owned()),
        (50, "works_in_a_team", "true".to_owned()),
    ];
    optionally(&mut keys, dice, &optional);
    keys.0
}

/// One pump's day: by day it does one thing, by night another.
fn day(dice: &mut Dice, pump: &str, model: &PumpModel) -> String {
    let lowest = model.lowest_setting.0 * 100.0;
    let low = dice.between(lowest, 100.0).ceil().min(100.0);
    let high = (low + 10.0).min(100.0);
    let mut out = String::new();
    for (from, until) in [("08:00", "21:00"), ("21:00", "08:00")] {
        let mut keys = Keys::of("[[programme]]");
        keys.word("pump", pump).word("from", from).word("until", until);
        let pattern = if lowest >= 100.0 || high <= low {
            "steady"
        } else {
            dice.pick(&["steady", "pulse", "alternate", "wander", "rest"])
        };
        keys.word("pattern", pattern);
        match pattern {
            "rest" => {}
            "steady" => {
                keys.key("setting", format!("\"{low:.0} %\""));
            }
            _ => {
                let period = if pattern == "pulse" { "2 s" } else { "20 min" };
                keys.key("low", format!("\"{low:.0} %\""))
                    .key("high", format!("\"{high:.0} %\""))
                    .word("period", period);
            }
        }
        out.push_str(&keys.0);
    }
    out
}

fn wishes(dice: &mut Dice, currency: &str, can_pay: bool) -> String {
    if dice.chance(50) {
        return String::new();
    }
    let mut keys = Keys::of("[wishes]");
    let optional: [(usize, &str, String); 4] = [
        (40, "noise", format!("\"{:.0} dB\"", dice.between(20.0, 45.0))),
        (50, "rank", format!("\"{}\"", dice.pick(&["cost", "price", "quiet", "energy", "fewest"]))),
        (40, "spare", "true".to_owned()),
        (if can_pay { 40 } else { 0 }, "budget", format!("\"{:.0} {currency}\"", dice.between(30.0, 1500.0))),
    ];
    optionally(&mut keys, dice, &optional);
    keys.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_tanks() {
        let catalogue = "currency = \"USD\"\n[[pump]]\nmodel = \"A\"\nkind = \"round-fixed\"\nrated_flow = \"1000 L/h\"\noutlet = \"20 mm\"\n\
                         power = \"3 W\"\nsound = \"30 dB\"\nprice = \"25 USD\"\nwet_end_price = \"10 USD\"\nshaft = \"plastic\"\n";
        let models = reckoner_calc::Catalogue::read("pumps.toml", catalogue)
            .unwrap_or_else(|problems| panic!("{problems:?}"))
            .pumps;
        let [one, again, other] = [3, 3, 4].map(|seed| tank("T", &mut Dice::new(seed), &models));
        assert_eq!(one, again);
        assert_ne!(one, other);
    }

    #[test]
    fn the_dice_fall_as_splitmix64_does() {
        // The first outputs of splitmix64 (Steele, Lea and Flood 2014) for this seed, from memory.
        let mut dice = Dice::new(1_234_567);
        let first: Vec<_> = (0..3).map(|_| dice.next()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }
}

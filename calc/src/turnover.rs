//! Turnover: how many times an hour the pumps move the tank's whole volume, and the flow that follows from it.
//!
//! The bands are facts of the trade, by what lives in the tank. They count the flow of the pumps that stand in the tank.

use uom::si::f64::{Frequency, Ratio, Volume, VolumeRate};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Share, System};
use crate::reason::listed;
use crate::rules::{Band, Rules, Topic};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Working};
use crate::tank::{Counts, Tank};
use crate::volume::{Contents, display_gross};

/// The rules of this topic, `calc/rules/turnover.toml`.
#[derive(Debug, Clone)]
pub struct TurnoverRules {
    bands: [Band<Frequency>; Livestock::ALL.len()],
    /// Where in its band to aim: 0 is the low end.
    pub aim: Share,
    /// The same for kinds that want unlike bands, kept together.
    pub aim_mixed: Share,
    /// Flow that a pump loses between two cleanings.
    pub fouling_allowance: Share,
    /// Smallest tank a beginner should start with.
    pub smallest_tank: Volume,
    /// Rated flow of the pumps that are sold.
    pub pumps_on_the_market: Band<VolumeRate>,
    /// Usual tanks by the litre.
    pub usual_litres: Vec<Volume>,
    /// Usual tanks by the US gallon.
    pub usual_gallons: Vec<Volume>,
}

impl TurnoverRules {
    pub(crate) fn read(topic: &mut Topic<'_, '_>) -> Option<Self> {
        let bands = Livestock::ALL.map(|livestock| topic.band(livestock.key(), "0.1 per hour"..="500 per hour"));
        let aim = topic.one("aim", "0 %"..="100 %");
        let aim_mixed = topic.one("aim_mixed", "0 %"..="100 %");
        let fouling_allowance = topic.one("fouling_allowance", "0 %"..="80 %");
        let smallest_tank = topic.one("smallest_tank", "5 L"..="500 L");
        let pumps_on_the_market = topic.band("pumps_on_the_market", "10 L/h"..="500000 L/h");
        let usual_litres = topic.list("usual_litres", "5 L"..="20000 L");
        let usual_gallons = topic.list("usual_gallons", "5 L"..="20000 L");
        let bands: Option<Vec<_>> = bands.into_iter().collect();
        Some(TurnoverRules {
            bands: bands?.try_into().ok()?,
            aim: aim?,
            aim_mixed: aim_mixed?,
            fouling_allowance: fouling_allowance?,
            smallest_tank: smallest_tank?,
            pumps_on_the_market: pumps_on_the_market?,
            usual_litres: usual_litres?,
            usual_gallons: usual_gallons?,
        })
    }

    /// The band of turnover for what lives in a tank: that of the kind that wants the most.
    pub fn band(&self, stock: impl Into<Stock>) -> Band<Frequency> {
        self.bands[stock.into().most() as usize]
    }

    /// The turnover to aim for within that band: lower where kinds are kept together that want unlike bands, so that those that want
    /// less find places.
    pub fn aimed_at(&self, stock: impl Into<Stock>) -> Frequency {
        let stock = stock.into();
        self.band(stock).at(if self.is_mixed(stock) { self.aim_mixed.0 } else { self.aim.0 })
    }

    /// Whether corals are kept together that want unlike bands. Fish go with any.
    pub fn is_mixed(&self, stock: Stock) -> bool {
        let most = self.band(stock);
        stock.kinds().any(|kind| kind != Livestock::FishOnly && self.band(kind) != most)
    }

    /// The rules behind [`aimed_at`](Self::aimed_at).
    pub fn aim_rule(&self, stock: Stock) -> &'static str {
        if self.is_mixed(stock) { "turnover.aim_mixed" } else { "turnover.aim" }
    }
}

/// What lives in a tank, from the least water movement to the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Livestock {
    /// Fish, no corals.
    FishOnly,
    /// Soft corals.
    Soft,
    /// Large-polyp stony corals.
    LargePolyp,
    /// Small-polyp stony corals.
    SmallPolyp,
    /// Small-polyp stony corals from the surf.
    SmallPolypStrong,
}

impl Livestock {
    /// All kinds, in the order of the water movement they want.
    pub const ALL: [Livestock; 5] =
        [Livestock::FishOnly, Livestock::Soft, Livestock::LargePolyp, Livestock::SmallPolyp, Livestock::SmallPolypStrong];

    /// The rule's key, and the word in a tank file.
    pub fn key(self) -> &'static str {
        match self {
            Livestock::FishOnly => "fish_only",
            Livestock::Soft => "soft",
            Livestock::LargePolyp => "large_polyp",
            Livestock::SmallPolyp => "small_polyp",
            Livestock::SmallPolypStrong => "small_polyp_strong",
        }
    }

    /// In words, as in the middle of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Livestock::FishOnly => "fish only",
            Livestock::Soft => "soft corals",
            Livestock::LargePolyp => "large-polyp stony corals",
            Livestock::SmallPolyp => "small-polyp stony corals",
            Livestock::SmallPolypStrong => "small-polyp stony corals from the surf",
        }
    }
}

/// All that lives in a tank: one kind of livestock or several at once, as in a mixed reef.
///
/// Whatever asks how much the whole tank must be moved goes by the kind that wants the most; the others get the quieter places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Stock {
    /// One bit for each kind, in the order of [`Livestock::ALL`].
    kinds: u8,
}

impl Stock {
    /// These kinds; nothing at all counts as fish only.
    pub fn of(kinds: &[Livestock]) -> Self {
        let bits = kinds.iter().fold(0, |bits, kind| bits | 1 << (*kind as u8));
        Stock { kinds: if bits == 0 { 1 << (Livestock::FishOnly as u8) } else { bits } }
    }

    /// Its kinds, from the least water movement to the most.
    pub fn kinds(self) -> impl Iterator<Item = Livestock> {
        Livestock::ALL.into_iter().filter(move |kind| self.holds(*kind))
    }

    /// The kinds that ask something of the stream: the corals, or the fish where there are none.
    pub fn asking(self) -> impl Iterator<Item = Livestock> {
        let only_fish = self.most() == Livestock::FishOnly;
        self.kinds().filter(move |kind| only_fish || *kind != Livestock::FishOnly)
    }

    /// Whether a kind is among them.
    pub fn holds(self, kind: Livestock) -> bool {
        self.kinds & 1 << (kind as u8) != 0
    }

    /// The kind that wants the most movement.
    pub fn most(self) -> Livestock {
        self.kinds().last().unwrap_or(Livestock::FishOnly)
    }

    /// In words, as in the middle of a sentence: "soft corals and small-polyp stony corals".
    pub fn words(self) -> String {
        let alone = self.kinds().count() == 1;
        let word = |kind: Livestock| if kind == Livestock::FishOnly && !alone { "fish" } else { kind.words() };
        listed(&self.kinds().map(word).collect::<Vec<_>>())
    }
}

impl From<Livestock> for Stock {
    fn from(kind: Livestock) -> Self {
        Stock::of(&[kind])
    }
}

/// The flow that turns a volume over so many times: `Q = n V`.
///
/// - `volume`: the water to be moved, from 1 L to 100 m³
/// - `turnover`: how many times an hour, up to a thousand
///
/// # Errors
/// [`Error::OutOfRange`] for a volume that is no tank, or a turnover that no pump makes.
///
/// # Source
/// The definition of turnover; common practice. A hundred litres at ten times an hour is a thousand litres an hour:
/// ```
/// use reckoner_calc::{quantity::{Dimension, parse}, turnover};
/// use uom::si::f64::VolumeRate;
/// let flow = turnover::flow(parse("100 L")?, parse("10 per hour")?)?;
/// assert!((flow.si() / parse::<VolumeRate>("1000 L/h")?.si() - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn flow(volume: Volume, turnover: Frequency) -> Result<VolumeRate, Error> {
    let volume = tank_volume(volume)?;
    let turnover = within("the turnover", turnover, Frequency::from_si(0.0)..=Frequency::from_si(1000.0 / 3600.0))?;
    Ok(VolumeRate::from_si(volume.si() * turnover.si()))
}

/// How many times an hour a flow turns a volume over: `n = Q / V`, the inverse of [`flow`].
///
/// - `flow`: from nothing to 100 m³/s
/// - `volume`: from 1 L to 100 m³
///
/// # Errors
/// As [`flow`].
pub fn turnover(flow: VolumeRate, volume: Volume) -> Result<Frequency, Error> {
    let volume = tank_volume(volume)?;
    Ok(Frequency::from_si(pumped(flow)?.si() / volume.si()))
}

/// The rated flow to buy, so that a pump that has lost a share of its flow still gives the flow aimed for: `Q / (1 − share)`.
///
/// # Errors
/// [`Error::OutOfRange`] for a share above 80 %: clean the pump instead.
pub fn with_allowance(flow: VolumeRate, fouling: Share) -> Result<VolumeRate, Error> {
    let fouling = within("the share of flow lost to fouling", fouling, Share(0.0)..=Share(0.8))?;
    Ok(VolumeRate::from_si(pumped(flow)?.si() / (1.0 - fouling.0)))
}

/// What a pump's flow serves in a tank: every kind of livestock in whose band the turnover lies.
///
/// # Errors
/// As [`flow`].
pub fn served(flow: VolumeRate, volume: Volume, rules: &TurnoverRules) -> Result<Vec<Livestock>, Error> {
    let turnover = turnover(flow, volume)?;
    let serves = |livestock: &Livestock| rules.band(*livestock).contains(turnover);
    Ok(Livestock::ALL.into_iter().filter(serves).collect())
}

/// Adds the figures of this topic: `turnover.…` and `flow.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    let (net, gross) = (Contents::of(tank, &rules.volume).net, display_gross(tank));
    let gross_id = if tank.rear_chamber.is_some() { "tank.display_gross" } else { "tank.gross" };
    let (counted, counted_id) = match tank.counts {
        Counts::Net => (net, "tank.water"),
        Counts::Gross => (gross, gross_id),
    };
    let counts = match tank.counts {
        Counts::Net => "net water",
        Counts::Gross => "gross volume",
    };
    sheet.put(Figure::new("tank.counts", "Volume that this book's turnover counts, in words", counts));
    sheet.put(Figure::new("tank.counted", "Volume that this book's turnover counts", counted).from("as the tank file says", &[counted_id]));
    let example = rules.stream.example_round.1;
    let rules = &rules.turnover;
    livestock_figures(sheet, rules, tank);
    sheet.put(Figure::new("livestock.now", "What lives in the tank now", tank.now.words().as_str()));
    sheet.put(Figure::new("livestock.later", "What is to live in the tank later", tank.later.words().as_str()));
    for (when, livestock) in [("now", tank.now), ("later", tank.later)] {
        let rule = format!("turnover.{}", livestock.most().key());
        let band = rules.band(livestock);
        sheet.put(Figure::new(format!("turnover.{when}"), format!("Turnover for {}", livestock.words()), band).rule(&rule));
        let mut flow_for = |id: String, title: String, volume: Volume, volume_id: &str| {
            let range = Band { low: flow(volume, band.low)?, high: flow(volume, band.high)? };
            let turnover_id = format!("turnover.{when}");
            sheet.put(Figure::new(id, title, range).from("volume × turnover", &[volume_id, turnover_id.as_str()]).rule(&rule));
            Ok::<_, Error>(())
        };
        flow_for(format!("flow.{when}"), format!("Flow for {}", livestock.words()), counted, counted_id)?;
        flow_for(format!("flow.{when}_net"), format!("Flow for {}, counting the net water", livestock.words()), net, "tank.water")?;
        flow_for(format!("flow.{when}_gross"), format!("Flow for {}, counting the gross volume", livestock.words()), gross, gross_id)?;
    }
    let aim = rules.aimed_at(tank.later);
    let later_rule = format!("turnover.{}", tank.later.most().key());
    sheet.put(
        Figure::new("turnover.aim", "Turnover to aim for", aim)
            .from("low + share × (high − low)", &["turnover.later"])
            .rule(&later_rule)
            .rule(rules.aim_rule(tank.later)),
    );
    let share = if rules.is_mixed(tank.later) { rules.aim_mixed } else { rules.aim };
    sheet.put(Figure::new("turnover.aim_share", "How far up the band to aim", share).rule(rules.aim_rule(tank.later)));
    let most = flow(counted, rules.band(tank.later).high)?;
    if example > most {
        sheet.put(
            Figure::new(
                "turnover.example",
                "How often the example propeller pump alone would turn the water over",
                turnover(example, counted)?,
            )
            .from("flow ÷ volume", &["rule.stream.example_flow", counted_id]),
        );
    } else {
        sheet.lack("turnover.example", format!("The example propeller pump is not too strong for {}.", tank.name));
    }
    let aim_flow = flow(counted, aim)?;
    sheet.put(Figure::new("flow.aim", "Flow to aim for", aim_flow).from("volume × turnover", &[counted_id, "turnover.aim"]));
    let buy = with_allowance(aim_flow, rules.fouling_allowance)?;
    sheet.put(
        Figure::new("flow.buy", "Rated flow to buy", buy)
            .from("flow ÷ (1 − share lost)", &["flow.aim"])
            .rule("turnover.fouling_allowance")
            .never_below(),
    );

    sheet.charts.insert("flow_by_volume", flow_chart(counted, rules)?);
    sheet.workings.insert("flow_to_aim_for", aim_working(counted, counted_id, aim));
    sheet.workings.insert("flow_to_buy", buy_working(aim_flow, rules.fouling_allowance));
    sheet.tables.insert("reckoner_own", ready_reckoner("reckoner_own", "Flow for the water of this tank", &[counted], rules)?);
    sheet
        .tables
        .insert("reckoner_litres", ready_reckoner("reckoner_litres", "Flow for usual tanks, by the litre", &rules.usual_litres, rules)?);
    sheet.tables.insert(
        "reckoner_gallons",
        ready_reckoner("reckoner_gallons", "Flow for usual tanks, by the US gallon", &rules.usual_gallons, rules)?,
    );
    sheet.tables.insert("bands", bands_table(rules));
    sheet.tables.insert("pumps_serve", pumps_table(counted, rules)?);
    Ok(())
}

/// How what lives in the tank later goes beyond what lives there now.
fn livestock_figures(sheet: &mut Sheet, rules: &TurnoverRules, tank: &Tank) {
    let (now, later, name) = (tank.now.words(), tank.later.words(), &tank.name);
    if tank.now == tank.later {
        sheet.lack("livestock.grows", format!("{name} is to hold later what it holds now: {now}."));
    } else {
        let words = format!("from {now} now to {later} later");
        sheet.put(Figure::new("livestock.grows", "How the livestock is to change", words.as_str()));
    }
    let (aim_now, aim_later) = (rules.aimed_at(tank.now), rules.aimed_at(tank.later));
    if aim_now == aim_later {
        sheet.lack("turnover.changes", format!("{name} is to have the same turnover later as now."));
    } else {
        let figure = Figure::new(
            "turnover.changes",
            "Turnover to aim for, now and later",
            if aim_now < aim_later { Band { low: aim_now, high: aim_later } } else { Band { low: aim_later, high: aim_now } },
        );
        sheet.put(figure.from("low + share × (high − low)", &["turnover.now", "turnover.later"]));
    }
    let small = |stock: Stock| stock.most() >= Livestock::SmallPolyp;
    let why = match (small(tank.now), small(tank.later)) {
        (false, true) => None,
        (true, _) => Some(format!("{name} is a tank of small-polyp corals already.")),
        (false, false) => Some(format!("{name} is to hold {later}, so it needs no move to small-polyp corals.")),
    };
    match why {
        None => {
            sheet.put(Figure::new("livestock.to_small_polyp", "The move to small-polyp corals", format!("from {now} to {later}").as_str()))
        }
        Some(why) => sheet.lack("livestock.to_small_polyp", why),
    }
    let gross = display_gross(tank);
    if gross < rules.smallest_tank {
        sheet.put(
            Figure::new("tank.small", "Volume of a tank that is smaller than a beginner should start with", gross)
                .rule("turnover.smallest_tank"),
        );
    } else {
        sheet.lack("tank.small", format!("{name} is not too small for a beginner."));
    }
    if rules.is_mixed(tank.later) {
        sheet.put(Figure::new("livestock.mixed", "Kinds that are kept together and want unlike bands", later.as_str()));
    } else {
        sheet.lack("livestock.mixed", format!("What {name} is to hold wants one band."));
    }
}

fn aim_working(volume: Volume, volume_id: &'static str, aim: Frequency) -> Working {
    let sum = |system, unit| {
        let times = Item::of(aim, system);
        Sum::work(system, vec![(Op::First, Item::of(volume, system)), (Op::Times, times)], unit)
    };
    Working {
        id: "flow_to_aim_for",
        title: "The flow to aim for",
        given: vec![volume_id, "turnover.later", "turnover.aim"],
        formula: "volume × turnover",
        sums: vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
        answer: "flow.aim",
        tell: "The flow lies between the two ends of the band for the livestock you want to keep later.",
    }
}

fn buy_working(aim: VolumeRate, lost: Share) -> Working {
    let sum = |system, unit| {
        let kept = Item::of(Ratio::from_si(1.0 - lost.0), system);
        Sum::work(system, vec![(Op::First, Item::of(aim, system)), (Op::Over, kept)], unit)
    };
    Working {
        id: "flow_to_buy",
        title: "The rated flow to buy",
        given: vec!["flow.aim", "rule.turnover.fouling_allowance"],
        formula: "flow to aim for ÷ part that is left just before a cleaning",
        sums: vec![sum(System::Metric, "L/h"), sum(System::Us, "US\u{a0}gal/h")],
        answer: "flow.buy",
        tell: "A little more than the flow to aim for. A pump that can be turned down gives the right flow when it is clean.",
    }
}

/// Flow against water up to twice that of this tank, a band for each kind of livestock.
fn flow_chart(counted: Volume, rules: &TurnoverRules) -> Result<Chart, Error> {
    let largest = counted * 2.0;
    let top = flow(largest, rules.band(Livestock::SmallPolypStrong).high)?;
    let mut chart = Chart::new(
        "flow_by_volume",
        "How much flow a tank wants, by its water and its animals",
        "Bands that widen from left to right: the more water a tank holds, the more flow it wants. Fish want the least, small-polyp corals from the surf the most.",
        Axis::new("Water in the tank", Kind::Volume, 0.0, largest.si()),
        Axis::new("Flow of the pumps together", Kind::Flow, 0.0, top.si()),
    );
    // Large-polyp corals share the band of soft ones; drawn once, it keeps its name.
    for livestock in Livestock::ALL.into_iter().filter(|livestock| *livestock != Livestock::LargePolyp) {
        let band = rules.band(livestock);
        let at = |volume: f64| (volume, volume * band.low.si(), volume * band.high.si());
        let points = (0..=8).map(|step| at(largest.si() * f64::from(step) / 8.0)).collect();
        chart = chart.band(sentence_case(livestock.words()), points);
    }
    Ok(chart)
}

/// Usual tanks × livestock → flow.
fn ready_reckoner(id: &'static str, caption: &str, sizes: &[Volume], rules: &TurnoverRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for size in sizes {
        let head = Figure::new(format!("{id}.{}", rows.len() + 1), "Usual tank", *size);
        let mut cells = Vec::new();
        for livestock in Livestock::ALL {
            let band = rules.band(livestock);
            let range = Band { low: flow(*size, band.low)?, high: flow(*size, band.high)? };
            let cell = Figure::new(format!("{}.{}", head.id, livestock.key()), format!("Flow for {}", livestock.words()), range);
            cells.push(Cell::Figure(cell.from("volume × turnover", &[head.id.as_str()]).rule(&format!("turnover.{}", livestock.key()))));
        }
        rows.push(Row { head: Cell::Figure(head), cells });
    }
    let mut heads = vec!["Water in the tank".to_owned()];
    heads.extend(Livestock::ALL.map(|livestock| sentence_case(livestock.words())));
    Ok(Table { id, caption: caption.to_owned(), heads, rows })
}

/// The bands themselves.
fn bands_table(rules: &TurnoverRules) -> Table {
    let row = |livestock: Livestock| {
        let band = Figure::new(format!("bands.{}", livestock.key()), format!("Turnover for {}", livestock.words()), rules.band(livestock));
        Row {
            head: Cell::Words(sentence_case(livestock.words())),
            cells: vec![Cell::Figure(band.rule(&format!("turnover.{}", livestock.key())))],
        }
    };
    Table {
        id: "bands",
        caption: "How often the pumps should move the water".to_owned(),
        heads: vec!["What lives in the tank".to_owned(), "Turnover".to_owned()],
        rows: Livestock::ALL.map(row).into(),
    }
}

/// The same the other way round: what a pump of a given flow serves in this tank.
fn pumps_table(volume: Volume, rules: &TurnoverRules) -> Result<Table, Error> {
    let (low, high) = (rules.band(Livestock::FishOnly).low, rules.band(Livestock::SmallPolypStrong).high);
    let mut rows = Vec::new();
    // From the least anybody wants in this tank to the most, each step half as much again: a row for every dial mark that matters.
    let mut rated = flow(volume, low)?;
    let most = flow(volume, high)?;
    while rated <= most {
        let id = format!("pumps_serve.{}", rows.len() + 1);
        let words: Vec<_> = served(rated, volume, rules)?.into_iter().map(Livestock::words).collect();
        let words = if words.is_empty() { "between two bands".to_owned() } else { words.join(", ") };
        let head = Figure::new(id.clone(), "Flow of the pumps together", rated);
        let times =
            Figure::new(format!("{id}.turnover"), "Turnover in this tank", turnover(rated, volume)?).from("flow ÷ volume", &[id.as_str()]);
        rows.push(Row { head: Cell::Figure(head), cells: vec![Cell::Figure(times), Cell::Words(sentence_case(&words))] });
        rated *= 1.5;
    }
    Ok(Table {
        id: "pumps_serve",
        caption: "What a flow serves in this tank".to_owned(),
        heads: vec!["Flow of the pumps together".to_owned(), "Turnover".to_owned(), "Serves".to_owned()],
        rows,
    })
}

/// Words as at the start of a sentence.
pub(crate) fn sentence_case(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn pumped(flow: VolumeRate) -> Result<VolumeRate, Error> {
    within("the flow", flow, VolumeRate::from_si(0.0)..=VolumeRate::from_si(100.0))
}

fn tank_volume(volume: Volume) -> Result<Volume, Error> {
    within("the volume of water", volume, Volume::from_si(1e-3)..=Volume::from_si(100.0))
}

#[cfg(test)]
mod tests;

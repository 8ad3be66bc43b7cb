//! Upkeep: how often each care is due, what an acid bath takes and dissolves, and what a pump loses between two cleanings.
//!
//! Baths are reckoned by complete reaction: no bath dissolves more, and a cold or short one dissolves less. How a pump fouls is an
//! assumption, stated at [`Fouling`].

use uom::si::f64::{Mass, Time, Volume};

use crate::error::{Error, within};
use crate::quantity::{Dimension, Kind, Quantity, Rounding, Share, System, show, unit};
use crate::rules::Rules;
use crate::rules::upkeep::{Care, UpkeepRules};
use crate::sheet::{Axis, Cell, Chart, Figure, Item, Op, Row, Sheet, Sum, Table, Value, Working};
use crate::tank::Tank;

/// An acid that dissolves lime scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Acid {
    /// Citric acid without crystal water, `3 CaCO₃ + 2 H₃Cit → Ca₃Cit₂ + 3 CO₂ + 3 H₂O`.
    Citric,
    /// The same as crystals that hold one water each.
    CitricMonohydrate,
    /// The acid of vinegar, `CaCO₃ + 2 HAc → CaAc₂ + CO₂ + H₂O`.
    Acetic,
}

/// The scale that an acid can dissolve when the reaction is complete: `m ÷ M(acid) × moles of scale for each of acid × M(scale)`.
///
/// - `mass`: of the acid, from nothing to 100 kg
///
/// # Errors
/// [`Error::OutOfRange`].
///
/// # Source
/// Stoichiometry, with molar masses from the standard atomic weights. A hundred grams of anhydrous citric acid dissolve 78.14 g:
/// ```
/// use reckoner_calc::{Rules, quantity::{Dimension, parse}, upkeep::{Acid, scale_dissolved}};
/// let rules = Rules::compiled_in().expect("the compiled-in rules are sound").upkeep;
/// let scale = scale_dissolved(Acid::Citric, parse("100 g")?, &rules)?;
/// assert!((scale.si() * 1e3 - 78.14).abs() < 5e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn scale_dissolved(acid: Acid, mass: Mass, rules: &UpkeepRules) -> Result<Mass, Error> {
    let mass = within("the mass of acid", mass, Mass::from_si(0.0)..=Mass::from_si(100.0))?;
    let (molar_mass, moles_of_scale) = match acid {
        Acid::Citric => (*rules.citric_acid, 3.0 / 2.0),
        Acid::CitricMonohydrate => (*rules.citric_monohydrate, 3.0 / 2.0),
        Acid::Acetic => (*rules.acetic_acid, 1.0 / 2.0),
    };
    Ok(Mass::from_si(mass.si() / molar_mass.si() * moles_of_scale * rules.scale.si()))
}

/// What goes into an acid bath, and the scale that it can dissolve: one way with citric acid, another with vinegar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bath {
    /// Citric acid to weigh, anhydrous.
    pub citric_acid: Mass,
    /// Scale that it can dissolve.
    pub citric_scale: Mass,
    /// Vinegar to measure instead; water fills the rest.
    pub vinegar: Volume,
    /// Scale that it can dissolve.
    pub vinegar_scale: Mass,
}

impl Bath {
    /// A bath of the given size, by the rules' strengths.
    ///
    /// - `size`: from 10 mL to 200 L
    ///
    /// # Errors
    /// [`Error::OutOfRange`].
    pub fn of(size: Volume, rules: &UpkeepRules) -> Result<Self, Error> {
        let size = within("the size of the bath", size, Volume::from_si(1e-5)..=Volume::from_si(0.2))?;
        let citric_acid = Mass::from_si(size.si() * rules.citric_strength.si());
        let vinegar = size * rules.vinegar_share.0;
        let acetic_acid = Mass::from_si(vinegar.si() * rules.vinegar_acid.si());
        Ok(Bath {
            citric_acid,
            citric_scale: scale_dissolved(Acid::Citric, citric_acid, rules)?,
            vinegar,
            vinegar_scale: scale_dissolved(Acid::Acetic, acetic_acid, rules)?,
        })
    }
}

/// How a pump loses flow between two cleanings.
///
/// We assume that it loses the same share of what is left each day, so that after the time `t` it gives `(1 − lost)^(t ÷ between)` of
/// its clean flow. No publication stands behind that: a snail or a scrap of plastic stops a pump at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fouling {
    /// Share of its clean flow that it has lost just before a cleaning, from nothing to 80 %.
    pub lost: Share,
    /// The time between two cleanings, from an hour to ten years.
    pub between: Time,
}

impl Fouling {
    /// Share of its clean flow that a pump still gives.
    ///
    /// - `since`: the last cleaning, from nothing to ten years
    ///
    /// # Errors
    /// [`Error::OutOfRange`].
    pub fn flow_left(&self, since: Time) -> Result<Share, Error> {
        let since = within("the time since the last cleaning", since, Time::from_si(0.0)..=Time::from_si(TEN_YEARS))?;
        Ok(Share(libm::exp(-self.decay()? * since.si())))
    }

    /// How often to clean, so that a pump never gives less than the given share of its clean flow.
    ///
    /// - `kept`: from 10 % to 100 %
    ///
    /// # Errors
    /// [`Error::OutOfRange`], and [`Error::NoAnswer`] for a pump that loses nothing.
    pub fn interval_to_keep(&self, kept: Share) -> Result<Time, Error> {
        let kept = within("the share of flow to keep", kept, Share(0.1)..=Share(1.0))?;
        let decay = self.decay()?;
        if decay <= 0.0 {
            let why = "it never falls below any share; clean it at the usual interval".to_owned();
            return Err(Error::NoAnswer { what: "the interval for a pump that loses no flow", why });
        }
        Ok(Time::from_si(-libm::log(kept.0) / decay))
    }

    /// The share lost in a second.
    fn decay(&self) -> Result<f64, Error> {
        let lost = within("the share of flow lost to fouling", self.lost, Share(0.0)..=Share(0.8))?;
        let between = within("the time between two cleanings", self.between, Time::from_si(3600.0)..=Time::from_si(TEN_YEARS))?;
        Ok(-libm::log1p(-lost.0) / between.si())
    }
}

/// The flow of a pump through three cleanings: a saw.
fn fouling_chart(rules: &Rules) -> Result<Chart, Error> {
    let between = rules.upkeep.interval(Care::AcidBath);
    let fouling = Fouling { lost: *rules.turnover.fouling_allowance, between };
    let mut points = Vec::new();
    for tooth in 0..3 {
        for step in 0..=4 {
            let since = between * (f64::from(step) / 4.0);
            points.push((between.si() * f64::from(tooth) + since.si(), fouling.flow_left(since)?.0));
        }
    }
    let chart = Chart::new(
        "fouling",
        "The flow of a pump from one acid bath to the next",
        "A saw: after each bath the pump gives its full flow, and then loses a little every day until the next.",
        Axis::new("Time", Kind::Time, 0.0, between.si() * 3.0),
        Axis::new("Part of the clean flow", Kind::Share, 0.0, 1.0),
    );
    Ok(chart.line("Flow", points))
}

/// Adds the figures of this topic: `upkeep.…`.
pub(crate) fn figures(sheet: &mut Sheet, rules: &Rules, tank: &Tank) -> Result<(), Error> {
    for care in Care::ALL.into_iter().filter(|care| care.is_due_for(tank)) {
        sheet.put(every(care, rules));
    }
    let why =
        format!("{} has neither a battery nor an air pump with one in its file. Write a table [battery] or [air_pump] into it.", tank.name);
    for care in Care::ALL.into_iter().filter(|care| !care.is_due_for(tank)) {
        sheet.lack(&format!("upkeep.every_{}", care.key()), &*why);
    }
    sheet.put_table(care_table(rules, tank));
    sheet.put_chart(fouling_chart(rules)?);
    let lost = *rules.turnover.fouling_allowance;
    let rules = &rules.upkeep;
    let bath = Bath::of(*rules.bath, rules)?;
    let ratio = Quantity::new(Kind::Ratio, scale_dissolved(Acid::Citric, Mass::from_si(1.0), rules)?.si());
    sheet.put(
        Figure::new("upkeep.citric_acid", "Citric acid for the bath", bath.citric_acid)
            .from("bath × strength", &["rule.upkeep.bath", "rule.upkeep.citric_strength"])
            .rule("upkeep.bath")
            .rule("upkeep.citric_strength"),
    );
    sheet.put(
        Figure::new(
            "upkeep.citric_crystals",
            "Citric acid for the bath where the packet says monohydrate",
            bath.citric_acid * (*rules.citric_monohydrate / *rules.citric_acid),
        )
        .from("acid × molar mass with crystal water ÷ molar mass without", &["upkeep.citric_acid"])
        .rule("upkeep.citric_monohydrate")
        .rule("upkeep.citric_acid"),
    );
    sheet.put(
        Figure::new("upkeep.citric_ratio", "Scale that citric acid can dissolve, for each of its own mass", ratio)
            .from("3 ÷ 2 × molar mass of scale ÷ molar mass of the acid", &[])
            .rule("upkeep.citric_acid")
            .rule("upkeep.scale")
            .never_above(),
    );
    sheet.put(
        Figure::new("upkeep.citric_scale", "Scale that the citric acid can dissolve at the most", bath.citric_scale)
            .from("acid × scale for each of its mass", &["upkeep.citric_acid", "upkeep.citric_ratio"])
            .never_above(),
    );
    sheet.put(
        Figure::new("upkeep.vinegar", "Vinegar for the bath", bath.vinegar)
            .from("bath × share", &["rule.upkeep.bath"])
            .rule("upkeep.bath")
            .rule("upkeep.vinegar_share"),
    );
    sheet.put(
        Figure::new("upkeep.vinegar_scale", "Scale that the vinegar can dissolve at the most", bath.vinegar_scale)
            .from("vinegar × its acid × 1 ÷ 2 × molar mass of scale ÷ molar mass of the acid", &["upkeep.vinegar"])
            .rule("upkeep.vinegar_acid")
            .rule("upkeep.acetic_acid")
            .rule("upkeep.scale")
            .never_above(),
    );

    let fouling = Fouling { lost: lost, between: rules.interval(Care::AcidBath) };
    // A rule of no loss leaves nothing to say about an interval.
    if lost.0 > 0.0 {
        sheet.put(
            Figure::new(
                "upkeep.keep_interval",
                "How often to clean to keep the wanted share of the flow",
                fouling.interval_to_keep(*rules.wanted_flow)?,
            )
            .from("interval × ln(share) ÷ ln(1 − lost)", &["rule.upkeep.acid_bath"])
            .rule("upkeep.wanted_flow")
            .rule("upkeep.acid_bath")
            .rule("turnover.fouling_allowance")
            .never_above(),
        );
    }

    if let Some(working) = acid_working(bath, rules) {
        sheet.workings.insert(working.id, working);
    }
    sheet.workings.insert("upkeep_citric_scale", scale_working(bath, ratio));
    sheet.put_table(baths_table(rules)?);
    sheet.put_table(flow_left_table(fouling, rules)?);
    Ok(())
}

/// Bath × strength. `None` where a bath is so small or large that its printed units differ from those of the strength.
fn acid_working(bath: Bath, rules: &UpkeepRules) -> Option<Working> {
    let sum = |system| {
        let size = Item::of(*rules.bath, system);
        let (volume_unit, mass_unit) = (size.reading.unit, Item::of(bath.citric_acid, system).reading.unit);
        let strength_unit = match (mass_unit, volume_unit) {
            ("g", "L") => "g/L",
            ("kg", "L") => "kg/L",
            ("oz", "US\u{a0}gal") => "oz/US\u{a0}gal",
            ("lb", "US\u{a0}gal") => "lb/US\u{a0}gal",
            _ => return None,
        };
        // The printed units, as the units table knows them.
        let volume = unit(Kind::Volume, &volume_unit.replace('\u{a0}', " "))?.si;
        let strength = Quantity::new(Kind::Ratio, rules.citric_strength.si() * volume / unit(Kind::Mass, mass_unit)?.si);
        let strength = Item::of(strength, System::Metric).in_unit(strength_unit);
        Some(Sum::work(system, vec![(Op::First, size), (Op::Times, strength)], mass_unit))
    };
    Some(Working {
        id: "upkeep_citric_acid",
        title: "How much citric acid to weigh",
        given: ["rule.upkeep.bath", "rule.upkeep.citric_strength"].map(str::to_owned).into(),
        formula: "bath × strength",
        sums: vec![sum(System::Metric)?, sum(System::Us)?],
        answer: "upkeep.citric_acid",
        tell: "The powder is gone after a stir in lukewarm water.",
    })
}

fn scale_working(bath: Bath, ratio: Quantity) -> Working {
    let sum = |system| {
        let acid = Item::of(bath.citric_acid, system);
        let unit = acid.reading.unit;
        Sum::work(system, vec![(Op::First, acid), (Op::Times, Item::rounded(ratio, system, Rounding::Down))], unit)
    };
    Working {
        id: "upkeep_citric_scale",
        title: "How much scale the bath can dissolve",
        given: ["upkeep.citric_acid", "upkeep.citric_ratio"].map(str::to_owned).into(),
        formula: "acid × scale for each of its mass",
        sums: vec![sum(System::Metric), sum(System::Us)],
        answer: "upkeep.citric_scale",
        tell: "When it no longer fizzes and scale is left, the acid is used up: mix a new bath.",
    }
}

/// How often a care is due, as people say it: `every 2 months`, but `every day`.
fn every(care: Care, rules: &Rules) -> Figure {
    let rule = format!("upkeep.{}", care.key());
    let title = rules.rule(&rule).map_or("", |rule| rule.title.as_str());
    let interval = show(rules.upkeep.interval(care).into(), Rounding::Nearest).metric;
    let words = if interval.number == "1" { format!("every {}", interval.unit) } else { format!("every {interval}") };
    Figure::new(format!("upkeep.every_{}", care.key()), title, words.as_str()).rule(&rule)
}

/// Adds `upkeep.several` where two pumps or more hang in the tank, or in its plan if it has none: then the others run on while one is
/// out. Comes after the plan.
pub(crate) fn several(sheet: &mut Sheet, tank: &Tank) {
    let planned = sheet.figure("plan.count").is_some_and(|figure| matches!(figure.value, Value::One(count) if count.si > 1.5));
    if tank.pumps.len() > 1 || (tank.pumps.is_empty() && planned) {
        let count = Figure::new("upkeep.several", "Whether other pumps run on while one is cleaned", "others run on");
        sheet.put(count.from("pumps in the tank, or else in its plan, are two or more", &[]));
    } else {
        sheet.lack("upkeep.several", format!("{} has no second pump that runs on while one is cleaned.", tank.name));
    }
}

/// Care → how often.
fn care_table(rules: &Rules, tank: &Tank) -> Table {
    let row = |care: Care| {
        let mut cell = every(care, rules);
        cell.id = format!("upkeep_care.{}", care.key());
        Row { head: Cell::Words(cell.title.clone()), cells: vec![Cell::Figure(cell)] }
    };
    Table {
        id: "upkeep_care",
        caption: "What to do, and how often".to_owned(),
        heads: ["What to do", "How often"].map(str::to_owned).to_vec(),
        rows: Care::ALL.into_iter().filter(|care| care.is_due_for(tank)).map(row).collect(),
        origin: crate::sheet::Origin::default(),
    }
}

/// Bath → what goes in and what it can dissolve.
fn baths_table(rules: &UpkeepRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for size in &*rules.table_baths {
        let id = format!("upkeep_baths.{}", rows.len() + 1);
        let bath = Bath::of(*size, rules)?;
        let cell = |name: &str, title: &str, value: Quantity| {
            Figure::new(format!("{id}.{name}"), title, value)
                .from("as for the bath of a small pump", &[id.as_str()])
                .rule("upkeep.table_baths")
        };
        let cells = vec![
            cell("citric_acid", "Citric acid", bath.citric_acid.into()).rule("upkeep.citric_strength"),
            cell("citric_scale", "Scale that it can dissolve", bath.citric_scale.into()).rule("upkeep.citric_strength").never_above(),
            cell("vinegar", "Vinegar", bath.vinegar.into()).rule("upkeep.vinegar_share"),
            cell("vinegar_scale", "Scale that it can dissolve", bath.vinegar_scale.into()).rule("upkeep.vinegar_acid").never_above(),
        ];
        rows.push(Row {
            head: Cell::Figure(Figure::new(id.clone(), "Bath", *size).rule("upkeep.table_baths")),
            cells: cells.into_iter().map(Cell::Figure).collect(),
        });
    }
    let heads = ["Bath", "Citric acid", "Scale it dissolves at the most", "Or vinegar", "Scale it dissolves at the most"];
    Ok(Table {
        id: "upkeep_baths",
        caption: "Baths against lime".to_owned(),
        heads: heads.map(str::to_owned).to_vec(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

/// Time since the last cleaning → share of the flow that is left.
fn flow_left_table(fouling: Fouling, rules: &UpkeepRules) -> Result<Table, Error> {
    let mut rows = Vec::new();
    for since in &*rules.table_since {
        let id = format!("upkeep_flow_left.{}", rows.len() + 1);
        let left = Figure::new(format!("{id}.left"), "Share of the clean flow that is left", fouling.flow_left(*since)?)
            .from("(1 − lost)^(time ÷ interval)", &[id.as_str(), "rule.upkeep.acid_bath"])
            .rule("turnover.fouling_allowance")
            .rule("upkeep.acid_bath");
        let head = Figure::new(id, "Time since the last cleaning", *since).rule("upkeep.table_since");
        rows.push(Row { head: Cell::Figure(head), cells: vec![Cell::Figure(left)] });
    }
    Ok(Table {
        id: "upkeep_flow_left",
        caption: "What a pump still gives, if it fouls evenly".to_owned(),
        heads: ["Since the last cleaning", "Flow that is left"].map(str::to_owned).to_vec(),
        rows,
        origin: crate::sheet::Origin::default(),
    })
}

const TEN_YEARS: f64 = 3.2e8;

impl Care {
    /// Whether a tank has what it is about. A residual-current device belongs to every tank, named in its file or not.
    pub fn is_due_for(self, tank: &Tank) -> bool {
        self != Care::BatteryTest || tank.battery.is_some() || tank.air_pump.is_some()
    }
}

#[cfg(test)]
mod tests;

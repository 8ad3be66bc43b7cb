//! The rules: every value that the trade or a publication gives, with how far to trust it.
//!
//! A rule lives in `calc/rules/TOPIC.toml` and nowhere else. The files are compiled in; a folder given at run time replaces those of
//! the same name, so that a club can change a rule of thumb without a compiler. Each topic of `calc` reads its own file through
//! [`Topic`], which is at once the list of the rules that must be there and of the ranges they must lie in.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use std::sync::OnceLock;

use crate::document::{self, Problem, Table};
use crate::quantity::{Dimension, Kind, Quantity};

/// How far to trust a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Basis {
    /// Taken from a publication.
    Published {
        /// Its key in `sources.toml`.
        source: String,
        /// Where in it: a page, a table, an equation.
        place: String,
    },
    /// What keepers do; nobody needs a citation for it.
    CommonPractice,
    /// Recalled, and not looked up again.
    FromMemory,
    /// Made up for the demo.
    Invented,
}

impl Basis {
    /// The word that files and pages use.
    pub fn word(&self) -> &'static str {
        match self {
            Basis::Published { .. } => "published",
            Basis::CommonPractice => "common-practice",
            Basis::FromMemory => "from-memory",
            Basis::Invented => "invented",
        }
    }
}

/// What a rule says.
#[derive(Debug, Clone, PartialEq)]
pub enum RuleValue {
    /// One quantity.
    One(Quantity),
    /// From a lowest to a highest value.
    Band(Quantity, Quantity),
    /// Several values: sizes, or the coefficients of a formula.
    List(Vec<Quantity>),
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Topic and name, for instance `turnover.fish_only`.
    pub id: String,
    /// What it is, in plain words.
    pub title: String,
    /// What it says.
    pub value: RuleValue,
    /// How far to trust it.
    pub basis: Basis,
    /// What a reader or contributor should know beside it.
    pub note: String,
}

/// A publication.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Who wrote or issued it.
    pub author: String,
    /// When.
    pub year: String,
    /// Its title.
    pub title: String,
    /// Where it appeared: journal and pages, publisher or document number.
    pub published: String,
    /// How it was read: in the original, or through a secondary page that names it.
    pub seen: String,
}

/// From a lowest to a highest value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band<D> {
    /// The lowest.
    pub low: D,
    /// The highest.
    pub high: D,
}

impl<D: Dimension> Band<D> {
    /// The value a share of the way up: 0 is the lowest, 1 the highest.
    pub fn at(&self, share: f64) -> D {
        D::from_si(self.low.si() + share * (self.high.si() - self.low.si()))
    }

    /// Whether the value lies in the band, its ends included. A billionth past an end still counts, so that the last bit of a
    /// product never decides.
    pub fn contains(&self, value: D) -> bool {
        let slack = 1e-9 * self.high.si().abs();
        (self.low.si() - slack..=self.high.si() + slack).contains(&value.si())
    }
}

macro_rules! topics {
    ($($(#[$doc:meta])* $topic:ident: $rules:ty),* $(,)?) => {
        /// All rules, read and checked.
        #[derive(Debug, Clone)]
        pub struct Rules {
            /// The publications by their key.
            pub sources: BTreeMap<String, Source>,
            /// Every rule, in the order of the files.
            pub all: Vec<Rule>,
            $($(#[$doc])* pub $topic: $rules,)*
        }

        /// The rule files as they were compiled in: name and text.
        pub const COMPILED_IN: &[(&str, &str)] = &[
            ("sources.toml", include_str!("../rules/sources.toml")),
            $((concat!(stringify!($topic), ".toml"), include_str!(concat!("../rules/", stringify!($topic), ".toml"))),)*
        ];

        impl Rules {
            /// Reads the rules: those compiled in, with each given file (name and text) in place of the one of its name.
            ///
            /// # Errors
            /// Every problem in every file: an unknown or missing rule, a value without its unit or outside its range, a basis that
            /// is missing, a source that `sources.toml` does not list, a file that no topic reads.
            pub fn load(replacements: &[(String, String)]) -> Result<Self, Vec<Problem>> {
                let mut problems = Vec::new();
                let names: Vec<_> = COMPILED_IN.iter().map(|(name, _)| *name).collect();
                for (name, _) in replacements.iter().filter(|(name, _)| !names.contains(&name.as_str())) {
                    let help = vec![format!("rule files are {}", names.join(", "))];
                    problems.push(Problem { document: name.clone(), span: 0..0, message: format!("no topic reads `{name}`"), help });
                }
                let text = |name: &str| {
                    let replaced = replacements.iter().find(|(given, _)| given == name).map(|(_, text)| text.as_str());
                    replaced.or_else(|| COMPILED_IN.iter().find(|(given, _)| *given == name).map(|(_, text)| *text)).unwrap_or_default()
                };
                let sources = match document::read("sources.toml", text("sources.toml"), read_sources) {
                    Ok(sources) => sources,
                    Err(found) => {
                        problems.extend(found);
                        BTreeMap::new()
                    }
                };
                let mut all = Vec::new();
                $(
                    let name = concat!(stringify!($topic), ".toml");
                    let $topic = document::read(name, text(name), |table| {
                        let mut topic = Topic { name: stringify!($topic), table, sources: &sources, rules: &mut all };
                        <$rules>::read(&mut topic)
                    });
                    let $topic = match $topic {
                        Ok(read) => Some(read),
                        Err(found) => {
                            problems.extend(found);
                            None
                        }
                    };
                )*
                match ($($topic,)*) {
                    ($(Some($topic),)*) if problems.is_empty() => Ok(Rules { sources, all, $($topic,)* }),
                    _ => Err(problems),
                }
            }
        }
    };
}

topics! {
    /// What is assumed where a tank file leaves something out that a figure needs.
    assumed: crate::assumed::AssumedRules,
    /// Where pumps hang.
    placement: crate::placement::PlacementRules,
    /// Which pumps to buy.
    plan: crate::plan::PlanRules,
    /// Density and viscosity of seawater.
    seawater: crate::seawater::SeawaterRules,
    /// What a circuit carries, and what guards it.
    circuit: crate::circuit::CircuitRules,
    /// What pumps cost over the years.
    cost: crate::cost::CostRules,
    /// What pumps draw, and what a battery gives.
    power: crate::power::PowerRules,
    /// What to do when the power fails.
    power_cut: crate::power_cut::PowerCutRules,
    /// What the pumps do through the day.
    programme: crate::programme::ProgrammeRules,
    /// The pipe from the sump back to the tank.
    return_line: crate::return_line::ReturnLineRules,
    /// How loud pumps are at the pillow.
    sound: crate::sound::SoundRules,
    /// How thick the panes of a tank usually are.
    glass: crate::glass::GlassRules,
    /// Volumes and masses of glass, sand and rock.
    volume: crate::volume::VolumeRules,
    /// What several pumps do together.
    team: crate::team::TeamRules,
    /// How often the water should pass the pumps.
    turnover: crate::turnover::TurnoverRules,
    /// How soon the water has passed the pumps.
    mixing: crate::mixing::MixingRules,
    /// Oxygen in the water, and how long it lasts.
    oxygen: crate::oxygen::OxygenRules,
    /// Care of the pumps.
    upkeep: crate::upkeep::UpkeepRules,
    /// How a pump's stream slows and widens.
    stream: crate::stream::StreamRules,
    /// When a stream lifts the sand.
    sand: crate::sand::SandRules,
    /// How fast things sink and what keeps them moving.
    settling: crate::settling::SettlingRules,
    /// Speeds that animals meet.
    speeds: crate::speeds::SpeedsRules,
    /// The tank's own slosh, and the pulses that drive it.
    waves: crate::waves::WavesRules,
}

impl Rules {
    /// The rules as they were compiled in. They are read once, however often they are asked for.
    ///
    /// # Errors
    /// As [`Rules::load`]; a test holds that there are none.
    pub fn compiled_in() -> Result<Self, Vec<Problem>> {
        static READ: OnceLock<Result<Rules, Vec<Problem>>> = OnceLock::new();
        READ.get_or_init(|| Rules::load(&[])).clone()
    }

    /// The rule with the given id.
    pub fn rule(&self, id: &str) -> Option<&Rule> {
        self.all.iter().find(|rule| rule.id == id)
    }
}

/// One rule file, being read by the topic it belongs to.
pub struct Topic<'t, 'd> {
    name: &'static str,
    table: &'t mut Table<'d>,
    sources: &'t BTreeMap<String, Source>,
    rules: &'t mut Vec<Rule>,
}

impl Topic<'_, '_> {
    /// A rule with one value, in the given range.
    pub fn one<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<D> {
        let quantity = self.rule(key, |table| table.quantity_of("value", D::KIND, range), |quantity| RuleValue::One(*quantity))?;
        Some(D::from_si(quantity.si))
    }

    /// A rule with a lowest and a highest value, both in the given range.
    pub fn band<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<Band<D>> {
        let ends = |table: &mut Table<'_>| {
            let (low, high) = (table.quantity_of("low", D::KIND, range.clone()), table.quantity_of("high", D::KIND, range));
            let (low, high) = (low?, high?);
            if low.si >= high.si {
                table.refuse("high", "`high` is not above `low`", "swap them, or write another end");
                return None;
            }
            Some((low, high))
        };
        let (low, high) = self.rule(key, ends, |(low, high)| RuleValue::Band(*low, *high))?;
        Some(Band { low: D::from_si(low.si), high: D::from_si(high.si) })
    }

    /// A rule with several values, each in the given range.
    pub fn list<D: Dimension>(&mut self, key: &str, range: RangeInclusive<&str>) -> Option<Vec<D>> {
        let list = self.rule(key, |table| table.quantities("values", D::KIND, range), |list| RuleValue::List(list.clone()))?;
        Some(list.into_iter().map(|quantity| D::from_si(quantity.si)).collect())
    }

    /// The coefficients of a formula, exactly `N` plain numbers.
    pub fn coefficients<const N: usize>(&mut self, key: &str) -> Option<[f64; N]> {
        let numbers = |table: &mut Table<'_>| {
            let numbers = table.numbers("values")?;
            if numbers.len() != N {
                table.refuse(
                    "values",
                    format!("`values` holds {} numbers", numbers.len()),
                    format!("it must hold {N}, in the order of the source"),
                );
            }
            <[f64; N]>::try_from(numbers).ok()
        };
        let listed = |values: &[f64; N]| RuleValue::List(values.iter().map(|value| Quantity::new(Kind::Ratio, *value)).collect());
        self.rule(key, numbers, listed)
    }

    /// Reads one rule: its value through `read`, and what every rule has.
    fn rule<T>(&mut self, key: &str, read: impl FnOnce(&mut Table<'_>) -> Option<T>, value: impl FnOnce(&T) -> RuleValue) -> Option<T> {
        let sources = self.sources;
        let (title, content, basis, note) = self.table.table(key, |table| {
            let title = table.text("title");
            let content = read(table);
            let basis = read_basis(table, sources);
            let note = table.maybe_text("note").unwrap_or_default();
            Some((title?, content?, basis?, note))
        })?;
        self.rules.push(Rule { id: format!("{}.{key}", self.name), title, value: value(&content), basis, note });
        Some(content)
    }
}

/// Reads `basis`, and `source` and `place` where it is published.
pub(crate) fn read_basis(table: &mut Table<'_>, sources: &BTreeMap<String, Source>) -> Option<Basis> {
    let words =
        [("published", "published"), ("common-practice", "common-practice"), ("from-memory", "from-memory"), ("invented", "invented")];
    match table.choice("basis", &words)? {
        "published" => {
            let (source, place) = (table.text("source"), table.text("place"));
            let (source, place) = (source?, place?);
            if !sources.contains_key(&source) {
                let keys: Vec<_> = sources.keys().map(String::as_str).collect();
                let near = document::did_you_mean(&source, &keys).map_or_else(String::new, |near| format!("; {near}"));
                table.refuse("source", format!("`sources.toml` has no `{source}`"), format!("add it there{near}"));
                return None;
            }
            Some(Basis::Published { source, place })
        }
        "common-practice" => Some(Basis::CommonPractice),
        "from-memory" => Some(Basis::FromMemory),
        _ => Some(Basis::Invented),
    }
}

fn read_sources(table: &mut Table<'_>) -> Option<BTreeMap<String, Source>> {
    let read = table.keys().into_iter().map(|key| {
        let source = table.table(&key, |table| {
            let (author, year, title) = (table.text("author"), table.text("year"), table.text("title"));
            let (published, seen) = (table.text("published"), table.text("seen"));
            Some(Source { author: author?, year: year?, title: title?, published: published?, seen: seen? })
        })?;
        Some((key, source))
    });
    let read: Vec<_> = read.collect();
    read.into_iter().collect()
}

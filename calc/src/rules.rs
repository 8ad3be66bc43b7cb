//! The rules: every value that the trade or a publication gives, with how far to trust it.
//!
//! A rule lives in `calc/rules/TOPIC.toml` and nowhere else. The files are compiled in; tables of a folder given at run time go before
//! those of the same name, so that a club can change a rule of thumb without a compiler. Without the feature `compiled-in` no text of
//! them is in the program, and all are given at run time. Each topic declares its rules once, with their kinds and the ranges they must
//! lie in, in a file of its own here. A rule that is read is noted: see [`trace`](crate::trace).

pub mod livestock;
mod ruled;

use std::ops::RangeInclusive;
#[cfg(feature = "compiled-in")]
use std::sync::OnceLock;

pub use ruled::{Each, Family, Ruled, Ruling};
use ruled::{OfPages, RuleFile, USED_BY, rules};

use crate::document::{self, Problem, Table};
use crate::ordered::Map;
use crate::quantity::{Dimension, Quantity};

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
    ($($(#[$doc:meta])* $topic:ident: $rules:ident),* $(,)?) => {
        $(pub mod $topic;)*

        /// All rules, read and checked.
        #[derive(Debug, Clone)]
        pub struct Rules {
            /// The publications by their key.
            pub sources: Map<String, Source>,
            /// Every rule, in the order in which the topics declare them.
            pub all: Vec<Rule>,
            $($(#[$doc])* pub $topic: $topic::$rules,)*
        }

        /// The names of the rule files.
        pub const FILES: &[&str] = &["sources.toml", $(concat!(stringify!($topic), ".toml"),)*];

        /// The rule files as they were compiled in: name and text. Without the feature `compiled-in` there are none.
        pub const COMPILED_IN: &[(&str, &str)] = &[
            #[cfg(feature = "compiled-in")]
            ("sources.toml", include_str!("../rules/sources.toml")),
            $(
                #[cfg(feature = "compiled-in")]
                (concat!(stringify!($topic), ".toml"), include_str!(concat!("../rules/", stringify!($topic), ".toml"))),
            )*
        ];

        impl Rules {
            /// Reads the rules: those compiled in, with the tables of each given file (name and text) in place of those of their name.
            /// Of a file that is not compiled in the first text given stands for it, and the tables of a second go before its own.
            ///
            /// # Errors
            /// Every problem in every file: an unknown or missing rule, a value without its unit or outside its range, a basis that
            /// is missing, a source that `sources.toml` does not list, a file that no topic reads.
            pub fn load(given: &[(String, String)]) -> Result<Self, Vec<Problem>> {
                let mut files = Files::new(given);
                let sources = files.sources();
                let mut all = Vec::new();
                $(let $topic = files.topic::<$topic::$rules>(&sources, &mut all);)*
                match ($($topic,)*) {
                    ($(Some($topic),)*) if files.problems.is_empty() => Ok(Rules { sources, all, $($topic,)* }),
                    _ => Err(files.problems),
                }
            }
        }

        $(
            impl AsRef<$topic::$rules> for Rules {
                fn as_ref(&self) -> &$topic::$rules {
                    &self.$topic
                }
            }
        )*
    };
}

impl AsRef<Rules> for Rules {
    fn as_ref(&self) -> &Rules {
        self
    }
}

topics! {
    /// What is assumed where a tank file leaves something out that a figure needs.
    assumed: AssumedRules,
    /// Where pumps hang.
    placement: PlacementRules,
    /// Which pumps to buy.
    plan: PlanRules,
    /// Density and viscosity of seawater.
    seawater: SeawaterRules,
    /// What a circuit carries, and what guards it.
    circuit: CircuitRules,
    /// What pumps cost over the years.
    cost: CostRules,
    /// What pumps draw, and what a battery gives.
    power: PowerRules,
    /// What to do when the power fails.
    power_cut: PowerCutRules,
    /// What the pumps do through the day.
    programme: ProgrammeRules,
    /// The pipe from the sump back to the tank.
    return_line: ReturnLineRules,
    /// How loud pumps are at the pillow.
    sound: SoundRules,
    /// How thick the panes of a tank usually are.
    glass: GlassRules,
    /// Volumes and masses of glass, sand and rock.
    volume: VolumeRules,
    /// What several pumps do together.
    team: TeamRules,
    /// How often the water should pass the pumps.
    turnover: TurnoverRules,
    /// How soon the water has passed the pumps.
    mixing: MixingRules,
    /// Oxygen in the water, and how long it lasts.
    oxygen: OxygenRules,
    /// Care of the pumps.
    upkeep: UpkeepRules,
    /// How a pump's stream slows and widens.
    stream: StreamRules,
    /// When a stream lifts the sand.
    sand: SandRules,
    /// How fast things sink and what keeps them moving.
    settling: SettlingRules,
    /// Speeds that animals meet.
    speeds: SpeedsRules,
    /// The tank's own slosh, and the pulses that drive it.
    waves: WavesRules,
}

impl Rules {
    /// The rules as they were compiled in. They are read once, however often they are asked for.
    ///
    /// # Errors
    /// As [`Rules::load`]; a test holds that there are none.
    #[cfg(feature = "compiled-in")]
    pub fn compiled_in() -> Result<Self, Vec<Problem>> {
        static READ: OnceLock<Result<Rules, Vec<Problem>>> = OnceLock::new();
        READ.get_or_init(|| Rules::load(&[])).clone()
    }

    /// The rule with the given id.
    pub fn rule(&self, id: &str) -> Option<&Rule> {
        self.all.iter().find(|rule| rule.id == id)
    }
}

/// The rule files, while they are read.
struct Files<'f> {
    given: &'f [(String, String)],
    problems: Vec<Problem>,
}

impl<'f> Files<'f> {
    fn new(given: &'f [(String, String)]) -> Self {
        let unknown = given.iter().filter(|(name, _)| !FILES.contains(&name.as_str()));
        let refuse = |(name, _): &(String, String)| {
            let help = vec![format!("rule files are {}", FILES.join(", "))];
            Problem { document: name.clone(), span: 0..0, missing: String::new(), message: format!("no topic reads `{name}`"), help }
        };
        Files { given, problems: unknown.map(refuse).collect() }
    }

    /// Reads a file, and the one that goes before it, if there is one.
    fn read<T>(&mut self, name: &str, reader: impl FnOnce(Tables<'_, '_, '_>) -> Option<T>) -> Option<T> {
        let given = self.given.iter().map(|(name, text)| (name.as_str(), text.as_str()));
        let mut texts = COMPILED_IN.iter().copied().chain(given).filter(|(of, _)| *of == name).map(|(_, text)| text);
        let (text, own) = (texts.next().unwrap_or_default(), texts.next());
        let mut problems = Vec::new();
        let read = document::read(name, text, |table| match own {
            None => reader(Tables { table, own: None }),
            Some(text) => match document::read(name, text, |own| reader(Tables { table, own: Some(own) })) {
                Ok(read) => Some(read),
                Err(found) => {
                    problems.extend(found);
                    None
                }
            },
        });
        match read {
            Ok(read) => return Some(read),
            // What is wrong in the file that goes before says why nothing was read.
            Err(_) if !problems.is_empty() => {}
            Err(found) => problems.extend(found),
        }
        self.problems.extend(problems);
        None
    }

    fn sources(&mut self) -> Map<String, Source> {
        let read = |mut tables: Tables<'_, '_, '_>| {
            let read: Vec<_> = tables.keys().into_iter().map(|key| Some((key.clone(), tables.table(&key, read_source)?))).collect();
            read.into_iter().collect()
        };
        self.read("sources.toml", read).unwrap_or_default()
    }

    fn topic<T: RuleFile>(&mut self, sources: &Map<String, Source>, rules: &mut Vec<Rule>) -> Option<T> {
        self.read(&format!("{}.toml", T::TOPIC), |tables| {
            let from = rules.len();
            let mut topic = Topic { name: T::TOPIC, tables, sources, rules };
            let read = T::read(&mut topic);
            topic.of_pages(from)?;
            read
        })
    }
}

/// The tables of a file, and those that go before them.
struct Tables<'t, 'c, 'o> {
    table: &'t mut Table<'c>,
    own: Option<&'t mut Table<'o>>,
}

impl Tables<'_, '_, '_> {
    /// Whether a table says that only pages print its rule.
    fn is_of_pages(&self, key: &str) -> bool {
        let says = |table: &Table<'_>| table.entry_text(key, USED_BY).is_some();
        says(self.table) || self.own.as_ref().is_some_and(|own| says(own))
    }

    fn keys(&self) -> Vec<String> {
        let mut keys = self.table.keys();
        keys.extend(self.own.iter().flat_map(|own| own.keys()).filter(|key| !keys.contains(key)).collect::<Vec<_>>());
        keys
    }

    fn table<T>(&mut self, key: &str, reader: impl FnOnce(&mut Table<'_>) -> Option<T>) -> Option<T> {
        // Asked of both, so that both know the key: one goes before the other, and a slip of the pen is told the right name.
        let (in_own, replaced) = (self.own.as_mut().is_some_and(|own| own.has(key)), self.table.has(key));
        match &mut self.own {
            // What neither has is missing in the one that somebody writes.
            Some(own) if in_own || !replaced => own.table(key, reader),
            _ => self.table.table(key, reader),
        }
    }
}

/// One rule file, being read by the topic it belongs to.
pub struct Topic<'t, 'c, 'o> {
    name: &'static str,
    tables: Tables<'t, 'c, 'o>,
    sources: &'t Map<String, Source>,
    rules: &'t mut Vec<Rule>,
}

impl Topic<'_, '_, '_> {
    /// A rule of the given key, its values in the given range.
    fn rule<T: Ruling>(&mut self, key: &str, range: Option<RangeInclusive<&str>>) -> Option<Ruled<T>> {
        let mut value = None;
        let place = self.put(key, &mut |table| {
            let (read, says) = T::read(table, range.clone())?;
            value = Some(read);
            Some(says)
        })?;
        Some(Ruled::new(value?, place))
    }

    /// Puts a rule to the others, and says where it stands; `read` reads what it says.
    fn put(&mut self, key: &str, read: &mut dyn FnMut(&mut Table<'_>) -> Option<RuleValue>) -> Option<usize> {
        let sources = self.sources;
        let (title, value, basis, note) = self.tables.table(key, |table| {
            let title = table.text("title");
            let value = read(table);
            let basis = read_basis(table, sources);
            let note = table.maybe_text("note").unwrap_or_default();
            Some((title?, value?, basis?, note))
        })?;
        self.rules.push(Rule { id: format!("{}.{key}", self.name), title, value, basis, note });
        Some(self.rules.len() - 1)
    }

    /// The rules that only pages print: tables that say so, and that the topic, whose own rules begin at `from`, does not declare.
    fn of_pages(&mut self, from: usize) -> Option<()> {
        let declared: Vec<_> = self.rules[from..].iter().map(|rule| rule.id.clone()).collect();
        let is_new = |key: &String| !declared.contains(&format!("{}.{key}", self.name)) && self.tables.is_of_pages(key);
        let keys: Vec<_> = self.tables.keys().into_iter().filter(is_new).collect();
        let read: Vec<_> = keys.iter().map(|key| self.rule::<OfPages>(key, None)).collect();
        read.into_iter().all(|rule| rule.is_some()).then_some(())
    }

    /// A rule for each member of a family; the keys are those of the members behind a prefix.
    fn each<F: Family, T: Ruling>(&mut self, prefix: &str, range: Option<RangeInclusive<&str>>) -> Option<Each<F, T>> {
        let rules: Vec<_> = F::ALL.iter().map(|member| self.rule(&format!("{prefix}{}", member.key()), range.clone())).collect();
        Some(Each::new(rules.into_iter().collect::<Option<_>>()?))
    }
}

/// Reads `basis`, and `source` and `place` where it is published.
pub(crate) fn read_basis(table: &mut Table<'_>, sources: &Map<String, Source>) -> Option<Basis> {
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

fn read_source(table: &mut Table<'_>) -> Option<Source> {
    let (author, year, title) = (table.text("author"), table.text("year"), table.text("title"));
    let (published, seen) = (table.text("published"), table.text("seen"));
    Some(Source { author: author?, year: year?, title: title?, published: published?, seen: seen? })
}

#[cfg(test)]
mod tests;

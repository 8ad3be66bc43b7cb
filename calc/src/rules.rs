//! The rules: every value that the trade or a publication gives, with how far to trust it.
//!
//! A rule lives in `calc/rules/TOPIC.toml` and nowhere else. The files are compiled in; tables of a folder
//! given at run time go before those of the same name, so that a club can change a rule of thumb without a
//! compiler. Without the feature `compiled-in` no text of them is in the program, and all are given at run
//! time. Each topic declares its rules once, with their kinds and the ranges they must lie in, in a file of
//! its own here. A rule that is read is noted: see [`trace`](crate::trace).

pub mod livestock;
mod ruled;
pub mod words;

use std::ops::{Range, RangeInclusive};
use std::sync::{Arc, OnceLock};

pub use livestock::OfKinds;
use livestock::{Kinds, Livestock};
pub use ruled::{Each, Family, Ruled, Ruling};
use ruled::{OfPages, RuleFile, USED_BY, rules};
use words::Words;

use crate::document::{self, Problem, Table};
use crate::name::Name;
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

/// The kind of a [`Basis`], the firmest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Somebody measured or defined it, and printed it.
    Published,
    /// What keepers do.
    CommonPractice,
    /// Recalled, and not looked up again.
    FromMemory,
    /// Made up for the demo.
    Invented,
}

impl Trust {
    /// The word that files and pages use.
    pub fn word(self) -> &'static str {
        match self {
            Trust::Published => "published",
            Trust::CommonPractice => "common-practice",
            Trust::FromMemory => "from-memory",
            Trust::Invented => "invented",
        }
    }
}

impl Basis {
    /// Its kind.
    pub fn trust(&self) -> Trust {
        match self {
            Basis::Published { .. } => Trust::Published,
            Basis::CommonPractice => Trust::CommonPractice,
            Basis::FromMemory => Trust::FromMemory,
            Basis::Invented => Trust::Invented,
        }
    }

    /// The word that files and pages use.
    pub fn word(&self) -> &'static str {
        self.trust().word()
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
    pub id: Name,
    /// What it is, in plain words.
    pub title: String,
    /// What it says.
    pub value: RuleValue,
    /// How far to trust it.
    pub basis: Basis,
    /// What a reader or contributor should know beside it.
    pub note: String,
    /// What the book said when somebody began to say otherwise, as it prints the value; empty where nobody
    /// wrote it down.
    pub instead_of: String,
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

    /// Whether the value lies in the band, its ends included. A billionth past an end still counts, so that
    /// the last bit of a product never decides.
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
            /// The words that people read.
            pub words: Arc<Words>,
            /// The kinds of livestock, from the least water movement to the most.
            pub livestock: Vec<Livestock>,
            $($(#[$doc])* pub $topic: $topic::$rules,)*
        }

        /// The names of the rule files; those of the words stand in [`words`].
        const FILES: &[&str] = &["sources.toml", livestock::FILE, $(concat!(stringify!($topic), ".toml"),)*];

        /// The rule files as they were compiled in: name and text. Without the feature `compiled-in` there
        /// are none. Those of the words stand in [`words`].
        pub const COMPILED_IN: &[(&str, &str)] = &[
            #[cfg(feature = "compiled-in")]
            ("sources.toml", include_str!("../rules/sources.toml")),
            #[cfg(feature = "compiled-in")]
            (livestock::FILE, include_str!("../rules/livestock.toml")),
            $(
                #[cfg(feature = "compiled-in")]
                (concat!(stringify!($topic), ".toml"), include_str!(concat!("../rules/", stringify!($topic), ".toml"))),
            )*
        ];

        impl Rules {
            /// Reads the rules: those compiled in, with the tables of each given file (name and text) in
            /// place of those of their name. Of a file that is not compiled in the first text given stands
            /// for it, and the tables of a second go before its own.
            ///
            /// # Errors
            /// Every problem in every file: an unknown or missing rule, a value without its unit or outside
            /// its range, a basis that is missing, a source that `sources.toml` does not list, a file that no
            /// topic reads.
            pub fn load(given: &[(String, String)]) -> Result<Self, Vec<Problem>> {
                Rules::load_on(&[], given)
            }

            /// As [`Rules::load`], with the files of `base` whole in the place of those compiled in, as those
            /// of another version of the book.
            ///
            /// # Errors
            /// As [`Rules::load`].
            pub fn load_on(
                base: &[(String, String)],
                given: &[(String, String)],
            ) -> Result<Self, Vec<Problem>> {
                let mut files = Files::new(base, given);
                let sources = files.sources();
                let mut all = Vec::new();
                let words = files.words();
                let kinds = files.kinds(&sources);
                $(let $topic = files.topic::<$topic::$rules>(&sources, &kinds, &mut all);)*
                kinds.refuse_doubled(&all, &mut files.problems);
                let livestock = kinds.all;
                match (words, $($topic,)*) {
                    (Some(words), $(Some($topic),)*) if files.problems.is_empty() => {
                        Ok(Rules { sources, all, words, livestock, $($topic,)* })
                    }
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
    /// What evaporates, and the salt that stays.
    evaporation: EvaporationRules,
    /// What a reader measured, beside what is reckoned.
    measured: MeasuredRules,
    /// How corals grow into the water.
    growth: GrowthRules,
    /// What warms the water and what cools it.
    heat: HeatRules,
    /// What the tables for pen and paper list.
    paper: PaperRules,
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
    /// Where in a tank the water is fast and where it is slow.
    speed_map: SpeedMapRules,
    /// The tanks of the atlas of shapes and rock.
    atlas: AtlasRules,
    /// The tank's own slosh, and the pulses that drive it.
    waves: WavesRules,
    /// Water over an edge.
    weir: WeirRules,
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
        self.all.iter().find(|rule| *rule.id == *id)
    }

    /// The kind of livestock that a tank file calls so.
    pub fn kind(&self, key: &str) -> Option<&Livestock> {
        self.livestock.iter().find(|kind| kind.key() == key)
    }
}

/// The name of the log of changes, in the folder of the rules: what was changed in which rule, and why. It says
/// nothing that is reckoned with, so no topic reads it.
pub const CHANGES: &str = "changes.toml";

/// The log of changes as it was compiled in.
#[cfg(feature = "compiled-in")]
pub const CHANGES_COMPILED_IN: &str = include_str!("../rules/changes.toml");

/// The folder of the files of words, within that of the rules.
pub const WORDS: &str = "words/";

/// A rule file, or one of words, as it was compiled in, by its name.
pub fn compiled_in(name: &str) -> Option<&'static str> {
    let rules = || COMPILED_IN.iter().find(|(given, _)| *given == name).map(|(_, text)| *text);
    let Some(topic) = name.strip_prefix(WORDS) else { return rules() };
    let topic = topic.strip_suffix(".toml")?;
    words::COMPILED_IN.iter().find(|(given, _)| *given == topic).map(|(_, text)| *text)
}

/// The names of all files that a folder of rules may hold.
pub fn file_names() -> Vec<String> {
    let rules = FILES.iter().map(|name| (*name).to_owned());
    rules.chain(words::TOPICS.iter().map(|topic| format!("{WORDS}{topic}.toml"))).collect()
}

/// Which files a folder of rules may hold, in words.
pub fn files_in_words() -> String {
    format!("rule files are {}, and of most topics {WORDS}TOPIC.toml", FILES.join(", "))
}

/// The rule files, while they are read.
struct Files<'f> {
    base: &'f [(String, String)],
    given: &'f [(String, String)],
    problems: Vec<Problem>,
}

impl<'f> Files<'f> {
    fn new(base: &'f [(String, String)], given: &'f [(String, String)]) -> Self {
        let names = file_names();
        let unknown = base.iter().chain(given).filter(|(name, _)| !names.contains(name));
        let refuse = |(name, _): &(String, String)| {
            let stems = names.iter().map(|name| name.trim_end_matches(".toml").to_owned());
            let near = document::nearest(name.trim_end_matches(".toml"), stems);
            let help =
                near.first().map_or_else(files_in_words, |near| format!("did you mean `{near}.toml`?"));
            let help = vec![help];
            Problem {
                document: name.clone(),
                span: 0..0,
                missing: String::new(),
                message: format!("no topic reads `{name}`"),
                help,
            }
        };
        Files { base, given, problems: unknown.map(refuse).collect() }
    }

    /// Reads a file, and the one that goes before it, if there is one.
    fn read<T>(&mut self, name: &str, reader: impl FnOnce(Tables<'_, '_, '_>) -> Option<T>) -> Option<T> {
        let (mut reader, mut value) = (Some(reader), None);
        let is_sound =
            self.is_sound(name, &mut |tables| value = reader.take().and_then(|reader| reader(tables)));
        value.filter(|_| is_sound)
    }

    /// Whether `reader` finds nothing wrong in a file, and in the one that goes before it.
    fn is_sound(&mut self, name: &str, reader: &mut dyn FnMut(Tables<'_, '_, '_>)) -> bool {
        let given = self.given.iter().filter(|(of, _)| of == name).map(|(_, text)| text.as_str());
        let based = self.base.iter().find(|(of, _)| of == name).map(|(_, text)| text.as_str());
        let mut texts = based.or_else(|| compiled_in(name)).into_iter().chain(given);
        let (text, own) = (texts.next().unwrap_or_default(), texts.next());
        let mut in_own = Vec::new();
        let found = document::problems(name, text, &mut |table| match own {
            None => reader(Tables { table, own: None }),
            Some(text) => {
                in_own = document::problems(name, text, &mut |own| reader(Tables { table, own: Some(own) }))
            }
        });
        // What is wrong in the file that goes before says why nothing was read.
        let problems = if in_own.is_empty() { found } else { in_own };
        let is_sound = problems.is_empty();
        self.problems.extend(problems);
        is_sound
    }

    fn sources(&mut self) -> Map<String, Source> {
        let read = |mut tables: Tables<'_, '_, '_>| {
            let read: Vec<_> = tables
                .keys()
                .into_iter()
                .map(|key| Some((key.clone(), tables.table(&key, read_source)?)))
                .collect();
            read.into_iter().collect()
        };
        self.read("sources.toml", read).unwrap_or_default()
    }

    /// The words; as long as nobody replaces any, those that were read before.
    fn words(&mut self) -> Option<Arc<Words>> {
        static READ: OnceLock<Arc<Words>> = OnceLock::new();
        let is_own = self.base.iter().chain(self.given).any(|(name, _)| name.starts_with(WORDS));
        let read = |files: &mut Self| {
            let mut read = |topic: &str, keys, parts: &mut _| {
                files.read(&format!("{WORDS}{topic}.toml"), |tables| words::read(tables, keys, parts))
            };
            Words::read(&mut read).map(Arc::new)
        };
        if is_own {
            return read(self);
        }
        // What was wrong the first time is told each time.
        match READ.get() {
            Some(words) => Some(words.clone()),
            None => read(self).map(|words| READ.get_or_init(|| words).clone()),
        }
    }

    fn kinds(&mut self, sources: &Map<String, Source>) -> Kinds {
        self.read(livestock::FILE, |tables| Kinds::read(tables, sources)).unwrap_or_default()
    }

    fn topic<T: RuleFile>(
        &mut self,
        sources: &Map<String, Source>,
        kinds: &Kinds,
        rules: &mut Vec<Rule>,
    ) -> Option<T> {
        self.read(&format!("{}.toml", T::TOPIC), |mut tables| {
            let from = rules.len();
            tables.are_rules(T::TOPIC);
            let mut topic = Topic { name: T::TOPIC, tables, sources, kinds, rules };
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

    /// A key of the file that goes before, which nobody knows, is told as a rule that the book does not have.
    fn are_rules(&mut self, topic: &str) {
        if let Some(own) = &mut self.own {
            own.call_unknown(format!("the book has no rule `{topic}."));
        }
    }

    fn keys(&self) -> Vec<String> {
        let mut keys = self.table.keys();
        keys.extend(
            self.own.iter().flat_map(|own| own.keys()).filter(|key| !keys.contains(key)).collect::<Vec<_>>(),
        );
        keys
    }

    /// Whether the file that goes before has the key.
    fn is_replaced(&mut self, key: &str) -> bool {
        self.own.as_mut().is_some_and(|own| own.has(key))
    }

    /// A table that only the file that goes before has, and which has none of some keys.
    fn is_new_without(&self, table: &str, keys: &[&str]) -> bool {
        let has = |of: &Table<'_>| of.keys().iter().any(|known| known == table);
        let lacks = |own: &Table<'_>| keys.iter().all(|key| own.entry_text(table, key).is_none());
        !has(self.table) && self.own.as_ref().is_some_and(|own| has(own) && lacks(own))
    }

    /// Where the value of a key stands, in the file that says it.
    fn place(&mut self, key: &str) -> Range<usize> {
        self.said(key, |table| table.places().of(key))
    }

    /// The tables of a key in both files, or in the one that has it.
    fn within<T>(&mut self, key: &str, reader: impl FnOnce(Tables<'_, '_, '_>) -> Option<T>) -> Option<T> {
        let (in_own, replaced) = (self.is_replaced(key), self.table.has(key));
        match self.own.as_mut().filter(|_| in_own) {
            Some(own) if !replaced => own.table(key, |table| reader(Tables { table, own: None })),
            Some(own) => {
                self.table.table(key, |table| own.table(key, |own| reader(Tables { table, own: Some(own) })))
            }
            None => self.table.table(key, |table| reader(Tables { table, own: None })),
        }
    }

    /// The text of a key that the file as it was compiled in has.
    fn text(&mut self, key: &str) -> Option<String> {
        let own = self.own.as_mut().and_then(|own| own.maybe_text(key));
        self.table.text(key).map(|text| own.unwrap_or(text))
    }

    /// The same, where it may have none.
    fn maybe_text(&mut self, key: &str) -> Option<Option<String>> {
        if self.table.has(key) { self.text(key).map(Some) } else { Some(None) }
    }

    /// The same for a list of texts; both lists are of one length.
    fn maybe_texts(&mut self, key: &str) -> Option<Option<Vec<String>>> {
        if !self.table.has(key) {
            return Some(None);
        }
        let texts = self.table.maybe_texts(key)?;
        let Some(own) = self.own.as_mut().and_then(|own| own.maybe_texts(key)) else {
            return Some(Some(texts));
        };
        if own.len() != texts.len() {
            self.refuse(
                key,
                format!("`{key}` holds {} texts", own.len()),
                &format!("write {}, one a column", texts.len()),
            );
            return None;
        }
        Some(Some(own))
    }

    /// Notes a problem at a key, in the file that says it.
    fn refuse(&mut self, key: &str, message: String, help: &str) {
        let in_own = self.is_replaced(key);
        match self.own.as_mut().filter(|_| in_own) {
            Some(own) => own.refuse(key, message, help),
            None => self.table.refuse(key, message, help),
        }
    }

    fn table<T>(&mut self, key: &str, reader: impl FnOnce(&mut Table<'_>) -> Option<T>) -> Option<T> {
        self.said(key, |table| table.table(key, reader))
    }

    /// Reads a key in the file that says it.
    fn said<T>(&mut self, key: &str, read: impl FnOnce(&mut Table<'_>) -> T) -> T {
        // Asked of both, so that both know the key: one goes before the other, and a slip of the pen is told
        // the right name.
        let (in_own, replaced) = (self.is_replaced(key), self.table.has(key));
        match &mut self.own {
            // What neither has is missing in the one that somebody writes.
            Some(own) if in_own || !replaced => read(own),
            _ => read(self.table),
        }
    }
}

/// One rule file, being read by the topic it belongs to.
pub struct Topic<'t, 'c, 'o> {
    name: &'static str,
    tables: Tables<'t, 'c, 'o>,
    sources: &'t Map<String, Source>,
    kinds: &'t Kinds,
    rules: &'t mut Vec<Rule>,
}

impl Topic<'_, '_, '_> {
    /// A rule of the given key, its values in the given range.
    fn rule<T: Ruling>(&mut self, key: &str, range: Option<RangeInclusive<&str>>) -> Option<Ruled<T>> {
        let (id, sources) = (format!("{}.{key}", self.name), self.sources);
        let mut value = None;
        let mut read = |table: &mut Table<'_>| {
            let content = T::read(table, range.clone())?;
            value = Some(content.0);
            Some(content.1)
        };
        let rule = self.tables.table(key, |table| read_rule(id, table, sources, &mut read))?;
        Some(self.push(value?, rule))
    }

    fn push<T>(&mut self, value: T, rule: Rule) -> Ruled<T> {
        self.rules.push(rule);
        Ruled::new(value, self.rules.len() - 1)
    }

    /// The rules that only pages print: tables that say so, and that the topic, whose own rules begin at
    /// `from`, does not declare.
    fn of_pages(&mut self, from: usize) -> Option<()> {
        let declared: Vec<_> = self.rules[from..].iter().map(|rule| rule.id.clone()).collect();
        let is_new = |key: &String| {
            !declared.contains(&format!("{}.{key}", self.name).into()) && self.tables.is_of_pages(key)
        };
        let keys: Vec<_> = self.tables.keys().into_iter().filter(is_new).collect();
        let read: Vec<_> = keys.iter().map(|key| self.rule::<OfPages>(key, None)).collect();
        read.into_iter().all(|rule| rule.is_some()).then_some(())
    }

    /// A rule for each member of a family; the keys are those of the members behind a prefix.
    fn each<F: Family, T: Ruling>(
        &mut self,
        prefix: &str,
        range: Option<RangeInclusive<&str>>,
    ) -> Option<Each<F, T>> {
        let rules: Vec<_> = F::ALL
            .iter()
            .map(|member| self.rule(&format!("{prefix}{}", member.key()), range.clone()))
            .collect();
        Some(Each::new(rules.into_iter().collect::<Option<_>>()?))
    }
}

/// Reads the table of a rule.
///
/// - `value`: reads what the rule says
fn read_rule(
    id: String,
    table: &mut Table<'_>,
    sources: &Map<String, Source>,
    value: &mut dyn FnMut(&mut Table<'_>) -> Option<RuleValue>,
) -> Option<Rule> {
    let title = table.text("title");
    let value = value(table);
    let basis = read_basis(table, sources);
    let note = table.maybe_text("note").unwrap_or_default();
    let instead_of = table.maybe_text("instead_of").unwrap_or_default();
    Some(Rule { id: id.into(), title: title?, value: value?, basis: basis?, note, instead_of })
}

/// Reads `basis`, and `source` and `place` where it is published.
pub(crate) fn read_basis(table: &mut Table<'_>, sources: &Map<String, Source>) -> Option<Basis> {
    let words = [
        ("published", "published"),
        ("common-practice", "common-practice"),
        ("from-memory", "from-memory"),
        ("invented", "invented"),
    ];
    match table.choice("basis", &words)? {
        "published" => {
            let (source, place) = (table.text("source"), table.text("place"));
            let (source, place) = (source?, place?);
            if !sources.contains_key(&source) {
                let keys: Vec<_> = sources.keys().map(String::as_str).collect();
                let near = document::did_you_mean(&source, &keys)
                    .map_or_else(String::new, |near| format!("; {near}"));
                table.refuse(
                    "source",
                    format!("`sources.toml` has no `{source}`"),
                    format!("add it there{near}"),
                );
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

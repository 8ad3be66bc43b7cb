//! An edition: the rules, the tanks and the club that one build of the book is made from, and the sheets
//! reckoned from them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use reckoner_calc::decide::programme;
use reckoner_calc::rules::{self, CHANGES, CHANGES_COMPILED_IN, WORDS};
use reckoner_calc::{Atlas, Catalogue, Rules, Sheet, Tank};
use serde::Deserialize;
use serde::de::IgnoredAny;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::cautions::Cautions;
use crate::edition::changes::Change;
use crate::edition::difference::Difference;
use crate::files::{placed, read_file, shown_path, toml_files};

pub use club::{Club, read_club};

pub mod cautions;
pub mod changes;
pub mod club;
pub mod colour;
pub mod difference;

/// The file of the catalogue.
const PUMPS: &str = "pumps.toml";
/// The file by which a folder is that of a book.
pub const BOOK: &str = "book.toml";
/// The rule file with the price of a kilowatt hour.
const ASSUMED: &str = "assumed.toml";

/// What the table `[preprocessor.reckoner]` of `book.toml` settles. Paths count from the folder of
/// `book.toml`.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(from = "BookTable")]
pub struct Settings {
    /// The tank file of the running example.
    pub tank: Option<PathBuf>,
    /// A folder whose rule files take the place of those compiled in.
    pub rules: Option<PathBuf>,
    /// A folder of rule files that stand for the book's own, below those of `rules`: another version of them.
    pub book_rules: Option<PathBuf>,
    /// The folder of a club's own `club.toml`, in the place of the book's.
    pub club: Option<PathBuf>,
}

/// The table with all its keys: ours, and those that mdBook itself reads.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BookTable {
    tank: Option<PathBuf>,
    rules: Option<PathBuf>,
    #[serde(rename = "command")]
    _command: Option<IgnoredAny>,
    #[serde(rename = "before")]
    _before: Option<IgnoredAny>,
    #[serde(rename = "after")]
    _after: Option<IgnoredAny>,
    #[serde(rename = "renderers")]
    _renderers: Option<IgnoredAny>,
    #[serde(rename = "optional")]
    _optional: Option<IgnoredAny>,
}

/// `book.toml`, of which mdBook reads the rest.
#[derive(Deserialize)]
struct BookFile {
    #[serde(rename = "preprocessor")]
    _preprocessors: Option<Preprocessors>,
}

#[derive(Deserialize)]
struct Preprocessors {
    #[serde(rename = "reckoner")]
    _ours: Option<BookTable>,
}

impl Settings {
    /// The first that is wrong in our table of a `book.toml`, at its place; mdBook's own reading of it tells none.
    pub fn fault_in(file: &str, text: &str) -> Option<Diagnostic> {
        let error = toml::from_str::<BookFile>(text).err()?;
        Some(Diagnostic::new(file, text.into(), error.span().unwrap_or_default(), error.message()))
    }
}

impl From<BookTable> for Settings {
    fn from(table: BookTable) -> Self {
        Settings { tank: table.tank, rules: table.rules, ..Settings::default() }
    }
}

impl Settings {
    /// The same, with what `others` settle in the place of what stands here.
    #[must_use]
    pub fn or(self, others: &Settings) -> Self {
        let others = others.clone();
        Settings {
            tank: others.tank.or(self.tank),
            rules: others.rules.or(self.rules),
            book_rules: others.book_rules.or(self.book_rules),
            club: others.club.or(self.club),
        }
    }

    /// The file of the club that hands the book in `root` out.
    pub fn club_file(&self, root: &Path) -> PathBuf {
        root.join(self.club.as_deref().unwrap_or(Path::new(""))).join(club::FILE)
    }
}

/// Everything one build is made from.
#[derive(Debug, Clone)]
pub struct Edition {
    /// The rules.
    pub rules: Arc<Rules>,
    /// The pumps on offer.
    pub catalogue: Arc<Catalogue>,
    /// The sheet of the running example.
    pub sheet: Arc<Sheet>,
    /// Whether the running example is a reader's own tank and none of the book's, or the edition a club's
    /// own: then words that are not true for it are left out.
    pub is_readers: bool,
    /// The sheets of all tanks in `tanks/`, by file name without its ending.
    pub demos: Arc<BTreeMap<String, Arc<Sheet>>>,
    /// The club.
    pub club: Arc<Club>,
    /// The cautions that several pages give.
    pub cautions: Arc<Cautions>,
    /// The atlas of shapes and rock, once somebody has asked for it.
    atlas: Arc<OnceLock<Atlas>>,
}

impl Edition {
    /// Reads the rules, `pumps.toml`, `tanks/*.toml`, the running example, `club.toml` and `cautions.toml`,
    /// and reckons the sheets.
    ///
    /// # Errors
    /// Every problem in any of these files, with its place; a formula that has no answer for a tank.
    pub fn load(root: &Path, settings: &Settings) -> Result<Self, Diagnostics> {
        let mut errors = Diagnostics::default();
        let rules = keep(&mut errors, load_rules(root, settings));
        if let Some(rules) = &rules {
            keep(&mut errors, load_changes(root, settings, rules));
        }
        let club = keep(&mut errors, load_club(&settings.club_file(root)));
        let cautions = keep(&mut errors, cautions::load(&root.join("cautions.toml")));
        let catalogue = keep(&mut errors, load_catalogue(&root.join(PUMPS)));
        // Where the rules are wrong the tanks are read by those compiled in, so that one run tells the
        // problems of both.
        let fallback = if rules.is_none() { Rules::compiled_in().ok() } else { None };
        let read = |errors: &mut Diagnostics, file: &Path| {
            let rules = rules.as_ref().or(fallback.as_ref())?;
            keep(errors, TankFile::load(file, rules, catalogue.as_ref()))
        };

        let mut tanks = BTreeMap::new();
        let files = keep(&mut errors, toml_files(&root.join("tanks"))).unwrap_or_default();
        for file in &files {
            if let (Some(stem), Some(tank)) = (stem(file), read(&mut errors, file)) {
                tanks.insert(stem, tank);
            }
        }
        // The running example is a tank of the book, by its name there, or one of the reader's.
        let mut readers = None;
        let running = match &settings.tank {
            Some(tank) => {
                let file = root.join(tank);
                let same = |other: &PathBuf| {
                    fs::canonicalize(other)
                        .ok()
                        .zip(fs::canonicalize(&file).ok())
                        .is_some_and(|(a, b)| a == b)
                };
                // A tank of the book has been read already, and its problems told.
                let of_book = files.iter().find(|other| same(other)).and_then(|other| stem(other));
                if of_book.is_none() {
                    readers = read(&mut errors, &file);
                }
                of_book
            }
            None => {
                let hint = "write tank = \"tanks/NAME.toml\" under [preprocessor.reckoner]";
                errors
                    .0
                    .push(Diagnostic::plain("book.toml names no tank for the running example").hint(hint));
                None
            }
        };
        let (Some(rules), Some(club), Some(cautions), Some(catalogue), true) =
            (rules, club, cautions, catalogue, errors.0.is_empty())
        else {
            return Err(errors);
        };
        let reckon = |errors: &mut Diagnostics, file: &TankFile| {
            keep(errors, file.reckon(&rules, &catalogue)).map(Arc::new)
        };
        let demos: BTreeMap<_, _> = tanks
            .iter()
            .filter_map(|(stem, file)| Some((stem.clone(), reckon(&mut errors, file)?)))
            .collect();
        let is_readers = readers.is_some() || settings.club.is_some();
        let sheet = match (&readers, running) {
            (Some(file), _) => reckon(&mut errors, file),
            (None, Some(stem)) => demos.get(&stem).cloned(),
            (None, None) => None,
        };
        match sheet {
            Some(sheet) if errors.0.is_empty() => Ok(Edition {
                rules: Arc::new(rules),
                catalogue: Arc::new(catalogue),
                sheet,
                is_readers,
                demos: Arc::new(demos),
                club: Arc::new(club),
                cautions: Arc::new(cautions),
                atlas: Arc::default(),
            }),
            _ => Err(errors),
        }
    }

    /// The same edition around another tank, a reader's own.
    ///
    /// - `file`: what the messages call the tank file, whose text is `text`
    ///
    /// # Errors
    /// Every problem in the file, with its place; a formula that has no answer for the tank.
    pub fn around(&self, file: &str, text: &str) -> Result<Self, Diagnostics> {
        let file = TankFile::read(file.to_owned(), text.to_owned(), &self.rules, Some(&self.catalogue))?;
        let sheet = Arc::new(file.reckon(&self.rules, &self.catalogue)?);
        Ok(Edition { sheet, is_readers: true, ..self.clone() })
    }

    /// The atlas of shapes and rock. It is reckoned when the first page prints it, and once for all tanks.
    ///
    /// # Errors
    /// As [`Atlas::reckon`].
    pub fn atlas(&self) -> Result<&Atlas, Diagnostics> {
        if let Some(atlas) = self.atlas.get() {
            return Ok(atlas);
        }
        let atlas = Atlas::reckon(&self.rules).map_err(|error| Diagnostic::plain(error.to_string()))?;
        Ok(self.atlas.get_or_init(|| atlas))
    }

    /// The running example, whose ids have no prefix, then the tanks of the book with theirs, such as
    /// `demo.long_reef.`, and the atlas, if it is printed: its own ids begin with `atlas`.
    pub fn sheets(&self) -> impl Iterator<Item = (String, &Sheet)> {
        let demos = self.demos.iter().map(|(stem, sheet)| (format!("{DEMO}{stem}."), sheet.as_ref()));
        let atlas = self.atlas.get().map(|atlas| (String::new(), &atlas.sheet));
        std::iter::once((String::new(), self.sheet.as_ref())).chain(demos).chain(atlas)
    }

    /// Why a tank of this edition lacks the part with this id, the prefix of the tank included.
    pub fn lacking(&self, id: &str) -> Option<&str> {
        match id.strip_prefix(DEMO).and_then(|id| id.split_once('.')) {
            Some((stem, id)) => self.demos.get(stem)?.lacking(id),
            None => self.sheet.lacking(id),
        }
    }
}

/// What the ids of the book's own tanks begin with.
const DEMO: &str = "demo.";
/// What the ids of the atlas begin with.
pub const ATLAS: &str = "atlas";

/// A tank with the file that it was read from.
struct TankFile {
    shown: String,
    text: String,
    tank: Tank,
}

impl TankFile {
    fn load(file: &Path, rules: &Rules, catalogue: Option<&Catalogue>) -> Result<Self, Diagnostics> {
        TankFile::read(shown_path(file), read_file(file)?, rules, catalogue)
    }

    fn read(
        shown: String,
        text: String,
        rules: &Rules,
        catalogue: Option<&Catalogue>,
    ) -> Result<Self, Diagnostics> {
        let tank = match catalogue {
            Some(catalogue) => Tank::read_with(&shown, &text, rules, catalogue),
            None => Tank::read(&shown, &text, rules),
        };
        match tank {
            Ok(tank) => Ok(TankFile { shown, text, tank }),
            Err(problems) => Err(placed(problems, |name| (name.to_owned(), text.clone()))),
        }
    }

    /// What is wrong in its programme once its pumps and the rules are known.
    fn check_programme(&self, rules: &Rules, catalogue: &Catalogue) -> Result<(), Diagnostics> {
        let problems = programme::check(&self.shown, &self.tank, catalogue, &rules.programme);
        placed(problems, |name| (name.to_owned(), self.text.clone())).or(())
    }

    fn reckon(&self, rules: &Rules, catalogue: &Catalogue) -> Result<Sheet, Diagnostics> {
        self.check_programme(rules, catalogue)?;
        Sheet::reckon(rules, catalogue, &self.tank)
            .map_err(|error| Diagnostics::from(Diagnostic::plain(format!("{}: {error}", self.shown))))
    }
}

/// Reads the rules: those compiled in, with the files of the settings' folder in place of those of their
/// name.
///
/// # Errors
/// Every problem in any rule file; a folder that can not be read or holds no rule file.
pub fn load_rules(root: &Path, settings: &Settings) -> Result<Rules, Diagnostics> {
    let mut own = own_rules(root, settings)?;
    add_price(&mut own, root, settings);
    load_on(root, settings, &own)
}

/// The rules in which an edition differs from the book.
///
/// # Errors
/// As [`load_rules`].
pub fn load_differences(root: &Path, settings: &Settings) -> Result<Vec<Difference>, Diagnostics> {
    Ok(difference::between(&load_on(root, settings, &[])?, &load_rules(root, settings)?))
}

fn load_on(root: &Path, settings: &Settings, own: &[(String, String)]) -> Result<Rules, Diagnostics> {
    let base = book_rules(root, settings)?;
    Rules::load_on(&base, own).map_err(|problems| {
        let layers = [(own, &settings.rules), (&base, &settings.book_rules)];
        let place = |name: &str| {
            let given = layers.iter().find_map(|(files, folder)| {
                let (_, text) = files.iter().find(|(given, _)| given == name)?;
                Some((shown_path(&root.join(folder.as_ref()?).join(name)), text.clone()))
            });
            given.unwrap_or_else(|| {
                (format!("calc/rules/{name}"), rules::compiled_in(name).unwrap_or_default().to_owned())
            })
        };
        placed(problems, place)
    })
}

/// The files of the settings' folder of rules: name and text.
fn own_rules(root: &Path, settings: &Settings) -> Result<Vec<(String, String)>, Diagnostics> {
    settings.rules.as_ref().map_or_else(|| Ok(Vec::new()), |folder| rule_files(&root.join(folder)))
}

/// The same for the folder of another version of the book's rules.
fn book_rules(root: &Path, settings: &Settings) -> Result<Vec<(String, String)>, Diagnostics> {
    settings.book_rules.as_ref().map_or_else(|| Ok(Vec::new()), |folder| rule_files(&root.join(folder)))
}

/// Puts the price of a club among the rules of its edition, unless these name one.
fn add_price(own: &mut Vec<(String, String)>, root: &Path, settings: &Settings) {
    // Commands that read no book have no club; what is wrong in its file is told when it is read itself.
    if !root.join(BOOK).is_file() {
        return;
    }
    let Some(price) = load_club(&settings.club_file(root)).ok().and_then(|club| club.price_per_kwh) else {
        return;
    };
    let amount = format!("{} {}", price.amount, price.currency.code());
    let rule = format!(
        "\n[price]\ntitle = \"Price of a kilowatt hour where a tank file names none\"\nvalue = \"{amount}\"\n\
         basis = \"from-memory\"\nnote = \"What the club that hands out this copy says its members pay.\"\n"
    );
    match own.iter_mut().find(|(name, _)| name == ASSUMED) {
        Some((_, text)) if text.lines().any(|line| line.trim_start().starts_with("[price]")) => {}
        Some((_, text)) => text.push_str(&rule),
        None => own.push((ASSUMED.to_owned(), rule)),
    }
}

/// Reads the log of changes of the book, and that of the settings' folder.
///
/// - `rules`: those of the edition
///
/// # Errors
/// Every problem in them, a rule that does not exist among them; a file that can not be read.
pub fn load_changes(root: &Path, settings: &Settings, rules: &Rules) -> Result<Vec<Change>, Diagnostics> {
    let in_folder = |folder: &Option<PathBuf>| {
        let file =
            folder.as_ref().map(|folder| root.join(folder).join(CHANGES)).filter(|file| file.is_file());
        file.map(|file| Ok::<_, Diagnostics>((shown_path(&file), read_file(&file)?))).transpose()
    };
    let of_book = in_folder(&settings.book_rules)?
        .unwrap_or_else(|| (format!("calc/rules/{CHANGES}"), CHANGES_COMPILED_IN.to_owned()));
    let (mut changes, mut errors): (Vec<Change>, _) = (Vec::new(), Diagnostics::default());
    // The book's log is about the book's rules, which an edition may add to.
    let of_own = in_folder(&settings.rules)?.map(|file| (file, rules.clone()));
    let base = if settings.rules.is_some() { load_on(root, settings, &[])? } else { rules.clone() };
    for ((name, text), rules) in std::iter::once((of_book, base)).chain(of_own) {
        let read = changes::read(&name, &text, &rules)
            .map_err(|problems| placed(problems, |name| (name.to_owned(), text.clone())));
        for change in keep(&mut errors, read).into_iter().flatten() {
            // In a checkout the two may be one file.
            if !changes.contains(&change) {
                changes.push(change);
            }
        }
    }
    errors.or(changes)
}

/// The rule files in a folder: name and text.
fn rule_files(folder: &Path) -> Result<Vec<(String, String)>, Diagnostics> {
    let words = folder.join(WORDS);
    let of_words = if words.is_dir() { toml_files(&words)? } else { Vec::new() };
    let name = |file: &Path| file.strip_prefix(folder).unwrap_or(file).to_string_lossy().replace('\\', "/");
    let files: Vec<_> = toml_files(folder)?.into_iter().chain(of_words).collect();
    if files.is_empty() {
        let message = format!("`{}` holds no rule file", shown_path(folder));
        return Err(Diagnostic::plain(message).hint(rules::files_in_words()).into());
    }
    let of_rules = files.into_iter().filter(|file| !file.ends_with(CHANGES));
    of_rules.map(|file| Ok((name(&file), read_file(&file)?))).collect()
}

/// What an edition is reckoned from, as texts: for whoever reckons elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts {
    /// The rule files, name and text: those of the book, then those of the settings' folder.
    pub rules: Vec<(String, String)>,
    /// The catalogue.
    pub catalogue: String,
    /// The tank of the running example.
    pub tank: String,
}

impl Texts {
    /// Reads them; what they say is not looked at.
    ///
    /// # Errors
    /// A file that can not be read; settings that name no tank.
    pub fn read(root: &Path, settings: &Settings) -> Result<Self, Diagnostics> {
        let base = book_rules(root, settings)?;
        let text = |name: String| {
            let based = base.iter().find(|(given, _)| *given == name).map(|(_, text)| text.clone());
            Some((name.clone(), based.or_else(|| rules::compiled_in(&name).map(str::to_owned))?))
        };
        let mut own = own_rules(root, settings)?;
        add_price(&mut own, root, settings);
        let rules = rules::file_names().into_iter().filter_map(text).chain(own).collect();
        let tank = settings
            .tank
            .as_ref()
            .ok_or_else(|| Diagnostic::plain("book.toml names no tank for the running example"))?;
        Ok(Texts { rules, catalogue: read_file(&root.join(PUMPS))?, tank: read_file(&root.join(tank))? })
    }
}

/// Reads the pump catalogue.
///
/// # Errors
/// Every problem in it; a file that can not be read.
pub fn load_catalogue(file: &Path) -> Result<Catalogue, Diagnostics> {
    let of_what =
        |error: Diagnostic| error.hint("it is the catalogue: each pump that a tank names stands in it");
    let text = read_file(file).map_err(|errors| Diagnostics(errors.0.into_iter().map(of_what).collect()))?;
    let shown = shown_path(file);
    Catalogue::read(&shown, &text)
        .map_err(|problems| placed(problems, |name| (name.to_owned(), text.clone())))
}

/// Reads one tank file, with the rules for what it leaves out; its pumps must be models of the catalogue,
/// where one is given.
///
/// # Errors
/// Every problem in it; a file that can not be read.
pub fn load_tank(file: &Path, rules: &Rules, catalogue: Option<&Catalogue>) -> Result<Tank, Diagnostics> {
    TankFile::load(file, rules, catalogue).map(|file| file.tank)
}

/// What is wrong in a tank's programme once its pumps and the rules are known.
///
/// # Errors
/// Every fault of [`programme::check`], with its place; a file that can not be read.
pub fn check_programme(
    file: &Path,
    tank: &Tank,
    catalogue: &Catalogue,
    rules: &Rules,
) -> Result<(), Diagnostics> {
    TankFile { shown: shown_path(file), text: read_file(file)?, tank: tank.clone() }
        .check_programme(rules, catalogue)
}

/// Reads a club file.
///
/// # Errors
/// Every problem in it; a file that can not be read.
pub fn load_club(file: &Path) -> Result<Club, Diagnostics> {
    let (shown, text) = (shown_path(file), read_file(file)?);
    read_club(&shown, &text).map_err(|problems| placed(problems, |name| (name.to_owned(), text.clone())))
}

fn keep<T>(errors: &mut Diagnostics, result: Result<T, Diagnostics>) -> Option<T> {
    result.map_err(|found| errors.0.extend(found.0)).ok()
}

fn stem(file: &Path) -> Option<String> {
    Some(file.file_stem()?.to_string_lossy().into_owned())
}

//! Hand-outs: what the book says, on paper. A sheet is set as a chapter is; [`paper`] takes from its HTML what
//! paper can not use, [`page`] puts it into a page of its own with the book's and the club's name, and
//! [`browser`] prints that where there is a browser. [`code`] is what a phone's camera reads, [`booklet`]
//! binds several chapters, [`pdf`] reads and settles what the browser printed, and [`shelf`] puts the sheets into the
//! site, where each turns to a reader's own tank.

use std::path::Path;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use pulldown_cmark::html::push_html;
use pulldown_cmark::{Event, Tag, TagEnd};
use reckoner_calc::formulas::calendar::Date;
use reckoner_page::html::Medium;
use sha2::{Digest, Sha256};

use crate::diagnostic::{Diagnostic, Diagnostics, did_you_mean};
use crate::edition::club::{Paper, Units};
use crate::edition::{Edition, Settings, Texts};
use crate::files::read_file;
use crate::handout::booklet::{Booklet, Chapter};
use crate::handout::page::{Imprint, Stand};
use crate::handout::paper::for_paper;
use crate::proof::ledger::Ledger;
use crate::site::typeset::{Manuscript, typeset};
use crate::site::{self, numbers};

pub mod booklet;
pub mod browser;
pub mod code;
pub mod page;
pub mod paper;
pub mod pdf;
pub mod shelf;

/// The style of all sheets, from the folder of `book.toml`.
const STYLE: &str = "theme/handout.css";

/// The part of the book that no booklet of the whole book takes in.
const REFERENCE: &str = "Reference";

/// What is asked for.
#[derive(Debug, Clone, Default)]
pub struct Order {
    /// The names of sheets, or of chapters.
    pub names: Vec<String>,
    /// Whether the names are those of chapters, bound as one; without names, all but the reference part.
    pub is_booklet: bool,
    /// What they are printed on; what the club prints on where nothing is said.
    pub paper: Option<Paper>,
    /// The units that are printed; those that the club shows first where nothing is said.
    pub units: Option<Units>,
    /// The day that is printed.
    pub date: Option<Date>,
    /// Whether the code for a phone's camera carries the tank, where it is a reader's own.
    pub shares_tank: bool,
}

/// A sheet as it goes to the printer.
#[derive(Debug, Clone)]
pub struct Handout {
    /// Its file's name, without the ending.
    pub name: String,
    /// Its page.
    pub page: Made,
}

/// The page of a hand-out.
#[derive(Debug, Clone)]
pub enum Made {
    /// A page that is whole.
    Whole(String),
    /// A booklet: the numbers in its contents are known when it was printed once.
    Booklet(Box<Booklet>),
}

/// The sheets of a book, looked at and not printed.
#[derive(Debug, Clone)]
pub struct Checked {
    /// How many there are.
    pub count: usize,
    /// The figures that they print.
    pub ledger: Ledger,
}

/// Takes the sheets of the book in `root` through all that a chapter is taken through.
///
/// # Errors
/// Everything that is wrong in them; a check that fails.
pub fn check(root: &Path, settings: &Settings) -> Result<Checked, Diagnostics> {
    let sheets = site::handouts(root)?;
    let count = sheets.paths().count();
    Ok(Checked { count, ledger: typeset(sheets, root, settings, Medium::Html)?.ledger })
}

/// Makes what is asked for, in its order; several chapters, or one that is to be a booklet, come last, as one.
///
/// # Errors
/// A name that nothing has; everything that is wrong in the rules, the tanks, the club file, the sheets and
/// the chapters; a tank that no code can carry.
pub fn make(root: &Path, overrides: &Settings, order: &Order) -> Result<Vec<Handout>, Diagnostics> {
    let settings = site::settings(root, overrides)?;
    let sheets = site::handouts(root)?;
    let (asked, chapters) = sorted_out(order, &sheets, &site::contents(root, &settings)?)?;
    let edition = Edition::load(root, &settings)?;
    let (written, smart) = (edition.club.numbers, sheets.has_smart_punctuation());
    let mut made = Vec::new();
    if !asked.is_empty() {
        let imprint = imprint(root, &settings, &edition, order, &sheets)?;
        let units = imprint.units;
        let paths: Vec<_> = sheets.paths().map(str::to_owned).collect();
        let contents = typeset(sheets, root, &settings, Medium::Html)?.contents;
        let of = |path: &String| paths.iter().position(|known| known == path).and_then(|at| contents.get(at));
        for path in &asked {
            let html = to_html(of(path).map_or("", String::as_str), smart);
            let body = numbers::written(for_paper(&html, units), written);
            let name = stem(path).to_owned();
            made.push(Handout { page: Made::Whole(page::sheet(&name, &body, &imprint)), name });
        }
    }
    if !chapters.is_empty() {
        let book = site::manuscript_of(root, &settings)?;
        let imprint = imprint(root, &settings, &edition, order, &book)?;
        let units = imprint.units;
        let paths: Vec<_> = book.paths().map(str::to_owned).collect();
        let contents = typeset(book, root, &settings, Medium::Html)?.contents;
        let chapter = |path: &String| {
            let text = paths.iter().position(|known| known == path).and_then(|at| contents.get(at));
            let html = to_html(text.map_or("", String::as_str), smart);
            numbers::written(for_paper(&html, units), written)
        };
        match chapters.as_slice() {
            [path] if !order.is_booklet => {
                let name = file_stem(path).to_owned();
                made.push(Handout {
                    page: Made::Whole(page::sheet("chapter", &chapter(path), &imprint)),
                    name,
                })
            }
            paths => {
                let chapters = paths.iter().map(|path| Chapter::new(&chapter(path))).collect();
                let booklet = Booklet { chapters, imprint };
                made.push(Handout { name: BOOKLET.to_owned(), page: Made::Booklet(Box::new(booklet)) });
            }
        }
    }
    Ok(made)
}

/// The sheets as pages of the site, name and page, and the figures that they print.
fn in_site(
    root: &Path,
    settings: &Settings,
    stand: Stand,
) -> Result<(Vec<(String, String)>, Ledger), Diagnostics> {
    let sheets = site::handouts(root)?;
    let edition = Edition::load(root, settings)?;
    let imprint = Imprint { stand, ..imprint(root, settings, &edition, &Order::default(), &sheets)? };
    let names: Vec<_> = sheets.paths().map(|path| stem(path).to_owned()).collect();
    let smart = sheets.has_smart_punctuation();
    let set = sheets.set(&edition, Medium::Html)?;
    let page = |(name, content): (String, &String)| {
        let page = page::sheet(&name, &to_html(content, smart), &imprint);
        (name, page)
    };
    Ok((names.into_iter().zip(&set.contents).map(page).collect(), set.ledger))
}

/// What the sheets of an edition say of themselves.
///
/// - `manuscript`: the sheets or chapters that are printed
fn imprint(
    root: &Path,
    settings: &Settings,
    edition: &Edition,
    order: &Order,
    manuscript: &Manuscript,
) -> Result<Imprint, Diagnostics> {
    let texts = Texts::read(root, settings)?;
    let Edition { club, sheet, .. } = edition;
    // A page stands behind it in a link.
    let folder = club.address.as_ref().map(|address| format!("{}/", address.trim_end_matches('/')));
    let code = match &folder {
        Some(address) if order.shares_tank && edition.is_readers => {
            Some(code::with_tank(address, &texts.tank)?)
        }
        Some(address) => Some(code::of_address(address)?),
        None => None,
    };
    Ok(Imprint {
        book: site::title(root)?,
        club: club.name.clone(),
        tank: sheet.name.clone(),
        edition: short_hash(&texts, manuscript),
        date: order.date,
        code,
        paper: order.paper.or(club.paper).unwrap_or(Paper::A4),
        units: order.units.or(club.units).unwrap_or(Units::Both),
        style: read_file(&root.join(STYLE))?,
        stand: Stand::Alone,
    })
}

/// What a booklet's file is called.
const BOOKLET: &str = "booklet";

/// The paths of the sheets and of the chapters that are asked for.
fn sorted_out(
    order: &Order,
    sheets: &Manuscript,
    contents: &[(String, String, Option<String>)],
) -> Result<(Vec<String>, Vec<String>), Diagnostics> {
    let sheets: Vec<_> = sheets.paths().map(str::to_owned).collect();
    if order.names.is_empty() && order.is_booklet {
        let is_read = |part: &Option<String>| part.as_deref() != Some(REFERENCE);
        let read = contents.iter().filter(|(.., part)| is_read(part));
        return Ok((Vec::new(), read.map(|(path, ..)| path.clone()).collect()));
    }
    let (mut asked, mut chapters, mut wrong) = (Vec::new(), Vec::new(), Diagnostics::default());
    for name in &order.names {
        // With its ending it is a chapter, although a sheet may have the same name.
        let of_chapter = name.ends_with(".md") || order.is_booklet;
        let wanted = name.trim_end_matches(".md");
        let is_it = |path: &&String| stem(path) == wanted || file_stem(path) == wanted;
        let chapter = contents.iter().map(|(path, ..)| path).find(is_it);
        let to = match (sheets.iter().find(is_it).filter(|_| !of_chapter), chapter) {
            (Some(sheet), _) => Some((&mut asked, sheet)),
            (None, Some(chapter)) => Some((&mut chapters, chapter)),
            (None, None) => None,
        };
        match to {
            Some((to, path)) if to.contains(path) => {
                wrong.0.push(Diagnostic::plain(format!("`{name}` is named twice")).hint("name it once"));
            }
            Some((to, path)) => to.push(path.clone()),
            None => {
                let known: Vec<_> =
                    sheets.iter().filter(|_| !order.is_booklet).map(|path| stem(path)).collect();
                let all = || {
                    format!("the sheets are {}; chapters go by the names of their files", known.join(", "))
                };
                let near = did_you_mean(
                    name,
                    known.iter().copied().chain(contents.iter().map(|(path, ..)| stem(path))),
                );
                wrong.0.push(
                    Diagnostic::plain(format!("there is no sheet and no chapter `{name}`"))
                        .hint(near.unwrap_or_else(all)),
                );
            }
        }
    }
    wrong.or((asked, chapters))
}

fn stem(path: &str) -> &str {
    path.strip_suffix(".md").unwrap_or(path)
}

/// The name of the file alone, such as that of a club's own page.
fn file_stem(path: &str) -> &str {
    stem(path.rsplit('/').next().unwrap_or(path))
}

/// Markdown as HTML, as mdBook makes it of a chapter.
fn to_html(markdown: &str, smart_punctuation: bool) -> String {
    let mut options = MarkdownOptions::default();
    options.smart_punctuation = smart_punctuation;
    // mdBook puts each table into a box of its own, and so does what sets a page for another tank.
    let boxed = new_cmark_parser(markdown, &options).flat_map(|event| match event {
        Event::Start(Tag::Table(_)) => vec![Event::Html("<div class=\"table-wrapper\">".into()), event],
        Event::End(TagEnd::Table) => vec![event, Event::Html("</div>\n".into())],
        event => vec![event],
    });
    let mut html = String::new();
    push_html(&mut html, boxed);
    html
}

/// A few letters that are others where a rule, a pump or the text is another, and behind a dash where the tank is:
/// in the site, `sheet.js` writes those of a reader's own.
fn short_hash(texts: &Texts, manuscript: &Manuscript) -> String {
    const OF_BOOK: usize = 8;
    const OF_TANK: usize = 4;
    let letters = |sum: Sha256, most: usize| -> String {
        data_encoding::HEXLOWER.encode(&sum.finalize()).chars().take(most).collect()
    };
    let mut sum = Sha256::new();
    let mut add = |text: &str| {
        sum.update((text.len() as u64).to_le_bytes());
        sum.update(text);
    };
    for (name, text) in &texts.rules {
        add(name);
        add(text);
    }
    add(&texts.catalogue);
    manuscript.texts().for_each(add);
    format!("{}-{}", letters(sum, OF_BOOK), letters(Sha256::new_with_prefix(&texts.tank), OF_TANK))
}

//! The `reckoner` command. Messages go to standard error, results to standard output; it exits with 0 when it is done, 1 when a check
//! failed, and 2 when what it was given cannot be used.

use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::PoisonError;

use clap::{Args, Parser, Subcommand, ValueEnum};
use mdbook_reckoner::diagnostic::{Diagnostic, Diagnostics};
use mdbook_reckoner::edition::{Settings, check_programme, load_catalogue, load_rules, load_tank};
use mdbook_reckoner::ledger::Ledger;
use mdbook_reckoner::programme::ProgrammeFile;
use mdbook_reckoner::reading::{self, Reading};
use mdbook_reckoner::sheet::SheetFile;
use mdbook_reckoner::typeset::{Reckoner, typeset_request};
use mdbook_reckoner::{calendar, compare, new, plain, protocol, sheet, site};
use reckoner_calc::calendar::Date;
use reckoner_calc::{Catalogue, Rules, Tank};

/// Reckons the figures of a reef tank and builds the beginner's guide from them.
#[derive(Parser)]
#[command(version, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Build the book, whole or not at all
    Build {
        #[command(flatten)]
        book: BookArgs,
        /// Where to put it, in place of the folder that book.toml names
        #[arg(long, value_name = "FOLDER")]
        output: Option<PathBuf>,
    },
    /// Run all checks and write nothing
    Check {
        #[command(flatten)]
        book: BookArgs,
        /// Also tell how hard each page is to read
        #[arg(long)]
        reading: bool,
    },
    /// Show which figures moved since an earlier build, from what to what, and where
    Compare {
        /// A ledger.json, or a git revision such as HEAD
        old: String,
        #[command(flatten)]
        book: BookArgs,
        /// As Markdown, for a comment on a review
        #[arg(long)]
        markdown: bool,
    },
    /// Print the figures of one tank
    Sheet {
        /// The tank file
        tank: PathBuf,
        /// A folder of rule files that take the place of those compiled in
        #[arg(long, value_name = "FOLDER")]
        rules: Option<PathBuf>,
        /// The catalogue of pumps; book/pumps.toml where there is one, else none
        #[arg(long, value_name = "FILE")]
        pumps: Option<PathBuf>,
        /// Text for people, or what other programs read
        #[arg(long, value_enum, default_value_t = SheetFormat::Text)]
        format: SheetFormat,
    },
    /// Write a file to begin with
    New {
        #[command(subcommand)]
        what: New,
    },
    /// Print the care calendar of one tank as iCalendar, for a phone or a computer's calendar
    Calendar {
        /// The tank file
        tank: PathBuf,
        /// The day on which all was clean and tried, such as 2026-03-01: every care is due after its interval
        #[arg(long, value_name = "DATE", value_parser = parse_date)]
        from: Date,
        /// A folder of rule files that take the place of those compiled in
        #[arg(long, value_name = "FOLDER")]
        rules: Option<PathBuf>,
    },
    /// Print the day's programme of one tank, its own or a suggested one
    Programme {
        /// The tank file
        tank: PathBuf,
        /// The catalogue of pumps; book/pumps.toml where there is one, else none
        #[arg(long, value_name = "FILE")]
        pumps: Option<PathBuf>,
        /// A folder of rule files that take the place of those compiled in
        #[arg(long, value_name = "FOLDER")]
        rules: Option<PathBuf>,
        /// What other programs read
        #[arg(long, value_enum, default_value_t = ProgrammeFormat::Csv)]
        format: ProgrammeFormat,
    },
    /// Speak mdBook's preprocessor protocol; mdBook calls this
    Preprocess {
        #[command(subcommand)]
        question: Option<Question>,
    },
}

#[derive(Subcommand)]
enum New {
    /// A tank file with a remark on every key; a file that is there is never written over
    Tank {
        /// Where to put it
        #[arg(default_value = "my_tank.toml")]
        file: PathBuf,
    },
}

#[derive(Clone, Copy, ValueEnum)]
enum SheetFormat {
    /// Figures, worked examples and tables
    Text,
    /// The same as JSON
    Json,
    /// The figures as comma-separated values
    Csv,
    /// The JSON Schema of the JSON
    Schema,
}

#[derive(Clone, Copy, ValueEnum)]
enum ProgrammeFormat {
    /// Comma-separated values, a line for each stretch
    Csv,
    /// The same as JSON
    Json,
    /// The JSON Schema of the JSON
    Schema,
}

#[derive(Args)]
struct BookArgs {
    /// The folder of book.toml
    #[arg(long, value_name = "FOLDER", default_value = "book")]
    book: PathBuf,
    /// The tank that becomes the running example of the whole book
    #[arg(long, value_name = "FILE")]
    tank: Option<PathBuf>,
    /// A folder of rule files that take the place of those compiled in
    #[arg(long, value_name = "FOLDER")]
    rules: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Question {
    /// Whether a renderer is served: always yes
    Supports {
        /// The renderer's name
        renderer: String,
    },
}

fn main() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Build { book, output } => build(&book, output.as_deref()),
        Command::Check { book, reading } => check(&book, reading),
        Command::Compare { old, book, markdown } => compare(&old, &book, markdown),
        Command::Sheet { tank, rules, pumps, format } => print_sheet(&tank, rules, pumps, format),
        Command::New { what: New::Tank { file } } => new_tank(&file),
        Command::Calendar { tank, from, rules } => print_calendar(&tank, from, rules),
        Command::Programme { tank, pumps, rules, format } => print_programme(&tank, pumps, rules, format),
        Command::Preprocess { question: Some(Question::Supports { .. }) } => Ok(()),
        Command::Preprocess { question: None } => preprocess(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(errors) => {
            eprintln!("{errors}");
            if errors.0.iter().all(|error| error.is_failed_check) { ExitCode::from(1) } else { ExitCode::from(2) }
        }
    }
}

fn build(book: &BookArgs, output: Option<&Path>) -> Result<(), Diagnostics> {
    let reckoner = book.reckoner()?;
    let ledger = reckoner.ledger.clone();
    let site = site::build_site(&book.book, reckoner, output, |folder| {
        let ledger = ledger.lock().unwrap_or_else(PoisonError::into_inner);
        let ledger = ledger.as_ref().ok_or_else(|| Diagnostic::plain("the book was built without its ledger"))?;
        write_file(&folder.join("ledger.json"), &ledger.to_json())?;
        write_file(&folder.join("ledger.schema.json"), &Ledger::schema())
    })?;
    for warning in site.warnings {
        eprintln!("warning: {warning}");
    }
    eprintln!("The book is in {}", mdbook_reckoner::edition::shown_path(&site.folder.join("index.html")));
    Ok(())
}

fn check(book: &BookArgs, reading: bool) -> Result<(), Diagnostics> {
    let reckoner = book.reckoner()?;
    let ledger = reckoner.ledger.clone();
    let pages = site::rendered_pages(&book.book, reckoner, "html")?;
    let ledger = ledger.lock().unwrap_or_else(PoisonError::into_inner);
    let Some(ledger) = ledger.as_ref().filter(|ledger| !ledger.checks.is_empty()) else {
        let hint = "a book that checks nothing proves nothing: add a fenced `check` block";
        return Err(Diagnostic::plain("the book holds no check").hint(hint).into());
    };
    eprintln!(
        "{} pages, {} figures: {} checks, {} sums and {} claims in words hold; nothing was written",
        pages.len(),
        ledger.figures.len(),
        ledger.checks.len(),
        ledger.sums,
        ledger.claims.len()
    );
    if reading { print(&reading_table(&pages)) } else { Ok(()) }
}

/// Page by page: the grade, words a sentence, the longest sentence.
fn reading_table(pages: &[(String, String)]) -> String {
    let mut out = format!("{:<40} {:>6} {:>6} {:>9} {:>8}\n", "page", "words", "grade", "sentence", "longest");
    for (path, text) in pages {
        if let Some(Reading { words, words_a_sentence, longest, grade }) = reading::measure(&plain::blocks(text)) {
            out.push_str(&format!("{path:<40} {words:>6} {grade:>6.1} {words_a_sentence:>9.1} {longest:>8}\n"));
        }
    }
    out
}

fn compare(old: &str, book: &BookArgs, markdown: bool) -> Result<(), Diagnostics> {
    let overrides = book.reckoner()?.overrides;
    let before = compare::old(old, &book.book, &overrides)?;
    let now = compare::current(&book.book, overrides)?;
    let comparison = compare::compare(&before, &now);
    print(&if markdown { comparison.markdown() } else { comparison.text() })
}

fn print_sheet(file: &Path, rules: Option<PathBuf>, pumps: Option<PathBuf>, format: SheetFormat) -> Result<(), Diagnostics> {
    let (rules, catalogue, tank) = load(file, rules, pumps)?;
    let sheet = reckoner_calc::Sheet::reckon(&rules, &catalogue, &tank)
        .map_err(|error| Diagnostic::plain(format!("{}: {error}", mdbook_reckoner::edition::shown_path(file))))?;
    print(&match format {
        SheetFormat::Text => sheet::text(&sheet),
        SheetFormat::Json => SheetFile::of(&sheet).to_json(),
        SheetFormat::Csv => SheetFile::of(&sheet).to_csv(),
        SheetFormat::Schema => SheetFile::schema(),
    })
}

fn new_tank(file: &Path) -> Result<(), Diagnostics> {
    new::write_tank(file)?;
    eprintln!("An example tank is in {}; change what differs from yours", mdbook_reckoner::edition::shown_path(file));
    Ok(())
}

fn print_calendar(tank: &Path, from: Date, rules: Option<PathBuf>) -> Result<(), Diagnostics> {
    let rules = load_rules(Path::new(""), &Settings { rules, tank: None })?;
    let tank = load_tank(tank, &rules, None)?;
    print(&calendar::calendar(&rules, &tank, from, calendar::Made::now()))
}

fn print_programme(file: &Path, pumps: Option<PathBuf>, rules: Option<PathBuf>, format: ProgrammeFormat) -> Result<(), Diagnostics> {
    let (rules, catalogue, mut tank) = load(file, rules, pumps)?;
    if tank.pumps.is_empty() {
        let no_plan = |error| Diagnostic::plain(format!("{}: {error}", mdbook_reckoner::edition::shown_path(file)));
        tank.pumps = reckoner_calc::plan::hung(&rules, &catalogue, &tank).map_err(no_plan)?;
        if !tank.pumps.is_empty() {
            eprintln!("The file lists no pumps; this is a day for those of the plan");
        }
    }
    check_programme(file, &tank, &catalogue, &rules)?;
    let programme = ProgrammeFile::of(&rules, &catalogue, &tank).map_err(|error| Diagnostic::plain(error.to_string()))?;
    if programme.stretches.is_empty() {
        let hint = "add a [[pump]] with its name and model";
        return Err(Diagnostic::plain(format!("`{}` lists no pump of the catalogue", tank.name)).hint(hint).into());
    }
    print(&match format {
        ProgrammeFormat::Csv => programme.to_csv(),
        ProgrammeFormat::Json => programme.to_json(),
        ProgrammeFormat::Schema => ProgrammeFile::schema(),
    })
}

fn parse_date(text: &str) -> Result<Date, String> {
    Date::parse(text).ok_or_else(|| "write year, month and day, for instance 2026-03-01".to_owned())
}

/// Rules, catalogue and tank; all files are read before any is given up.
fn load(tank: &Path, rules: Option<PathBuf>, pumps: Option<PathBuf>) -> Result<(Rules, Catalogue, Tank), Diagnostics> {
    let rules = load_rules(Path::new(""), &Settings { rules, tank: None });
    let usual = PathBuf::from("book/pumps.toml");
    let catalogue = match pumps.or_else(|| usual.is_file().then_some(usual)) {
        Some(file) => load_catalogue(&file),
        None => Ok(Catalogue::empty()),
    };
    // Where the rules are wrong the tank is read by those compiled in, so that one run tells the problems of both.
    let fallback = if rules.is_err() { Rules::compiled_in().ok() } else { None };
    let tank = match rules.as_ref().ok().or(fallback.as_ref()) {
        Some(rules) => load_tank(tank, rules, catalogue.as_ref().ok()),
        None => Err(Diagnostics::default()),
    };
    match (rules, catalogue, tank) {
        (Ok(rules), Ok(catalogue), Ok(tank)) => Ok((rules, catalogue, tank)),
        (rules, catalogue, tank) => {
            let found = [rules.err(), catalogue.err(), tank.err()].into_iter().flatten().flat_map(|errors| errors.0);
            Err(Diagnostics(found.collect()))
        }
    }
}

fn preprocess() -> Result<(), Diagnostics> {
    let mut input = String::new();
    std::io::stdin().read_to_string(&mut input).map_err(|error| Diagnostic::plain(format!("cannot read standard input: {error}")))?;
    let output = protocol::preprocess(&input, |request| {
        if let Some(warning) = request.version_warning() {
            eprintln!("{warning}");
        }
        typeset_request(request)
    })?;
    print(&output)
}

fn write_file(file: &Path, text: &str) -> Result<(), Diagnostics> {
    std::fs::write(file, text).map_err(|error| Diagnostic::plain(format!("cannot write `{}`: {error}", file.display())).into())
}

fn print(text: &str) -> Result<(), Diagnostics> {
    let mut out = std::io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    written.map_err(|error| Diagnostic::plain(format!("cannot write to standard output: {error}")).into())
}

impl BookArgs {
    /// The preprocessor with what the command line says in place of `book.toml`; its paths count from here, not from the book.
    fn reckoner(&self) -> Result<Reckoner, Diagnostics> {
        let from_here = |path: &Option<PathBuf>| match path {
            None => Ok(None),
            Some(path) => std::fs::canonicalize(path)
                .map(Some)
                .map_err(|error| Diagnostics::from(Diagnostic::plain(format!("cannot read `{}`: {error}", path.display())))),
        };
        let overrides = Settings { tank: from_here(&self.tank)?, rules: from_here(&self.rules)? };
        Ok(Reckoner { overrides, ..Reckoner::default() })
    }
}

//! The `reckoner` command. Messages go to standard error, results to standard output; it exits with 0 when it
//! is done, 1 when a check failed, and 2 when what it was given cannot be used.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use mdbook_reckoner::command::own::Carried;
use mdbook_reckoner::command::programme::ProgrammeFormat;
use mdbook_reckoner::command::sheet::SheetFormat;
use mdbook_reckoner::command::{
    BookArgs, build, calendar, check, compare, gather, handout, new, preprocess, programme, rule, sheet,
};
use mdbook_reckoner::edition::club::{Paper, Units};
use mdbook_reckoner::handout::Order;
use reckoner_calc::formulas::calendar::Date;
use reckoner_page::calendar::read_date;

/// The book, without what was built from it and without the club that is invented for it.
const CARRIED: Carried = reckoner_macros::files!("book", "../book"; without "book", "club.toml");

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
        /// Add a page about what changed since an earlier book: a git revision, a folder of rule files, or a
        /// ledger.json, which knows only figures
        #[arg(long, value_name = "OLD")]
        since: Option<String>,
    },
    /// Run all checks and write nothing
    Check {
        #[command(flatten)]
        book: BookArgs,
        /// Also tell how hard each page is to read
        #[arg(long)]
        reading: bool,
    },
    /// Show everything printed that moved, from what to what, page by page
    Compare {
        /// A git revision such as HEAD, a folder of rule files, or a ledger.json, which knows only figures
        old: String,
        #[command(flatten)]
        book: BookArgs,
        /// As Markdown, for a comment on a review
        #[arg(long)]
        markdown: bool,
    },
    /// Make sheets for paper, or a booklet of chapters: HTML, and PDF where Chromium or Chrome is found
    Handout {
        /// Sheets of the folder `handouts` in the book, or chapters by the names of their files
        names: Vec<String>,
        #[command(flatten)]
        book: BookArgs,
        /// Bind the chapters as one; without names, all but the reference part
        #[arg(long)]
        booklet: bool,
        /// What they are printed on; without it as the club says, else a4
        #[arg(long, value_enum)]
        paper: Option<Paper>,
        /// The units that are printed; without it as the club says, else both
        #[arg(long, value_enum)]
        units: Option<Units>,
        /// The day to print on them, such as 2026-03-01; without it they bear none
        #[arg(long, value_name = "DATE", value_parser = read_date)]
        date: Option<Date>,
        /// Let the code for a phone's camera open the book with your own tank: whoever reads it sees the tank
        #[arg(long)]
        share_tank: bool,
        /// Only HTML, to be printed by hand
        #[arg(long)]
        no_pdf: bool,
        /// Where to put them
        #[arg(long, value_name = "FOLDER", default_value = "handouts")]
        out: PathBuf,
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
    /// Print rules as the book has them, to be changed in a folder of your own
    Rule {
        /// Their names, such as turnover.soft; the page "The rules" of the book has all of them
        #[arg(required = true)]
        ids: Vec<String>,
    },
    /// Write a file or a folder to begin with
    New {
        #[command(subcommand)]
        what: New,
    },
    /// Print the care calendar of one tank as iCalendar, for a phone or a computer's calendar
    Calendar {
        /// The tank file
        tank: PathBuf,
        /// The day on which all was clean and tried, such as 2026-03-01: every care is due after its interval
        #[arg(long, value_name = "DATE", value_parser = read_date)]
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
    /// Gather what many tanks measured into one table: median and range of measured ÷ reckoned
    Gather {
        /// The tank files
        #[arg(required = true)]
        tanks: Vec<PathBuf>,
        /// A folder of rule files that take the place of those compiled in
        #[arg(long, value_name = "FOLDER")]
        rules: Option<PathBuf>,
        /// The catalogue of pumps; book/pumps.toml where there is one, else none
        #[arg(long, value_name = "FILE")]
        pumps: Option<PathBuf>,
        /// Where to put the comma-separated values, in place of standard output
        #[arg(long, visible_alias = "out", value_name = "FILE")]
        output: Option<PathBuf>,
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
        /// A folder of rule files that take the place of those compiled in
        #[arg(long, value_name = "FOLDER")]
        rules: Option<PathBuf>,
    },
    /// A folder for a club's own edition: its name, colours, rules, tanks and pages; the program brings the book
    Club {
        /// Where to put it: a new or an empty folder
        folder: PathBuf,
    },
}

#[derive(Subcommand)]
enum Question {
    /// Whether a renderer is served: always yes
    Supports {
        /// The renderer's name
        renderer: String,
    },
}

fn with_book(book: BookArgs) -> BookArgs {
    BookArgs { carried: CARRIED, ..book }
}

fn main() -> ExitCode {
    let done = match Cli::parse().command {
        Command::Build { book, output, since } => {
            build::run(&with_book(book), output.as_deref(), since.as_deref())
        }
        Command::Check { book, reading } => check::run(&with_book(book), reading),
        Command::Compare { old, book, markdown } => compare::run(&old, &with_book(book), markdown),
        Command::Handout { names, book, booklet, paper, units, date, share_tank, no_pdf, out } => {
            let order = Order { names, is_booklet: booklet, paper, units, date, shares_tank: share_tank };
            handout::run(&with_book(book), &order, &out, !no_pdf)
        }
        Command::Sheet { tank, rules, pumps, format } => sheet::run(&tank, rules, pumps, format),
        Command::Rule { ids } => rule::run(&ids),
        Command::New { what: New::Tank { file, rules } } => new::run(&file, rules),
        Command::New { what: New::Club { folder } } => new::club(&folder),
        Command::Calendar { tank, from, rules } => calendar::run(&tank, from, rules),
        Command::Programme { tank, pumps, rules, format } => programme::run(&tank, pumps, rules, format),
        Command::Gather { tanks, rules, pumps, output } => {
            gather::run(&tanks, rules, pumps, output.as_deref())
        }
        Command::Preprocess { question: Some(Question::Supports { .. }) } => Ok(()),
        Command::Preprocess { question: None } => preprocess::run(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(errors) => {
            eprintln!("{errors}");
            if errors.0.iter().all(|error| error.is_failed_check) {
                ExitCode::from(1)
            } else {
                ExitCode::from(2)
            }
        }
    }
}

//! Each check block of the book as one named test: `cargo test --test checks`.

use std::path::PathBuf;
use std::process::ExitCode;

use libtest_mimic::{Arguments, Failed, Trial};
use mdbook_reckoner::command::compare::current;
use mdbook_reckoner::edition::Settings;

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let book = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book");
    let ledger = match current(&book, &Settings::default()) {
        Ok(book) => book.ledger,
        Err(errors) => {
            eprintln!("{errors}");
            return ExitCode::FAILURE;
        }
    };
    let mut trials: Vec<_> = ledger
        .checks
        .into_iter()
        .map(|check| {
            let name =
                format!("{}: {} is {}", check.page.trim_end_matches(".md"), check.subject, check.published)
                    .replace('\u{a0}', " ");
            Trial::test(name, move || {
                if check.passed {
                    Ok(())
                } else {
                    Err(Failed::from(format!(
                        "published {}, reckoned {}, allowed {}",
                        check.published, check.reckoned, check.tolerance
                    )))
                }
            })
        })
        .collect();
    let count = trials.len();
    trials.push(Trial::test("the book holds checks", move || {
        if count > 0 { Ok(()) } else { Err("a book that checks nothing proves nothing".into()) }
    }));
    libtest_mimic::run(&arguments, trials).exit_code()
}

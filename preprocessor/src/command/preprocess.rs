//! `reckoner preprocess`: mdBook's preprocessor protocol over standard input and output.

use std::io::Read as _;

use crate::command::print;
use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::site::protocol;
use crate::site::typeset::typeset_request;

/// Answers mdBook.
///
/// # Errors
/// Input that is not mdBook's; everything that is wrong in the book.
pub fn run() -> Result<(), Diagnostics> {
    let mut input = String::new();
    std::io::stdin()
        .read_to_string(&mut input)
        .map_err(|error| Diagnostic::plain(format!("cannot read standard input: {error}")))?;
    let output = protocol::preprocess(&input, |request| {
        if let Some(warning) = request.version_warning() {
            eprintln!("{warning}");
        }
        typeset_request(request)
    })?;
    print(&output)
}

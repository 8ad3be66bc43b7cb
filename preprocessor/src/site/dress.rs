//! What a club's edition looks like: its colours, its paper, its numbers and the units that come first, written into
//! every page of a finished site.

use std::fs;
use std::path::Path;

use crate::diagnostic::{Diagnostic, Diagnostics};
use crate::edition::club::{Club, Numbers, Units};
use crate::edition::colour::Colour;
use crate::files::files;
use crate::site::{SHEETS, numbers};

/// Writes into the pages of a site what a club asks for; nothing where it asks for nothing.
///
/// # Errors
/// A page that can not be read or written.
pub fn dress(site: &Path, club: &Club) -> Result<(), Diagnostics> {
    let style = style(club);
    let units = club.units.filter(|units| *units != Units::Both);
    if style.is_empty() && units.is_none() && club.numbers == Numbers::Point {
        return Ok(());
    }
    let cannot = |file: &Path, error: std::io::Error| {
        Diagnostics::from(Diagnostic::plain(format!("cannot dress `{}`: {error}", file.display())))
    };
    for name in files(site).map_err(|error| cannot(site, error))? {
        if !name.ends_with(".html") {
            continue;
        }
        let file = site.join(&name);
        let mut page = fs::read_to_string(&file).map_err(|error| cannot(&file, error))?;
        if club.numbers == Numbers::Comma {
            page =
                numbers::written(page, club.numbers).replacen("<html ", "<html data-numbers=\"comma\" ", 1);
        }
        if let Some(units) = units {
            page = page.replacen("<html ", &format!("<html data-units-first=\"{}\" ", units.word()), 1);
        }
        // A sheet has a paper of its own, which a reader can change.
        if !style.is_empty() && !name.starts_with(&format!("{SHEETS}/")) {
            page = page.replacen("</head>", &format!("<style>{style}</style>\n    </head>"), 1);
        }
        fs::write(&file, page).map_err(|error| cannot(&file, error))?;
    }
    Ok(())
}

/// The rules of CSS behind those of the book.
fn style(club: &Club) -> String {
    let set = |colour: Colour| {
        format!("{{--links:{0};--accent:{0};--sidebar-header-border-color:{0}}}", colour.css())
    };
    let mut style = String::new();
    // Without scripts mdBook follows the reader's system.
    for (colour, themes, scheme) in [
        (club.colours.light, "html.light,html.rust", "light"),
        (club.colours.dark, "html.coal,html.navy,html.ayu", "dark"),
    ] {
        if let Some(colour) = colour {
            let colours = set(colour);
            style.push_str(&format!(
                "{themes}{colours}@media(prefers-color-scheme:{scheme}){{html:not(.js){colours}}}"
            ));
        }
    }
    if let Some(paper) = club.paper {
        style.push_str(&format!("@page{{size:{}}}", paper.word()));
    }
    style
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edition::read_club;

    fn dressed(club: &str) -> String {
        let site = tempfile::tempdir().unwrap();
        let page = site.path().join("a.html");
        fs::write(
            &page,
            "<!DOCTYPE HTML>\n<html lang=\"en\"><head><title>A</title></head><body></head></body></html>",
        )
        .unwrap();
        fs::write(site.path().join("a.js"), "</head>").unwrap();
        let club = read_club("club.toml", &format!("name = \"A\"\nabout = \"B\"\n{club}")).unwrap();
        dress(site.path(), &club).unwrap();
        assert_eq!(fs::read_to_string(site.path().join("a.js")).unwrap(), "</head>");
        fs::read_to_string(page).unwrap()
    }

    #[test]
    fn a_club_that_asks_for_nothing_changes_no_page() {
        let plain =
            "<!DOCTYPE HTML>\n<html lang=\"en\"><head><title>A</title></head><body></head></body></html>";
        assert_eq!((dressed("").as_str(), dressed("units = \"both\"\n").as_str()), (plain, plain));
    }

    #[test]
    fn what_it_asks_for_stands_in_every_page() {
        let page = dressed("units = \"us\"\npaper = \"letter\"\n[colours]\nlight = \"#5b2a86\"\n");
        let colours = "{--links:#5b2a86;--accent:#5b2a86;--sidebar-header-border-color:#5b2a86}";
        let style = format!(
            "<style>html.light,html.rust{colours}@media(prefers-color-scheme:light){{html:not(.js){colours}}}@page{{size:letter}}</style>\n    </head><body></head>"
        );
        assert!(page.contains(&style), "{page}");
        assert!(page.contains("<html data-units-first=\"us\" lang=\"en\">"), "{page}");
        assert!(!page.contains("html.coal"), "{page}");
    }
}

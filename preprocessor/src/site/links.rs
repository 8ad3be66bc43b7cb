//! Links: each leads somewhere.
//!
//! [`written`] looks at what authors wrote, before anything is built, and names file, line and column.
//! [`built`] looks at the finished site, which the first can not: at links that our own markup or the theme
//! makes, and at words that stay while the section they point at gives way for a tank. A fault of the first
//! kind ends the build before the second is asked, so nothing is told twice.
//!
//! Only what lies inside the site is checked; addresses of other sites are not visited.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

pub mod built;
pub mod written;

/// Where an address can stand.
const LINKS: [(&str, &str); 13] = [
    ("a", "href"),
    ("area", "href"),
    ("audio", "src"),
    ("embed", "src"),
    ("iframe", "src"),
    ("image", "href"),
    ("img", "src"),
    ("link", "href"),
    ("object", "data"),
    ("script", "src"),
    ("source", "src"),
    ("use", "href"),
    ("video", "src"),
];

/// A site's file with the ledger.
pub const LEDGER: &str = "ledger.json";
/// A site's file that says how the ledger is to be read.
pub const LEDGER_SCHEMA: &str = "ledger.schema.json";
/// A site's file that says how a tank file is to be written.
pub const TANK_SCHEMA: &str = "tank.schema.json";

/// Another scheme or host, or an address from the top of the host, where the site may not stand.
fn leaves_the_site(link: &str) -> bool {
    let scheme = link.split(['/', '#', '?']).next().unwrap_or_default().contains(':');
    scheme || link.starts_with('/')
}

/// The file that an address without anchor points at from a folder; `None` above the top of the site.
fn resolve(start: &Path, address: &str) -> Option<PathBuf> {
    let mut target = start.to_owned();
    for part in address.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                if !target.pop() {
                    return None;
                }
            }
            part => target.push(part),
        }
    }
    Some(target)
}

/// Whether a link leads to a chapter that is left out, by the name of its file or of its page.
pub(super) fn is_left_out(folder: &Path, link: &str, left_out: &BTreeSet<String>) -> bool {
    if left_out.is_empty() {
        return false;
    }
    let address = decode(link.split(['#', '?']).next().unwrap_or_default());
    let Some(target) = resolve(folder, &address).map(|target| with_slashes(&target)) else { return false };
    let source = target.strip_suffix(".html").map(|stem| format!("{stem}.md"));
    left_out.contains(&target) || source.is_some_and(|source| left_out.contains(&source))
}

/// Undoes `%20`.
fn decode(address: &str) -> String {
    let bytes = address.as_bytes();
    let mut decoded = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let code = (bytes[at] == b'%').then(|| address.get(at + 1..at + 3)).flatten();
        match code.and_then(|digits| u8::from_str_radix(digits, 16).ok()) {
            Some(byte) => {
                decoded.push(byte);
                at += 3;
            }
            None => {
                decoded.push(bytes[at]);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&decoded).into_owned()
}

fn with_slashes(path: &Path) -> String {
    let parts: Vec<_> = path.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.join("/")
}

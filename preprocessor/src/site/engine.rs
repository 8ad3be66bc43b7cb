//! What a page needs to reckon, as one script: a page that was opened from a folder may read nothing else.

use std::fmt::Write as _;

use data_encoding::BASE64;
use reckoner_calc::Rules;
use serde_json::{Value, json};

use crate::edition::Texts;
use crate::proof::ledger::CheckEntry;

/// The site's file with it.
pub const ENGINE: &str = "reckoner-engine.js";

/// A script that tells what a page needs: the WebAssembly packed with gzip, what it is asked to `open` (the
/// catalogue, then name and text of each rule file), the tank of the book, and what its figures and formulas
/// were checked against.
pub fn script(wasm: &[u8], texts: &Texts, rules: &Rules, checks: &[CheckEntry]) -> String {
    let files = texts.rules.iter().flat_map(|(name, text)| [name, text]);
    let open: Vec<_> = std::iter::once(&texts.catalogue).chain(files).collect();
    let checks: Vec<_> = checks.iter().map(|check| checked(check, rules)).collect();
    let engine = json!({ "wasm": BASE64.encode(wasm), "open": open, "tank": texts.tank, "checks": checks });
    format!("window.reckonerEngine = {};\n", ascii(&engine.to_string()))
}

/// A check as a reader is told of it: of what, the value that was expected, by whom, and the page that has
/// it.
fn checked(check: &CheckEntry, rules: &Rules) -> Value {
    let by = match rules.sources.get(&check.source) {
        Some(source) => format!("{} ({}), {}", source.author, source.year, check.place),
        None => check.basis.replace('-', " "),
    };
    let page = check.page.strip_suffix(".md").unwrap_or(&check.page);
    json!({ "subject": check.subject, "published": check.published, "by": by, "page": format!("{page}.html") })
}

/// JSON in ASCII alone: a script from a folder has no character set.
fn ascii(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    let mut units = [0; 2];
    for c in json.chars() {
        if c.is_ascii() {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut units) {
                let _ = write!(out, "\\u{unit:04x}");
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_put_in_comes_out() {
        let texts = Texts {
            rules: vec![("a.toml".to_owned(), "\"25 °C\" \u{1f41f}\n".to_owned())],
            catalogue: "</script>".to_owned(),
            tank: "é".to_owned(),
        };
        let script = script(
            b"\0asm",
            &texts,
            &Rules::compiled_in().unwrap_or_else(|problems| panic!("{problems:?}")),
            &[],
        );
        assert!(script.is_ascii());
        let json = script.strip_prefix("window.reckonerEngine = ").and_then(|rest| rest.strip_suffix(";\n"));
        let engine: serde_json::Value = serde_json::from_str(json.unwrap_or_default()).unwrap_or_default();
        assert_eq!(engine["open"], json!(["</script>", "a.toml", "\"25 °C\" \u{1f41f}\n"]));
        assert_eq!((&engine["wasm"], &engine["tank"]), (&json!("AGFzbQ=="), &json!("é")));
    }
}

//! Numbers the captions of a page: Table 4.1, Figure 4.2. A page without a number in the summary counts from one.

/// The elements that hold captions, and the word before the number.
const CAPTIONS: [(&str, &str); 2] = [("<caption", "Table"), ("<figcaption", "Figure")];
/// The table behind a chart shares the chart's number: its caption's id ends so.
const SHARED: &str = "-values\"";

/// Puts a number before each caption of a rendered page.
pub fn number(text: &str, chapter: &str) -> String {
    let mut out = String::with_capacity(text.len() + 256);
    let mut counts = [0; CAPTIONS.len()];
    let mut rest = text;
    while let Some((at, which)) = next_caption(rest) {
        let Some(end) = rest[at..].find('>').map(|end| at + end + 1) else { break };
        out.push_str(&rest[..end]);
        if !rest[at..end].contains(SHARED) {
            counts[which] += 1;
            let number = if chapter.is_empty() { counts[which].to_string() } else { format!("{chapter}.{}", counts[which]) };
            out.push_str(&format!("<span class=\"number\">{} {number}</span> ", CAPTIONS[which].1));
        }
        rest = &rest[end..];
    }
    out + rest
}

fn next_caption(text: &str) -> Option<(usize, usize)> {
    let found = CAPTIONS.iter().enumerate().filter_map(|(which, (tag, _))| Some((text.find(tag)?, which)));
    found.min()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_and_figures_count_for_themselves() {
        let page = "<table><caption id=\"a\">One</caption></table> text <figure><figcaption>Two</figcaption><table><caption id=\"b-values\">\
                    Three</caption></table></figure><table><caption>Four</caption></table>";
        let numbered = number(page, "4");
        for part in [
            "<span class=\"number\">Table 4.1</span> One",
            "<span class=\"number\">Figure 4.1</span> Two",
            "<caption id=\"b-values\">Three",
            "<span class=\"number\">Table 4.2</span> Four",
        ] {
            assert!(numbered.contains(part), "{numbered}");
        }
        assert!(number(page, "").contains("Table 1</span> One"));
        assert_eq!(number("no caption", "1"), "no caption");
    }
}

//! Numbers before the captions of a page: Table 4.1, Figure 4.2. A page without a number in the summary
//! counts from one.

/// The elements that hold captions, and the word before the number.
const CAPTIONS: [(&str, &str); 2] = [("<caption", "Table"), ("<figcaption", "Figure")];
/// The table behind a chart shares the chart's number: its caption's id ends so.
const SHARED: &str = "-values\"";

/// The captions of one page, as they are counted.
#[derive(Debug, Clone, Default)]
pub struct Captions {
    chapter: String,
    counts: [usize; CAPTIONS.len()],
}

impl Captions {
    /// Those of a page, none of them counted yet.
    ///
    /// - `chapter`: the page's number in the summary, or nothing
    pub fn of(chapter: &str) -> Self {
        Captions { chapter: chapter.to_owned(), ..Captions::default() }
    }

    /// Puts a number before each caption of a piece of the page, the next one in its order.
    pub fn number(&mut self, text: &str) -> String {
        self.number_as(text, &|_, number| number.to_owned())
    }

    /// The same; `as_printed` is given the word of a number and the number as it is printed, and says what
    /// stands in the page.
    pub fn number_as(&mut self, text: &str, as_printed: &dyn Fn(&str, &str) -> String) -> String {
        let mut out = String::with_capacity(text.len() + 256);
        let mut rest = text;
        while let Some((at, word)) = next_caption(rest) {
            let Some(end) = rest[at..].find('>').map(|end| at + end + 1) else { break };
            out.push_str(&rest[..end]);
            if !rest[at..end].contains(SHARED) {
                out.push_str(&as_printed(word, &self.next(word)));
            }
            rest = &rest[end..];
        }
        out + rest
    }

    /// The next number with this word before it, as it is printed.
    pub fn next(&mut self, word: &str) -> String {
        let Some(which) = CAPTIONS.iter().position(|(_, known)| *known == word) else { return String::new() };
        self.counts[which] += 1;
        let (count, chapter) = (self.counts[which], &self.chapter);
        let number = if chapter.is_empty() { count.to_string() } else { format!("{chapter}.{count}") };
        format!("<span class=\"number\">{word} {number}</span> ")
    }
}

/// Where the next caption begins, and the word before its number.
fn next_caption(text: &str) -> Option<(usize, &'static str)> {
    let caption = |at: usize| CAPTIONS.iter().find(|(tag, _)| text[at..].starts_with(tag));
    text.match_indices('<').find_map(|(at, _)| caption(at).map(|(_, word)| (at, *word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_and_figures_count_for_themselves() {
        let page = "<table><caption id=\"a\">One</caption></table> text <figure><figcaption>Two</figcaption><table><caption id=\"b-values\">\
                    Three</caption></table></figure><table><caption>Four</caption></table>";
        let mut captions = Captions::of("4");
        let numbered = captions.number(page);
        for part in [
            "<span class=\"number\">Table 4.1</span> One",
            "<span class=\"number\">Figure 4.1</span> Two",
            "<caption id=\"b-values\">Three",
            "<span class=\"number\">Table 4.2</span> Four",
        ] {
            assert!(numbered.contains(part), "{numbered}");
        }
        assert!(captions.number(page).contains("Table 4.3</span> One"));
        assert!(Captions::of("").number(page).contains("Table 1</span> One"));
        assert_eq!(Captions::of("1").number("no caption"), "no caption");
    }

    #[test]
    fn a_number_can_be_dressed() {
        let dressed =
            Captions::of("").number_as("<figcaption>a", &|word, number| format!("[{word}|{number}]"));
        assert_eq!(dressed, "<figcaption>[Figure|<span class=\"number\">Figure 1</span> ]a");
    }
}

//! Raw HTML in a chapter, read just far enough to find its tags and their attributes where they are written.

use std::ops::Range;

/// Elements that hold nothing, so that no tag closes them.
pub(crate) const VOID: [&str; 14] = [
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track",
    "wbr",
];

/// The tags in a stretch of a text, but for those in comments, scripts and style sheets.
pub(crate) fn tags(text: &str, span: Range<usize>) -> Vec<Range<usize>> {
    let html = &text[..span.end];
    let mut tags = Vec::new();
    let mut at = span.start;
    while let Some(start) = html[at..].find('<').map(|offset| at + offset) {
        let rest = &html[start..];
        at = if rest.starts_with("<!--") {
            rest.find("-->").map_or(span.end, |end| start + end + "-->".len())
        } else if is_tag(rest) {
            let end = start + tag_length(rest);
            tags.push(start..end);
            let name = name(rest);
            let is_raw = ["script", "style"].contains(&name.as_str()) && !rest.starts_with("</");
            let closing = || html[end..].find("</").map_or(span.end, |length| end + length);
            if is_raw { closing() } else { end }
        } else {
            start + 1
        };
    }
    tags
}

/// Whether a tag begins here.
pub(crate) fn is_tag(html: &str) -> bool {
    html.strip_prefix('<')
        .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_alphabetic() || "/!?".contains(c)))
}

/// The lower-case name of the HTML tag that `html` begins with.
pub(crate) fn name(html: &str) -> String {
    let name = html.trim_start_matches(['<', '/']);
    name.chars().take_while(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase()
}

/// How long the tag is that `html` begins with; quoted values may hold `>`.
pub(crate) fn tag_length(html: &str) -> usize {
    let mut quote = None;
    for (at, c) in html.char_indices() {
        match quote {
            Some(open) if c == open => quote = None,
            Some(_) => {}
            None if c == '"' || c == '\'' => quote = Some(c),
            None if c == '>' => return at + 1,
            None => {}
        }
    }
    html.len()
}

/// The attributes of a tag: their names in small letters, and where their values are.
pub(crate) fn attributes(html: &str, tag: Range<usize>) -> Vec<(String, Range<usize>)> {
    let mut attributes = Vec::new();
    let mut at = tag.start + 1;
    while let Some(equals) = html[at..tag.end].find('=').map(|offset| at + offset) {
        let name = html[at..equals].trim_end();
        let name = name.rsplit(|c: char| c.is_whitespace() || "\"'/".contains(c)).next().unwrap_or(name);
        let behind = &html[equals + 1..tag.end];
        let value_start = tag.end - behind.trim_start().len();
        let rest = &html[value_start..tag.end];
        let value = match rest.chars().next() {
            Some(quote @ ('"' | '\'')) => {
                let length = rest[1..].find(quote).unwrap_or(rest.len() - 1);
                value_start + 1..value_start + 1 + length
            }
            _ => {
                let length = rest.find(|c: char| c.is_whitespace() || c == '>').unwrap_or(rest.len());
                value_start..value_start + length
            }
        };
        at = value.end;
        attributes.push((name.to_ascii_lowercase(), value));
    }
    attributes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_and_their_attributes_are_found_where_they_are_written() {
        let text = r#"a <A b="c>" d = 'e' f=g/> <!-- <i h="j"> --> <style>k > "<l>"</style> </A> 1 < 2"#;
        let tags = tags(text, 0..text.len());
        let written: Vec<_> = tags.iter().map(|tag| &text[tag.clone()]).collect();
        assert_eq!(written, [r#"<A b="c>" d = 'e' f=g/>"#, "<style>", "</style>", "</A>"]);
        assert_eq!(name(written[0]), "a");
        let attributes: Vec<_> = attributes(text, tags[0].clone());
        let read: Vec<_> =
            attributes.iter().map(|(name, value)| (name.as_str(), &text[value.clone()])).collect();
        assert_eq!(read, [("b", "c>"), ("d", "e"), ("f", "g/")]);
    }
}

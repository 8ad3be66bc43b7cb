//! Putting words together.

/// Words after each other: "left, middle and right"; "left end, front; right end, back".
pub(crate) fn listed(words: &[impl AsRef<str>]) -> String {
    let words: Vec<_> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        // A comma within one of them would look like one between two.
        several if several.iter().any(|one| one.contains(',')) => several.join("; "),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Words as at the start of a sentence.
pub(crate) fn sentence_case(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::listed;

    #[test]
    fn names_with_commas_are_told_apart() {
        assert_eq!(listed(&["left", "middle", "right"]), "left, middle and right");
        assert_eq!(listed(&["left end, front", "right end, back"]), "left end, front; right end, back");
    }
}

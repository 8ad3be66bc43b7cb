//! How hard a page is to read: words to a sentence, and the school grade that the Flesch-Kincaid formula
//! gives.
//!
//! A formula knows nothing of sense. It is a hint where to look, and stops no build.

use reckoner_calc::quantity::System;

use crate::chapter::plain::Block;

/// A sentence of fewer words is a very short one.
const SHORT: usize = 6;
/// How a note of a check begins, which is no prose.
const CHECKED: &str = "Checked: ";

/// What a page's prose measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Words of prose.
    pub words: usize,
    /// Words to a sentence.
    pub words_a_sentence: f64,
    /// Words in the longest sentence.
    pub longest: usize,
    /// The share of sentences with fewer than six words, 0 to 1.
    pub short: f64,
    /// The school grade: 0.39 × words a sentence + 11.8 × syllables a word − 15.59 (Flesch-Kincaid, from
    /// memory).
    pub grade: f64,
}

/// Measures the prose of a page as a reader of metric units sees it; `None` where there is none. Headings,
/// cells, captions and notes of checks are no sentences and do not count.
pub fn measure(blocks: &[Block]) -> Option<Reading> {
    let (mut words, mut sentences, mut syllables, mut longest, mut short) = (0, 0, 0, 0, 0);
    for text in blocks.iter().map(|block| block.in_system(System::Metric)) {
        if !text.ends_with(['.', '!', '?', ':']) || text.starts_with(CHECKED) {
            continue;
        }
        for sentence in sentences_of(&text) {
            let found: Vec<_> =
                sentence.split_whitespace().filter(|word| word.chars().any(char::is_alphabetic)).collect();
            if found.is_empty() {
                continue;
            }
            sentences += 1;
            short += usize::from(found.len() < SHORT);
            words += found.len();
            longest = longest.max(found.len());
            syllables += found.iter().map(|word| syllables_of(word)).sum::<usize>();
        }
    }
    (words > 0).then(|| {
        let words_a_sentence = words as f64 / f64::from(sentences);
        let grade = 0.39 * words_a_sentence + 11.8 * (syllables as f64 / words as f64) - 15.59;
        let short = short as f64 / f64::from(sentences);
        Reading { words, words_a_sentence, longest, short, grade }
    })
}

/// The sentences of a text: each ends at a stop that a space or nothing follows, so no number is cut in two.
fn sentences_of(text: &str) -> Vec<&str> {
    let mut sentences = Vec::new();
    let mut from = 0;
    for (at, stop) in text.match_indices(['.', '!', '?']) {
        let end = at + stop.len();
        if text[end..].chars().next().is_none_or(char::is_whitespace) {
            sentences.push(&text[from..end]);
            from = end;
        }
    }
    sentences.push(&text[from..]);
    sentences
}

/// Groups of vowels, less a silent e at the end; at least one.
fn syllables_of(word: &str) -> usize {
    let letters: Vec<char> = word.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect();
    let is_vowel = |c: char| "aeiouy".contains(c);
    let mut groups = 0;
    let mut before = false;
    for c in &letters {
        let vowel = is_vowel(*c);
        groups += usize::from(vowel && !before);
        before = vowel;
    }
    let silent_e = matches!(letters.as_slice(), [.., before, 'e'] if !is_vowel(*before) && *before != 'l');
    (groups - usize::from(silent_e)).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chapter::plain::blocks;

    #[test]
    fn syllables_are_counted_as_people_do() {
        for (word, count) in [
            ("water", 2),
            ("pump", 1),
            ("turnover", 3),
            ("little", 2),
            ("make", 1),
            ("the", 1),
            ("reef", 1),
            ("coral", 2),
        ] {
            assert_eq!(syllables_of(word), count, "{word}");
        }
    }

    #[test]
    fn short_words_in_short_sentences_are_easy() {
        let easy = measure(&blocks("The pump is on. It moves the water. That is good.\n")).unwrap();
        let hard = measure(&blocks(
            "Notwithstanding considerable methodological uncertainty, hydrodynamically sophisticated configurations necessitate comprehensive evaluation.\n",
        ))
        .unwrap();
        assert_eq!((easy.words, easy.longest), (11, 4));
        assert!(easy.grade < 2.0 && hard.grade > 15.0);
        assert_eq!((easy.short, hard.short), (1.0, 0.0));
        assert_eq!(measure(&blocks("# A heading\n")), None);
    }

    #[test]
    fn a_sentence_ends_at_a_stop_before_a_space() {
        let page = "It holds 1.5 litres of water, says `a.b`. Is that so? Yes, it is.\n";
        let reading = measure(&blocks(page)).unwrap();
        assert_eq!((reading.words, reading.longest, reading.words_a_sentence), (12, 6, 4.0));
        assert!((reading.short - 2.0 / 3.0).abs() < 1e-12);
        // A note of a check is no prose.
        let noted = format!("{page}\nChecked: stream.speed for 1 cm. Published: 3 cm; reckoned 3 cm.\n");
        assert_eq!(measure(&blocks(&noted)), Some(reading));
    }
}

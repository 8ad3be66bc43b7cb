//! How hard a page is to read: words to a sentence, and the school grade that the Flesch-Kincaid formula
//! gives.
//!
//! A formula knows nothing of sense. It is a hint where to look, and stops no build.

use crate::chapter::plain::Block;

/// What a page's prose measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Words of prose.
    pub words: usize,
    /// Words to a sentence.
    pub words_a_sentence: f64,
    /// Words in the longest sentence.
    pub longest: usize,
    /// The school grade: 0.39 × words a sentence + 11.8 × syllables a word − 15.59 (Flesch-Kincaid, from
    /// memory).
    pub grade: f64,
}

/// Measures the prose of a page; `None` where there is none. Headings, cells and captions are no sentences
/// and do not count.
pub fn measure(blocks: &[Block]) -> Option<Reading> {
    let (mut words, mut sentences, mut syllables, mut longest) = (0, 0, 0, 0);
    for text in blocks.iter().map(Block::text) {
        if !text.ends_with(['.', '!', '?', ':']) {
            continue;
        }
        for sentence in text.split_inclusive(['.', '!', '?']) {
            let found: Vec<_> =
                sentence.split_whitespace().filter(|word| word.chars().any(char::is_alphabetic)).collect();
            if found.is_empty() {
                continue;
            }
            sentences += 1;
            words += found.len();
            longest = longest.max(found.len());
            syllables += found.iter().map(|word| syllables_of(word)).sum::<usize>();
        }
    }
    (words > 0).then(|| {
        let words_a_sentence = words as f64 / f64::from(sentences);
        let grade = 0.39 * words_a_sentence + 11.8 * (syllables as f64 / words as f64) - 15.59;
        Reading { words, words_a_sentence, longest, grade }
    })
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
    (groups - usize::from(silent_e && groups > 1)).max(1)
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
        assert_eq!(measure(&blocks("# A heading\n")), None);
    }
}

//! Finds the numbers in what a reader reads, in digits and in words.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::LazyLock;

use crate::prose::lint::glyph::{FIGURE, Glyph};

/// What may stand between the digits of one number or range: `1,000`, `2.5`, `10-20`, `10:30`, `4 000` with
/// a narrow space.
const JOINERS: [char; 11] = ['.', ',', ':', '/', '-', '–', '−', '×', '\u{a0}', '\u{2009}', '\u{202f}'];

/// What a word can be to this lint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Class {
    /// A number before units and things.
    Number,
    /// A number before units only: "one pump" is English, "one litre" is a figure.
    Part,
    /// Joins number words to one run: "two to three", "two and a half".
    Joiner,
    /// A unit.
    Unit,
    /// A thing one counts.
    Thing,
    /// Not an adjective: ends the search for the thing counted.
    Stop,
}

/// All words known to the lint.
const WORDS: &[(Class, &str)] = &[
    (
        Class::Number,
        "two three four five six seven eight nine ten threescore fourscore eleven twelve thirteen fourteen fifteen sixteen seventeen \
         eighteen nineteen twenty thirty forty fourty fifty sixty seventy eighty ninety ninty hundred thousand \
         million billion zero",
    ),
    (
        Class::Part,
        "one half quarter quarters thirds fifths tenths dozen couple dozens tens scores hundreds thousands millions",
    ),
    (Class::Joiner, "to or and a an of"),
    (
        Class::Unit,
        "litre litres liter liters millilitre millilitres milliliter milliliters gallon gallons quart quarts pint \
         pints hour hours minute minutes second seconds day days night nights week weeks fortnight fortnights month \
         months year years decade decades metre metres meter meters kilometre kilometres centimetre centimetres \
         centimeter centimeters millimetre millimetres millimeter millimeters inch inches foot feet yard yards watt \
         watts kilowatt kilowatts hertz degree degrees percent cent cents kilogram kilograms kilo kilos gram grams \
         milligram milligrams tonne tonnes ton tons pound pounds ounce ounces decibel decibels volt volts amp amps \
         ampere amperes milliamp milliamps dollar dollars euro euros franc francs times fold turnover turnovers \
         o'clock o’clock",
    ),
    (
        Class::Thing,
        "pump pumps powerhead powerheads tank tanks sump sumps fish fishes coral corals frag frags snail snails \
         crab crabs shrimp shrimps pane panes magnet magnets filter filters heater heaters skimmer skimmers nozzle \
         nozzles battery batteries socket sockets rock rocks",
    ),
    (
        Class::Stop,
        "in at on for from with by as than then is are was were the this that these those each every",
    ),
];

/// Numbers that nobody says of things at hand: they are figures, whatever stands beside them.
const GREAT: &str = "threescore fourscore thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fourty fifty sixty \
                     seventy eighty ninety ninty hundred thousand million billion hundreds thousands millions";

/// Units in short, as they are written.
const SHORT_UNITS: &str = "L l mL ml gal h hr hrs min mins cm mm m km ft kg g mg lb lbs oz W kW kWh Wh V mV kV A mA \
                           Ah mAh dB Hz kHz ppm ppt psu rpm gph lph GPH LPH am pm";

/// Signs of units.
const SIGNS: [&str; 12] = ["%", "‰", "°", "€", "£", "$", "′", "″", "a.m.", "p.m.", "º", "℃"];

/// Words that make a number of a measure: "double the flow".
const TIMES: &str = "double doubles doubled doubling triple triples tripled tripling treble quadruple quadruples \
                     quadrupled twice thrice half halve halves halved halving";

/// Parts of a whole that are also numbers of an order: "a third of the flow", but "the third day".
const PARTS: &str = "third fifth tenth";

/// Measures, which a number word can belong to as to a unit.
const MEASURES: &str = "flow turnover volume speed height depth length width power price cost time current load mass \
                        weight setting water energy salinity temperature";

/// What stands before a measure or a unit that is shared or told.
const OWNERS: [&str; 7] = ["the", "its", "their", "your", "our", "that", "this"];

/// What makes a place of a half.
const SIDES: [&str; 7] = ["upper", "lower", "other", "outer", "inner", "near", "far"];

/// Numbers of an order, as in "every third day".
const ORDINALS: &str = "other second third fourth fifth sixth seventh eighth ninth tenth twelfth";

/// How often something is done, in a word: a rule can change it.
const INTERVALS: &str = "weekly fortnightly monthly bimonthly biweekly";

/// Spans of time between one care and the next. "Every day" is English, and "once a day" too.
const SPANS: [&str; 3] = ["week", "fortnight", "month"];

/// What a page numbers by itself.
const NUMBERED: [&str; 6] = ["chapter", "table", "figure", "page", "section", "appendix"];

/// Decades of a scale: "in the seventies".
const DECADES: &str = "twenties thirties forties fifties sixties seventies eighties nineties";

/// Tens and ones that are written as one word by mistake: "twentyfive".
const TENS: &str = "twenty thirty forty fourty fifty sixty seventy eighty ninety";
const ONES: &str = "one two three four five six seven eight nine";

/// Formulas of chemistry that hold digits and are names, whatever the rules say.
const FORMULAS: [&str; 12] =
    ["CO2", "H2O", "O2", "O3", "N2", "NO2", "NO3", "NH3", "NH4", "PO4", "CaCO3", "H2S"];

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// What looks like Roman digits and is a sign of the trade: direct current, cubic centimetres, millimetres, a
/// compact disc, a size.
const NOT_ROMAN: [&str; 8] = ["DC", "CC", "MM", "CD", "XL", "LCD", "MI", "DI"];

static CLASSES: LazyLock<HashMap<&str, Class>> = LazyLock::new(|| {
    let words = WORDS.iter().flat_map(|(class, words)| words.split_whitespace().map(|word| (word, *class)));
    words.collect()
});

/// The numbers of a block, in digits and in words, each run of them once, as places in its text.
pub(crate) fn numbers(block: &[Glyph]) -> Vec<Range<usize>> {
    let words = words(block);
    let mut found = digits(block, &words);
    found.extend(number_words(block, &words));
    let span = |run: Range<usize>| block[run.start].span.start..block[run.end - 1].span.end;
    found.into_iter().map(span).collect()
}

/// Whether a text is a number and nothing else: what is so in code can be a number of the prose around it.
pub(crate) fn is_number(text: &str) -> bool {
    let is_in_digits =
        text.chars().all(|c| c.is_numeric() || JOINERS.contains(&c)) && text.contains(char::is_numeric);
    is_in_digits || CLASSES.get(text.to_lowercase().as_str()) == Some(&Class::Number)
}

/// The numbers written in digits.
fn digits(block: &[Glyph], words: &[Word]) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (at, _) in block.iter().enumerate().filter(|(_, glyph)| glyph.c.is_numeric()) {
        match runs.last_mut() {
            Some(run) if block[run.start].is_code == block[at].is_code && joins(&block[run.end..at]) => {
                run.end = at + 1
            }
            _ => runs.push(at..at + 1),
        }
    }
    let is_of_prose = |run: &Range<usize>| !block[run.start].is_code || has_unit(block, words, run.end);
    let is_ordinary = |run: &Range<usize>| is_of_every(block, words, run) || !is_name(block, run);
    runs.retain(|run| is_of_prose(run) && (has_unit(block, words, run.end) || is_ordinary(run)));
    runs
}

/// Whether a unit follows, in words or as a sign.
fn has_unit(block: &[Glyph], words: &[Word], at: usize) -> bool {
    let next = words.get(words.partition_point(|word| word.run.start < at));
    let is_next = |word: &Word| block[at..word.run.start].iter().all(|glyph| glyph.c.is_whitespace());
    next.is_some_and(|word| word.class == Some(Class::Unit) && is_next(word)) || is_before_sign(block, at)
}

/// "every 2nd day": digits of an order that say how often.
fn is_of_every(block: &[Glyph], words: &[Word], run: &Range<usize>) -> bool {
    let last = words.partition_point(|word| word.run.end <= run.start).checked_sub(1);
    last.map(|at| &words[at]).is_some_and(|word| {
        let between = &block[word.run.end..run.start];
        word.lower == "every" && between.iter().all(|glyph| glyph.c.is_whitespace())
    })
}

/// Whether what stands between two digits makes one number or range of them.
fn joins(between: &[Glyph]) -> bool {
    between.len() <= 2 && between.iter().all(|glyph| JOINERS.contains(&glyph.c))
}

/// Whether the sign of a unit follows.
fn is_before_sign(block: &[Glyph], at: usize) -> bool {
    let behind = block[at..].iter().map(|glyph| glyph.c).skip_while(|c| c.is_whitespace());
    let behind: String = behind.take(4).collect();
    SIGNS.iter().any(|sign| behind.starts_with(sign))
}

/// Whether digits are part of a name that no rule can change: a formula of chemistry, a date, a place in an
/// order, "around the clock".
fn is_name(block: &[Glyph], run: &Range<usize>) -> bool {
    let text =
        |range: Range<usize>| block[range].iter().map(|glyph| plain_digit(glyph.c)).collect::<String>();
    let number = text(run.clone());
    // No name is longer.
    const LONGEST: usize = 20;
    let before =
        block[..run.start].iter().rev().take(LONGEST).take_while(|glyph| glyph.c.is_alphanumeric()).count();
    let behind = block[run.end..].iter().take(LONGEST).take_while(|glyph| glyph.c.is_alphanumeric()).count();
    let whole = text(run.start - before..run.end + behind);
    if FORMULAS.contains(&whole.as_str()) || number == "24/7" && before + behind == 0 {
        return true;
    }
    let ending = text(run.end..run.end + behind);
    let is_short = number.len() <= 2 && number.chars().all(|c| c.is_ascii_digit());
    if is_short && before == 0 && ["st", "nd", "rd", "th"].contains(&ending.as_str()) {
        return true;
    }
    let word = |glyphs: &mut dyn Iterator<Item = &Glyph>| {
        let letters =
            glyphs.skip_while(|glyph| glyph.c.is_whitespace()).take_while(|glyph| glyph.c.is_alphabetic());
        letters.map(|glyph| glyph.c).collect::<String>()
    };
    let next = word(&mut block[run.end..].iter());
    let last: String = word(&mut block[..run.start].iter().rev()).chars().rev().collect();
    let is_year = number.len() == 4 && (number.starts_with("19") || number.starts_with("20"));
    let has_dashes = || number.bytes().enumerate().all(|(at, c)| (c == b'-') == (at == 4 || at == 7));
    let is_iso = number.len() == 10 && number.starts_with("20") && has_dashes();
    let is_month = |word: &str| MONTHS.contains(&word);
    let stands_alone = before + behind == 0;
    // The year of "March 3, 2026".
    let lead = text(run.start.saturating_sub(LONGEST)..run.start);
    let day = lead.strip_suffix(", ").map(|lead| lead.trim_end_matches(|c: char| c.is_ascii_digit()));
    let follows_a_day =
        || day.is_some_and(|lead| MONTHS.iter().any(|month| lead.trim_end().ends_with(month)));
    let is_date = is_iso || is_short && (is_month(&next) || is_month(&last));
    stands_alone && (is_date || is_year && (is_month(&last) || follows_a_day()))
}

/// A digit set low or high as the digit it is.
fn plain_digit(c: char) -> char {
    match c {
        '₀'..='₉' => char::from_digit(u32::from(c) - u32::from('₀'), 10).unwrap_or(c),
        _ => c,
    }
}

/// What stands between a word and the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Gap {
    /// Blanks, a hyphen, quotation marks or brackets: the words go on.
    Close,
    /// The same with a colon or a sign of equality.
    Colon,
    /// Anything else.
    Apart,
}

/// A word of the prose.
struct Word {
    /// Where in its block.
    run: Range<usize>,
    lower: String,
    class: Option<Class>,
    gap: Gap,
}

impl Word {
    fn follows(&self) -> bool {
        self.gap == Gap::Close
    }

    fn is_one_of(&self, words: &str) -> bool {
        words.split_whitespace().any(|word| word == self.lower)
    }
}

fn words(block: &[Glyph]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let (mut gap, mut at) = (Gap::Apart, 0);
    while at < block.len() {
        let c = block[at].c;
        if c.is_alphabetic() {
            let in_word = |glyph: &&Glyph| glyph.c.is_alphabetic() || glyph.c == '\'' || glyph.c == '’';
            let mut length = block[at..].iter().take_while(in_word).count();
            while matches!(block[at + length - 1].c, '\'' | '’') {
                length -= 1;
            }
            let written: String = block[at..at + length].iter().map(|glyph| glyph.c).collect();
            let lower = written.to_lowercase();
            // A word in code is read with a unit behind it, else it is what somebody types or sees.
            let class = match class(&written, &lower) {
                Some(Class::Number) if block[at].is_code => Some(Class::Part),
                class => class,
            };
            words.push(Word { run: at..at + length, lower, class, gap });
            gap = Gap::Close;
            at += length;
        } else if c == FIGURE {
            words.push(Word { run: at..at + 1, lower: String::new(), class: None, gap });
            gap = Gap::Close;
            at += 1;
        } else {
            let goes_on = c.is_whitespace() || "-\u{2011}\"'“”‘’()[]".contains(c);
            gap = match gap {
                Gap::Apart => Gap::Apart,
                _ if c == ':' || c == '=' => Gap::Colon,
                gap if goes_on => gap,
                _ => Gap::Apart,
            };
            at += 1;
        }
    }
    words
}

fn class(written: &str, lower: &str) -> Option<Class> {
    if SHORT_UNITS.split_whitespace().any(|unit| unit == written) {
        Some(Class::Unit)
    } else if is_roman(written) {
        Some(Class::Part)
    } else if is_tens_and_ones(lower) {
        Some(Class::Number)
    } else {
        CLASSES.get(lower).copied()
    }
}

/// "twentyfive": two number words without the hyphen between them.
fn is_tens_and_ones(word: &str) -> bool {
    let ones = |ones: &str| ONES.split_whitespace().any(|known| known == ones);
    TENS.split_whitespace().any(|tens| word.strip_prefix(tens).is_some_and(ones))
}

/// Whether a word is a number in Roman digits: from thousands down to ones, as they are written. "DC" and the
/// like are the trade's.
fn is_roman(word: &str) -> bool {
    let mut rest = word;
    for (digit, five, ten) in [("M", "", ""), ("C", "D", "M"), ("X", "L", "C"), ("I", "V", "X")] {
        let nine = format!("{digit}{ten}");
        let four = format!("{digit}{five}");
        let (shorter, may_repeat) = if !ten.is_empty() && rest.starts_with(&nine) {
            (&rest[nine.len()..], false)
        } else if !five.is_empty() && rest.starts_with(&four) {
            (&rest[four.len()..], false)
        } else {
            (rest.strip_prefix(five).unwrap_or(rest), true)
        };
        let repeated = shorter.bytes().take(3).take_while(|byte| digit.as_bytes() == [*byte]).count();
        rest = &shorter[if may_repeat { repeated } else { 0 }..];
    }
    word.len() > 1 && rest.is_empty() && !NOT_ROMAN.contains(&word)
}

/// The words that say a number beside a unit, a thing counted or a measure, as places in the block.
fn number_words(block: &[Glyph], words: &[Word]) -> Vec<Range<usize>> {
    let prose = Prose { block, words };
    let mut found: Vec<Range<usize>> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        match prose.phrase(at).or_else(|| prose.counted(at)) {
            Some(number) => {
                found.push(words[number.start].run.start..words[number.end - 1].run.end);
                at = number.end;
            }
            None => at = prose.number_run(at).map_or(at + 1, |(end, _)| end),
        }
    }
    found
}

/// A block and its words. Places in it count words.
struct Prose<'b> {
    block: &'b [Glyph],
    words: &'b [Word],
}

impl Prose<'_> {
    fn word(&self, at: usize) -> Option<&Word> {
        self.words.get(at).filter(|word| word.follows())
    }

    fn is_class(&self, at: usize, class: Class) -> bool {
        self.word(at).is_some_and(|word| word.class == Some(class))
    }

    fn is(&self, at: usize, wanted: &[&str]) -> bool {
        self.word(at).is_some_and(|word| wanted.contains(&word.lower.as_str()))
    }

    fn says(&self, from: usize, wanted: &[&str]) -> bool {
        wanted.iter().enumerate().all(|(offset, wanted)| self.is(from + offset, &[wanted]))
    }

    fn is_measure(&self, at: usize) -> bool {
        self.word(at).is_some_and(|word| word.is_one_of(MEASURES))
    }

    /// A turn of phrase that begins here and says a number.
    fn phrase(&self, at: usize) -> Option<Range<usize>> {
        let first = &self.words[at];
        // "a score of", "a gross of"
        if first.lower == "a" && self.is(at + 1, &["score", "gross"]) && self.is(at + 2, &["of"]) {
            return Some(at..at + 2);
        }
        // "every week", "once a month", "twice a day"
        if first.is_one_of(INTERVALS) {
            return Some(at..at + 1);
        }
        if ["every", "each"].contains(&first.lower.as_str()) && self.is(at + 1, &SPANS) {
            return Some(at..at + 2);
        }
        let is_by_span = self.is(at + 1, &["a", "each", "every"]);
        let is_often = first.lower == "once" && self.is(at + 2, &SPANS)
            || first.lower == "twice" && self.is_class(at + 2, Class::Unit);
        if is_by_span && is_often {
            return Some(at..at + 3);
        }
        // "double the flow", "half of its power"
        let owner = if self.is(at + 1, &["of"]) { at + 2 } else { at + 1 };
        let is_part = first.class == Some(Class::Part) && first.lower != "one" || first.is_one_of(PARTS);
        let is_share = first.is_one_of(TIMES) || owner == at + 2 && is_part;
        // "The upper half of the water" is a place.
        let is_place =
            at > 0 && self.word(at).is_some() && SIDES.contains(&self.words[at - 1].lower.as_str());
        if is_share && !is_place && self.is(owner, &OWNERS) && self.is_measure(owner + 1) {
            return Some(at..at + 1);
        }
        // "a third of a litre"
        if first.is_one_of(PARTS)
            && self.is(at + 1, &["of"])
            && self.is(at + 2, &["a", "an"])
            && self.is_class(at + 3, Class::Unit)
        {
            return Some(at..at + 1);
        }
        // "tenfold", "in the seventies"
        if is_fold(&first.lower) || first.is_one_of(DECADES) {
            return Some(at..at + 1);
        }
        // "an hour and a half"
        let is_part =
            self.is_class(at + 3, Class::Part) || self.word(at + 3).is_some_and(|word| word.is_one_of(PARTS));
        if first.class == Some(Class::Unit) && self.says(at + 1, &["and", "a"]) && is_part {
            return Some(at + 3..at + 4);
        }
        // "every other week", "every third day"
        let is_ordinal = self.word(at + 1).is_some_and(|word| word.is_one_of(ORDINALS));
        let is_span_of_time = self.is_class(at + 2, Class::Unit);
        if first.lower == "every" && is_ordinal && is_span_of_time {
            return Some(at + 1..at + 2);
        }
        // "chapter four"
        let (end, is_of_parts) = self.number_run(at + 1)?;
        let number = at + 1..end;
        if NUMBERED.contains(&first.lower.as_str()) && self.word(at + 1).is_some() {
            return Some(number);
        }
        // "half past six"
        let ends = self.word(end).is_none_or(|next| next.class == Some(Class::Stop));
        if first.lower == "past" && self.word(at + 1).is_some() && !is_of_parts && ends {
            return Some(number);
        }
        // "Flow: forty"
        let is_told = first.class == Some(Class::Unit) || first.is_one_of(MEASURES);
        (is_told && self.words[at + 1].gap == Gap::Colon && !is_of_parts).then_some(number)
    }

    /// A run of number words that begins here, where something shows that it is a number.
    fn counted(&self, at: usize) -> Option<Range<usize>> {
        let (end, is_of_parts) = self.number_run(at)?;
        let number = at..end;
        let is_some_day = end == at + 1 && self.words[at].lower == "one" && self.is(end, &["day", "night"]);
        if is_some_day {
            return None;
        }
        let from = if self.says(end, &["or", "so"]) { end + 2 } else { end };
        let last = &self.words[end - 1];
        let is_alone = at == 0 && end == self.words.len() && self.is_all_of_the_block();
        let is_twice_the_same = end == at + 2 && self.words[at].lower == last.lower;
        let run = &self.words[at..end];
        let is_great = run.iter().any(|word| word.is_one_of(GREAT) || is_tens_and_ones(&word.lower));
        // "five to eight"
        let is_range = run.len() > 2 && run.iter().any(|word| word.lower == "to");
        let is_so = is_great
            || is_range
            || !is_of_parts
                && (is_alone
                    || is_twice_the_same
                    || self.is_of_a_day(end)
                    || self.is_told(at)
                    || self.counts_a_share(end))
            || is_before_sign(self.block, last.run.end)
            || self.counts_something(from, is_of_parts);
        if is_so {
            return Some(number);
        }
        self.ratio(at, end)
    }

    /// "seven in the morning"
    fn is_of_a_day(&self, at: usize) -> bool {
        self.says(at, &["in", "the"]) && self.is(at + 2, &["morning", "afternoon", "evening"])
            || self.says(at, &["at", "night"])
    }

    /// "a turnover of twenty", "the flow is twenty"
    fn is_told(&self, at: usize) -> bool {
        let joined = at.checked_sub(2).filter(|_| self.word(at).is_some() && self.word(at - 1).is_some());
        joined.is_some_and(|measure| {
            self.words[measure].is_one_of(MEASURES)
                && ["of", "is", "was", "at"].contains(&self.words[at - 1].lower.as_str())
        })
    }

    /// "two of the pumps", "two thirds of the water"
    fn counts_a_share(&self, at: usize) -> bool {
        let counted = |at: usize| {
            self.is_measure(at) || self.is_class(at, Class::Unit) || self.is_class(at, Class::Thing)
        };
        self.is(at, &["of"]) && self.is(at + 1, &OWNERS) && counted(at + 2)
    }

    /// "nine out of ten", "one pump in ten": a number in a number.
    fn ratio(&self, at: usize, end: usize) -> Option<Range<usize>> {
        let is_in = |at: usize| {
            let behind = if self.says(at, &["out", "of"]) { at + 2 } else { at + 1 };
            let is_word = behind == at + 2 || self.is(at, &["in"]);
            (is_word && self.is_class(behind, Class::Number)).then_some(behind)
        };
        let of_a_thing = || self.is_class(end, Class::Thing).then(|| is_in(end + 1)).flatten();
        let (whole, _) = self.number_run(is_in(end).or_else(of_a_thing)?)?;
        Some(at..whole)
    }

    /// The word behind the run of number words that begins here, and whether the run counts before units
    /// only.
    fn number_run(&self, start: usize) -> Option<(usize, bool)> {
        let is_number = |at: usize| {
            matches!(self.words.get(at).and_then(|word| word.class), Some(Class::Number | Class::Part))
        };
        if !is_number(start) {
            return None;
        }
        let mut end = start + 1;
        // Up to two words may join: "two to three", "two and a half".
        while let Some(next) = (end..end + 3).find(|&at| is_number(at)).filter(|&next| {
            (end..=next).all(|at| self.word(at).is_some())
                && (end..next).all(|at| self.is_class(at, Class::Joiner))
        }) {
            end = next + 1;
        }
        let is_of_parts = self.words[start..end].iter().all(|word| word.class != Some(Class::Number));
        Some((end, is_of_parts))
    }

    /// Whether a unit or a thing follows: at once, behind one or two other words ("two small pumps"), or
    /// behind "of an" or "a" ("half an hour").
    fn counts_something(&self, at: usize, is_of_parts: bool) -> bool {
        let counted =
            |at: usize| self.is_class(at, Class::Unit) || !is_of_parts && self.is_class(at, Class::Thing);
        if counted(at) {
            return true;
        }
        match self.word(at).map(|word| word.class) {
            Some(None) => {
                counted(at + 1)
                    || self.word(at + 1).is_some_and(|word| word.class.is_none()) && counted(at + 2)
            }
            Some(Some(Class::Joiner)) if is_of_parts => {
                counted(at + (at..at + 2).take_while(|&at| self.is_class(at, Class::Joiner)).count())
            }
            _ => false,
        }
    }

    /// Whether the block holds nothing but its words: no digits, no figure.
    fn is_all_of_the_block(&self) -> bool {
        self.block.iter().all(|glyph| glyph.c.is_alphabetic() || glyph.c.is_whitespace() || glyph.c == '-')
    }
}

/// "tenfold": a number word with "fold" at its end.
fn is_fold(word: &str) -> bool {
    word.strip_suffix("fold").is_some_and(|number| CLASSES.get(number) == Some(&Class::Number))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_classes_do_not_overlap() {
        let listed: usize = WORDS.iter().map(|(_, words)| words.split_whitespace().count()).sum();
        assert_eq!(CLASSES.len(), listed);
    }
}

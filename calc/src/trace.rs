//! What a value was reckoned from, noted while it is reckoned.
//!
//! A scope is opened around the reckoning of a value. Each rule, figure and formula that is read while it is
//! open is noted in it. What was noted in the scopes around it, up to that moment, counts as well: whatever
//! the outer reckoning had read may have gone into what the inner one uses. So a trace can name too much, and
//! never too little, as long as values pass from one scope to another as [`Traced`] only.
//!
//! Reading a [`Traced`] value, through `*` or a method of what it holds, notes its trace. Nothing is noted
//! where no scope is open.
//!
//! The traces that values carry are kept for good, each once: the same ones come up for every tank, and a
//! value with a trace is as light as without.

use std::cell::RefCell;
use std::cmp::Ordering;
use std::ops::Deref;
use std::sync::{Mutex, PoisonError};

use crate::name::Name;
use crate::ordered::sort_by;
use crate::quantity::Quantity;

/// What a value was reckoned from.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trace {
    rules: Places,
    /// In the order in which they were read.
    figures: Vec<Name>,
    formulas: Names,
    calls: Vec<Call>,
}

/// One use of a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Call {
    /// The formula's name, such as `turnover.flow`.
    pub formula: &'static str,
    /// What it says, in words and signs.
    pub text: &'static str,
    /// What went in: the names of its inputs with their values.
    pub inputs: Vec<(&'static str, Quantity)>,
    /// What came out.
    pub output: Quantity,
}

/// A set of small numbers.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Places(Vec<u64>);

impl Places {
    fn insert(&mut self, place: usize) {
        let (word, bit) = (place / 64, place % 64);
        if self.0.len() <= word {
            self.0.resize(word + 1, 0);
        }
        self.0[word] |= 1 << bit;
    }

    fn extend(&mut self, other: &Places) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        for (own, theirs) in self.0.iter_mut().zip(&other.0) {
            *own |= theirs;
        }
    }

    fn iter(&self) -> impl Iterator<Item = usize> {
        let places = |(word, bits): (usize, &u64)| {
            let mut left = *bits;
            std::iter::from_fn(move || {
                let bit = (left != 0).then(|| left.trailing_zeros() as usize)?;
                left &= left - 1;
                Some(word * 64 + bit)
            })
        };
        self.0.iter().enumerate().flat_map(places)
    }
}

/// A set of names that the program itself holds, by where they stand in memory: one that stands in two places
/// is there twice.
#[derive(Debug, Clone, Default, PartialEq)]
struct Names(Vec<&'static str>);

impl Names {
    fn insert(&mut self, name: &'static str) {
        if let Err(at) = self.0.binary_search_by_key(&name.as_ptr(), |known| known.as_ptr()) {
            self.0.insert(at, name);
        }
    }

    fn extend(&mut self, other: &Names) {
        if self.0.is_empty() {
            self.0.clone_from(&other.0);
        } else {
            other.0.iter().for_each(|name| self.insert(name));
        }
    }

    fn places(&self) -> impl Iterator<Item = *const u8> {
        self.0.iter().map(|name| name.as_ptr())
    }

    /// In the order of the alphabet, each once.
    fn sorted(&self) -> Vec<&'static str> {
        let mut names = self.0.clone();
        sort_by(&mut names, |one, other| one.cmp(other));
        names.dedup();
        names
    }
}

impl Trace {
    /// Where the rules that were read stand in [`Rules::all`](crate::Rules::all).
    pub fn rules(&self) -> impl Iterator<Item = usize> {
        self.rules.iter()
    }

    /// The ids of the figures that were read.
    pub fn figures(&self) -> impl Iterator<Item = &Name> {
        self.figures.iter()
    }

    /// The names of the formulas that were used, those within other formulas included, in the order of the
    /// alphabet.
    pub fn formulas(&self) -> Vec<&'static str> {
        self.formulas.sorted()
    }

    /// Whether this formula was used.
    pub fn uses(&self, formula: &str) -> bool {
        self.formulas.0.contains(&formula)
    }

    /// The formulas that the reckoning itself used, in its order, each once.
    pub fn calls(&self) -> &[Call] {
        &self.calls
    }

    /// Adds what another trace names. Its calls stay its own.
    pub fn extend(&mut self, other: &Trace) {
        self.rules.extend(&other.rules);
        other.figures.iter().for_each(|id| self.add_figure(id));
        self.formulas.extend(&other.formulas);
    }

    fn add_figure(&mut self, id: &Name) {
        if !self.figures.contains(id) {
            self.figures.push(id.clone());
        }
    }

    /// The same without its calls: what is worth knowing where a value is only passed on.
    pub(crate) fn without_calls(mut self) -> Self {
        self.calls.clear();
        self
    }

    /// The trace as it is kept, without its calls.
    fn kept(self) -> &'static Trace {
        let trace = self.without_calls();
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        match kept.binary_search_by(|known| known.order(&trace)) {
            Ok(at) => kept[at],
            Err(at) => {
                kept.insert(at, Box::leak(Box::new(trace)));
                kept[at]
            }
        }
    }

    fn order(&self, other: &Trace) -> Ordering {
        let read = self.rules.cmp(&other.rules).then_with(|| self.figures.cmp(&other.figures));
        read.then_with(|| self.formulas.places().cmp(other.formulas.places()))
    }
}

/// The traces that values carry, in their order.
static KEPT: Mutex<Vec<&'static Trace>> = Mutex::new(Vec::new());

/// An open scope.
#[derive(Default)]
struct Scope {
    trace: Trace,
    /// How many formulas are being worked in it, one within the other.
    formulas: usize,
}

thread_local! {
    /// The open scopes, the innermost last.
    static OPEN: RefCell<Vec<Scope>> = const { RefCell::new(Vec::new()) };
}

fn innermost<T>(look: impl FnOnce(&mut Scope) -> T) -> Option<T> {
    OPEN.with_borrow_mut(|open| open.last_mut().map(look))
}

/// Notes that the rule at this place of [`Rules::all`](crate::Rules::all) is read.
pub(crate) fn note_rule(place: usize) {
    innermost(|scope| scope.trace.rules.insert(place));
}

/// Notes that the figure of this id is read.
pub(crate) fn note_figure(id: &str) {
    innermost(|scope| scope.trace.add_figure(&Name::from(id)));
}

/// A scope that was opened. It is closed when it goes out of use, also when the reckoning panics.
struct Opened;

impl Opened {
    fn new() -> Self {
        OPEN.with_borrow_mut(|open| open.push(Scope::default()));
        Opened
    }

    fn close(self) -> Trace {
        current()
    }

    /// The same for a value that is passed on.
    fn close_and_keep(self) -> &'static Trace {
        self.close().kept()
    }
}

impl Drop for Opened {
    fn drop(&mut self) {
        OPEN.with_borrow_mut(Vec::pop);
    }
}

/// Reckons something, and says what it read.
// Each use is a type of its own, so nothing is written twice; what was reckoned is then not passed on.
#[inline(always)]
pub fn record<T>(reckon: impl FnOnce() -> T) -> (T, Trace) {
    let opened = Opened::new();
    let value = reckon();
    (value, opened.close())
}

/// What the open scopes have read so far; the calls are those of the innermost.
pub(crate) fn current() -> Trace {
    OPEN.with_borrow(|open| {
        let Some((innermost, around)) = open.split_last() else { return Trace::default() };
        let mut trace = Trace::default();
        trace.rules.0.reserve_exact(open.iter().map(|scope| scope.trace.rules.0.len()).max().unwrap_or(0));
        around.iter().for_each(|scope| trace.extend(&scope.trace));
        trace.extend(&innermost.trace);
        trace.calls.clone_from(&innermost.trace.calls);
        trace
    })
}

/// Works a formula, and notes it with its inputs and what it gives.
///
/// Only a formula that no other one is using counts as a call of the reckoning; the names of all are noted.
#[inline(always)]
pub fn formula<T>(name: &'static str, work: impl FnOnce() -> T, call: impl FnOnce(&T) -> Option<Call>) -> T {
    let is_outermost = begin(name);
    let value = work();
    if end(name, is_outermost)
        && let Some(call) = call(&value)
    {
        innermost(|scope| scope.trace.calls.push(call));
    }
    value
}

/// Notes that a formula is used, and says whether no other one is using it.
fn begin(name: &'static str) -> bool {
    let is_outermost = innermost(|scope| {
        scope.trace.formulas.insert(name);
        scope.formulas += 1;
        scope.formulas == 1
    });
    is_outermost == Some(true)
}

/// Notes that a formula is done, and says whether it is a call that is not noted yet.
fn end(name: &'static str, is_outermost: bool) -> bool {
    let is_new = innermost(|scope| {
        scope.formulas = scope.formulas.saturating_sub(1);
        let calls = &scope.trace.calls;
        calls.len() < MOST_CALLS && calls.iter().all(|call| call.formula != name)
    });
    is_outermost && is_new == Some(true)
}

/// A reckoning that uses more formulas than this is a decision, which no line of text can follow.
const MOST_CALLS: usize = 8;

/// A value with what it was reckoned from. Reading it notes that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Traced<T> {
    value: T,
    trace: &'static Trace,
}

impl<T> Traced<T> {
    /// Reckons a value, and keeps what it read.
    pub fn new(reckon: impl FnOnce() -> T) -> Self {
        let opened = Opened::new();
        let value = reckon();
        Traced { value, trace: opened.close_and_keep() }
    }

    /// The same for a reckoning that can fail.
    ///
    /// # Errors
    /// Those of the reckoning.
    pub fn ok<E>(reckon: impl FnOnce() -> Result<T, E>) -> Result<Self, E> {
        let opened = Opened::new();
        let value = reckon()?;
        Ok(Traced { value, trace: opened.close_and_keep() })
    }

    /// The value of a figure: reading it notes the figure, not what lies behind it.
    pub(crate) fn figure(id: &str, value: T) -> Self {
        Traced { value, trace: Trace { figures: vec![Name::from(id)], ..Trace::default() }.kept() }
    }

    /// A value that was given: nothing stands behind it.
    pub fn given(value: T) -> Self {
        Traced { value, trace: Trace::default().kept() }
    }

    /// What it was reckoned from.
    pub fn trace(&self) -> &'static Trace {
        self.trace
    }

    /// The value, not noted: to choose what is put on the sheet. What is then put must [`note`](Self::note)
    /// it.
    pub fn peek(&self) -> &T {
        &self.value
    }

    /// Notes it as read.
    pub fn note(&self) {
        innermost(|scope| scope.trace.extend(self.trace));
    }
}

impl<T> Traced<Option<T>> {
    /// The value with its trace, if there is one.
    pub fn transpose(self) -> Option<Traced<T>> {
        let Traced { value, trace } = self;
        value.map(|value| Traced { value, trace })
    }
}

impl<T, const N: usize> Traced<[T; N]> {
    /// Its members, each with its trace.
    pub fn each(self) -> [Traced<T>; N] {
        let Traced { value, trace } = self;
        value.map(|value| Traced { value, trace })
    }
}

impl<T> Deref for Traced<T> {
    type Target = T;

    fn deref(&self) -> &T {
        self.note();
        &self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rules(trace: &Trace) -> Vec<usize> {
        trace.rules().collect()
    }

    #[test]
    fn what_is_read_in_a_scope_is_noted_and_nothing_outside_of_one() {
        note_rule(3);
        let (_, trace) = record(|| {
            note_rule(130);
            note_rule(5);
        });
        assert_eq!(rules(&trace), [5, 130]);
    }

    #[test]
    fn a_scope_counts_what_those_around_it_had_read_and_keeps_its_own_to_itself() {
        let ((before, after), outer) = record(|| {
            let (_, before) = record(|| note_rule(1));
            note_rule(2);
            let (_, after) = record(|| note_rule(3));
            (before, after)
        });
        assert_eq!((rules(&before), rules(&after), rules(&outer)), (vec![1], vec![2, 3], vec![2]));
    }

    #[test]
    fn a_traced_value_hands_on_its_trace_when_it_is_read() {
        let one = Traced::new(|| {
            note_rule(1);
            10
        });
        let figure = Traced::figure("tank.water", 5);
        let (sum, trace) = record(|| *one + *figure);
        assert_eq!(
            (sum, rules(&trace), trace.figures().map(Name::as_str).collect::<Vec<_>>()),
            (15, vec![1], vec!["tank.water"])
        );
        let (_, trace) = record(|| one);
        assert_eq!(rules(&trace), Vec::<usize>::new(), "a copy reads nothing");
    }

    #[test]
    fn only_the_outermost_formula_is_a_call_and_all_are_named() {
        let quantity = Quantity::new(crate::quantity::Kind::Ratio, 1.0);
        let call =
            |formula| move |_: &i32| Some(Call { formula, text: "", inputs: Vec::new(), output: quantity });
        let outer = || formula("a.outer", || formula("a.inner", || 7, call("a.inner")), call("a.outer"));
        let (_, trace) = record(outer);
        assert_eq!(trace.formulas(), ["a.inner", "a.outer"]);
        assert_eq!(trace.calls().iter().map(|call| call.formula).collect::<Vec<_>>(), ["a.outer"]);
    }

    #[test]
    fn a_scope_is_closed_when_its_reckoning_panics() {
        let panics = std::panic::catch_unwind(|| record(|| panic!("on purpose")));
        assert!(panics.is_err());
        assert_eq!(OPEN.with_borrow(Vec::len), 0);
    }
}

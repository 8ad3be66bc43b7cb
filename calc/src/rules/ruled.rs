//! How a topic declares its rules, and how they are read.

use std::marker::PhantomData;
use std::ops::{Deref, DerefMut, Index, RangeInclusive};

use super::{Band, RuleValue, Topic};
use crate::document::Table;
use crate::quantity::{Currency, Dimension, Kind, Money, ParseError, Quantity, parse_as};
use crate::trace;

/// The value of a rule. Reading it, through `*` or a method of the value, is noted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ruled<T> {
    value: T,
    /// Its place in [`Rules::all`](super::Rules::all).
    place: usize,
}

impl<T> Ruled<T> {
    pub(super) fn new(value: T, place: usize) -> Self {
        Ruled { value, place }
    }
}

impl<T> Deref for Ruled<T> {
    type Target = T;

    fn deref(&self) -> &T {
        trace::note_rule(self.place);
        &self.value
    }
}

impl<T> DerefMut for Ruled<T> {
    fn deref_mut(&mut self) -> &mut T {
        &mut self.value
    }
}

/// What a rule can hold.
pub trait Ruling: Sized {
    /// Reads it from the table of its rule, with what pages print of it.
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)>;
}

fn quantity(
    table: &mut Table<'_>,
    key: &str,
    kind: Kind,
    range: Option<RangeInclusive<&str>>,
) -> Option<Quantity> {
    match range {
        Some(range) => table.quantity_of(key, kind, range),
        None => table.quantity_of_any_size(key, kind),
    }
}

impl<D: Dimension> Ruling for D {
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let quantity = quantity(table, "value", D::KIND, range)?;
        Some((D::from_si(quantity.si), RuleValue::One(quantity)))
    }
}

impl<D: Dimension> Ruling for Band<D> {
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let (low, high) = read_band(table, D::KIND, range)?;
        Some((Band { low: D::from_si(low.si), high: D::from_si(high.si) }, RuleValue::Band(low, high)))
    }
}

/// An amount in whatever money its text names.
impl Ruling for Money {
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let currency = table.maybe_text("value").and_then(|text| Currency::of_amount(&text));
        let kind = Kind::Money(currency.unwrap_or(Currency::USD));
        let quantity = quantity(table, "value", kind, range)?;
        Some((Money { amount: quantity.si, currency: currency? }, RuleValue::One(quantity)))
    }
}

/// From `low` to `high`.
pub(super) fn read_band(
    table: &mut Table<'_>,
    kind: Kind,
    range: Option<RangeInclusive<&str>>,
) -> Option<(Quantity, Quantity)> {
    let (low, high) = (quantity(table, "low", kind, range.clone()), quantity(table, "high", kind, range));
    let (low, high) = (low?, high?);
    if low.si >= high.si {
        table.refuse("high", "`high` is not above `low`", "swap them, or write another end");
        return None;
    }
    Some((low, high))
}

/// Several values; they always declare a range.
impl<D: Dimension> Ruling for Vec<D> {
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let list = table.quantities("values", D::KIND, range?)?;
        Some((list.iter().map(|quantity| D::from_si(quantity.si)).collect(), RuleValue::List(list)))
    }
}

/// The coefficients of a formula: plain numbers, in the order of their source.
impl<const N: usize> Ruling for [f64; N] {
    fn read(table: &mut Table<'_>, _: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let numbers = table.numbers("values")?;
        if numbers.len() != N {
            let message = format!("`values` holds {} numbers", numbers.len());
            table.refuse("values", message, format!("it must hold {N}, in the order of the source"));
        }
        let listed = numbers.iter().map(|value| Quantity::new(Kind::Ratio, *value)).collect();
        Some((numbers.try_into().ok()?, RuleValue::List(listed)))
    }
}

/// A whole number.
impl Ruling for usize {
    fn read(table: &mut Table<'_>, range: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let quantity = quantity(table, "value", Kind::Ratio, range)?;
        Some((quantity.si as usize, RuleValue::One(quantity)))
    }
}

/// The key by which a table says that only pages print its rule, so that no topic has to declare it:
/// `used_by = "pages"`.
pub(super) const USED_BY: &str = "used_by";

/// A rule that only pages print: its unit tells what it measures.
pub(super) struct OfPages;

impl Ruling for OfPages {
    fn read(table: &mut Table<'_>, _: Option<RangeInclusive<&str>>) -> Option<(Self, RuleValue)> {
        let by_pages = table.choice(USED_BY, &[("pages", ())]);
        if table.has("low") || table.has("high") {
            let (low, high) = (quantity_by_unit(table, "low"), quantity_by_unit(table, "high"));
            return by_pages.and(Some((OfPages, RuleValue::Band(low?, high?))));
        }
        let value = quantity_by_unit(table, "value")?;
        by_pages.map(|()| (OfPages, RuleValue::One(value)))
    }
}

fn quantity_by_unit(table: &mut Table<'_>, key: &str) -> Option<Quantity> {
    let text = table.text(key)?;
    let read = match parse_as(Kind::Ratio, &text) {
        Err(ParseError::WrongKind { found, .. }) => parse_as(found, &text),
        read => read,
    };
    read.map_err(|error| table.refuse(key, error.to_string(), error.help())).ok()
}

/// Things that each have a rule of their own in a topic, such as the grades of sand.
pub trait Family: Copy + PartialEq + 'static {
    /// All of them, in the order of their rules.
    const ALL: &'static [Self];
    /// What the key of its rule ends in.
    fn key(self) -> &'static str;
}

/// A rule for each member of a family.
#[derive(Debug, Clone)]
pub struct Each<F, T> {
    rules: Vec<Ruled<T>>,
    family: PhantomData<F>,
}

impl<F, T> Each<F, T> {
    pub(super) fn new(rules: Vec<Ruled<T>>) -> Self {
        Each { rules, family: PhantomData }
    }
}

impl<F: Family, T> Index<F> for Each<F, T> {
    type Output = Ruled<T>;

    fn index(&self, member: F) -> &Ruled<T> {
        &self.rules[F::ALL.iter().position(|other| *other == member).unwrap_or_default()]
    }
}

/// The rules of one file.
pub(super) trait RuleFile: Sized {
    /// The name of the file, without its ending.
    const TOPIC: &'static str;
    /// Reads the file.
    fn read(topic: &mut Topic<'_, '_, '_>) -> Option<Self>;
}

/// Declares the rules of a topic: each with its key, what it holds, and the range its values must lie in.
///
/// Under `each` stand rules for every member of a family: before the name, what the keys of the members
/// follow. Under `kinds` stands the rule that each kind of livestock brings along.
macro_rules! rules {
    (
        $(#[$about:meta])*
        pub struct $name:ident in $topic:literal {
            $(each { $(
                $(#[$each_doc:meta])*
                $prefix:literal $each:ident: $family:ty, $each_value:ty $(=> $each_low:literal ..= $each_high:literal)?,
            )* })?
            $(kinds {
                $(#[$kinds_doc:meta])*
                $kinds:ident: $dimension:ty,
            })?
            $(
                $(#[$doc:meta])*
                pub $field:ident: $value:ty $(=> $low:literal ..= $high:literal)?,
            )*
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone)]
        pub struct $name {
            $($($(#[$each_doc])* $each: $crate::rules::Each<$family, $each_value>,)*)?
            $($(#[$kinds_doc])* $kinds: $crate::rules::OfKinds<$dimension>,)?
            $($(#[$doc])* pub $field: $crate::rules::Ruled<$value>,)*
        }

        impl $crate::rules::ruled::RuleFile for $name {
            const TOPIC: &'static str = $topic;

            fn read(topic: &mut $crate::rules::Topic<'_, '_, '_>) -> Option<Self> {
                $($(let $each = topic.each($prefix, $crate::rules::ruled::range!($($each_low $each_high)?));)*)?
                $(let $kinds = topic.of_kinds();)?
                $(let $field = topic.rule(stringify!($field), $crate::rules::ruled::range!($($low $high)?));)*
                Some($name { $($($each: $each?,)*)? $($kinds: $kinds?,)? $($field: $field?,)* })
            }
        }
    };
}

macro_rules! range {
    () => {
        None
    };
    ($low:literal $high:literal) => {
        Some($low..=$high)
    };
}

pub(crate) use {range, rules};

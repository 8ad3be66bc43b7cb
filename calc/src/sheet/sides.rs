//! One value prints in one way: how it is rounded belongs to the value, and all that repeats the value
//! inherits it.
//!
//! A topic says once, at the figure, that it may never be printed too small or too large. A table, a reason,
//! a sum or a chart that prints the same value says nothing: when the sheet is done, it takes over what the
//! figure chose. Two values that are held against each other are printed with as many digits as it takes to
//! see which is the larger.

use std::cmp::Ordering;

use super::{Figure, Sheet, Table, Value};
use crate::name::Name;
use crate::ordered::sort_by;
use crate::quantity::{Quantity, Rounding, Shown, is_told_apart, show_finer};

/// How one value is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Side {
    /// Which way it is rounded.
    pub(super) rounding: Rounding,
    /// How many digits more than usual it keeps.
    pub(super) finer: u32,
}

/// How the values of a sheet are printed, by kind and size.
#[derive(Debug, Clone, Default)]
pub(super) struct Sides {
    /// All that are printed as one value; a side that somebody chose goes before the nearest step.
    printed: Vec<(Quantity, Side)>,
    /// The ends of ranges, which round outward.
    ends: Vec<(Quantity, Side)>,
}

/// Values of one kind that differ by less than this share are one value, reckoned in two orders.
const SAME: f64 = 1e-9;
/// So many digits more tell any two values apart that are not one.
const MOST: u32 = 9;

fn is_same(one: Quantity, other: Quantity) -> bool {
    one.kind == other.kind && (one.si - other.si).abs() <= SAME * one.si.abs().max(other.si.abs())
}

fn by_size(one: Quantity, other: Quantity) -> Ordering {
    one.kind.cmp(&other.kind).then(one.si.total_cmp(&other.si))
}

/// Sorted, one of equals kept: the first that chose a side, with the most digits that any of them asks for.
fn sorted(mut sides: Vec<(Quantity, Side)>) -> Vec<(Quantity, Side)> {
    sort_by(&mut sides, |one, other| by_size(one.0, other.0));
    sides.dedup_by(|later, first| {
        let same = is_same(later.0, first.0);
        if same {
            let finer = first.1.finer.max(later.1.finer);
            if first.1.rounding == Rounding::Nearest {
                first.1 = later.1;
            }
            first.1.finer = finer;
        }
        same
    });
    sides
}

fn find(sides: &[(Quantity, Side)], value: Quantity) -> Option<usize> {
    let at = sides.partition_point(|(other, _)| by_size(*other, value) == Ordering::Less);
    [at.checked_sub(1), Some(at)]
        .into_iter()
        .flatten()
        .find(|at| sides.get(*at).is_some_and(|(other, _)| is_same(*other, value)))
}

fn to_side(rounding: Rounding) -> Side {
    Side { rounding, finer: 0 }
}

impl Sides {
    /// What figures and the terms of sums ask for; where two ask for different sides of one value, the first
    /// in the list decides.
    fn of<'p>(
        figures: impl Iterator<Item = &'p Figure>,
        terms: impl Iterator<Item = (Quantity, Rounding)>,
    ) -> Self {
        let (mut printed, mut ends) = (Vec::new(), Vec::new());
        for figure in figures {
            match figure.value {
                Value::One(value) => {
                    printed.push((value, Side { rounding: figure.rounding, finer: figure.finer }))
                }
                Value::Range(low, high) => {
                    ends.extend([(low, to_side(Rounding::Down)), (high, to_side(Rounding::Up))])
                }
                Value::Words(_) => {}
            }
        }
        printed.extend(terms.map(|(value, rounding)| (value, to_side(rounding))));
        Sides { printed: sorted(printed), ends: sorted(ends) }
    }

    fn side(&self, value: Quantity) -> Side {
        find(&self.printed, value).map_or_else(Side::default, |at| self.printed[at].1)
    }

    fn set(&mut self, value: Quantity, side: Side) {
        match find(&self.printed, value) {
            Some(at) => self.printed[at].1 = side,
            None => {
                let at = self.printed.partition_point(|(other, _)| by_size(*other, value) == Ordering::Less);
                self.printed.insert(at, (value, side));
            }
        }
    }

    /// Gives two values that are held against each other the digits that tell them apart. Whether anything
    /// changed.
    fn tell_apart(&mut self, one: Quantity, other: Quantity) -> bool {
        if is_same(one, other) {
            return false;
        }
        let (mut first, mut second) = (self.side(one), self.side(other));
        let mut changed = false;
        while !is_told_apart((one, first.rounding, first.finer), (other, second.rounding, second.finer)) {
            let finer = first.finer.min(second.finer) + 1;
            if finer > MOST {
                break;
            }
            (first.finer, second.finer) = (first.finer.max(finer), second.finer.max(finer));
            changed = true;
        }
        if changed {
            self.set(one, first);
            self.set(other, second);
        }
        changed
    }
}

/// The side of the range that a figure repeats one end of.
fn side_of_input(
    figure: &Figure,
    value: Quantity,
    ranges: &[(&str, Quantity, Quantity)],
) -> Option<Rounding> {
    let rules = figure.rules.iter().map(|id| ("rule.", &**id));
    let behind: Vec<_> = figure.inputs.iter().map(|id| ("", &**id)).chain(rules).collect();
    ranges
        .iter()
        .filter(|(id, ..)| behind.iter().any(|(prefix, name)| id.strip_prefix(prefix) == Some(*name)))
        .find_map(|(_, low, high)| {
            let end = |end: Quantity, side| is_same(end, value).then_some(side);
            end(*low, Rounding::Down).or(end(*high, Rounding::Up))
        })
}

impl Sheet {
    /// A value that is no figure of its own, as this sheet prints it: like the figure or the range that has
    /// it, else to the nearest step.
    pub fn shown(&self, value: Quantity) -> Shown {
        self.shown_to(value, Rounding::Nearest)
    }

    /// As [`Sheet::shown`], but rounded to a side where no figure or range has the value.
    pub fn shown_to(&self, value: Quantity, rounding: Rounding) -> Shown {
        let Side { rounding, finer } = match find(&self.sides.printed, value) {
            Some(at) => self.sides.printed[at].1,
            None => find(&self.sides.ends, value).map_or(to_side(rounding), |at| self.sides.ends[at].1),
        };
        show_finer(value, rounding, finer)
    }

    /// From which figures and cells each takes how it is printed: they have its value, or are held against it.
    pub fn printed_like(&self) -> Vec<(&Figure, Vec<Name>)> {
        let figures: Vec<_> =
            self.figures.iter().chain(self.tables.values().flat_map(Table::figures)).collect();
        let value = |figure: &Figure| match figure.value {
            Value::One(value) => Some(value),
            _ => None,
        };
        let mut by_value: Vec<_> =
            figures.iter().filter_map(|figure| Some((value(figure)?, *figure))).collect();
        sort_by(&mut by_value, |one, other| by_size(one.0, other.0));
        let of_value = |own: Quantity| {
            let at = by_value.partition_point(|(other, _)| {
                by_size(*other, own) == Ordering::Less && !is_same(*other, own)
            });
            by_value[at..]
                .iter()
                .take_while(move |(other, _)| is_same(*other, own))
                .map(|(_, figure)| *figure)
        };
        let like = |figure: &Figure| {
            let (rounding, finer) = figure.asked;
            let own = value(figure).filter(|own| self.sides.side(*own) != Side { rounding, finer });
            let others = own.into_iter().flat_map(|own| {
                let held = of_value(own).filter_map(|other| other.against).flat_map(of_value);
                of_value(own).chain(held).filter(|other| other.id != figure.id).collect::<Vec<_>>()
            });
            let others = others.map(|other| other.id.as_str().into());
            figure.printed_like.iter().cloned().chain(others).collect()
        };
        figures.iter().map(|figure| (*figure, like(figure))).collect()
    }

    /// Gives every print of a value the side of the figure that chose one.
    pub(super) fn settle(&mut self) {
        let range = |figure: &Figure| match figure.value {
            Value::Range(low, high) => Some((figure.id.clone(), low, high)),
            _ => None,
        };
        let ranges: Vec<_> = self.figures.iter().filter_map(range).collect();
        let ranges: Vec<_> = ranges.iter().map(|(id, low, high)| (id.as_str(), *low, *high)).collect();
        let cells = || self.tables.values().flat_map(Table::figures);
        let sums = self.workings.values().flat_map(|working| &working.sums);
        let terms = sums.flat_map(|sum| &sum.terms).filter_map(|(_, item)| item.rounded_to());
        let mut sides = Sides::of(self.figures.iter().chain(cells()), terms);
        for figure in cells().filter(|figure| figure.against.is_some()) {
            if let Value::One(value) = figure.value
                && sides.side(value).rounding == Rounding::Nearest
                && let Some(rounding) = side_of_input(figure, value, &ranges)
            {
                sides.set(value, to_side(rounding));
            }
        }
        let held: Vec<_> = self
            .figures
            .iter()
            .chain(cells())
            .filter_map(|figure| match figure.value {
                Value::One(value) => Some((value, figure.against?)),
                _ => None,
            })
            .collect();
        // More digits for one pair may call for more in another that shares a value.
        for _ in 0..MOST {
            if !held.iter().fold(false, |changed, (one, other)| sides.tell_apart(*one, *other) || changed) {
                break;
            }
        }
        let cells = self.tables.values_mut().flat_map(Table::figures_mut);
        for figure in self.figures.iter_mut().chain(cells) {
            if let Value::One(value) = figure.value {
                let side = sides.side(value);
                figure.asked = (figure.rounding, figure.finer);
                if figure.rounding == Rounding::Nearest {
                    figure.rounding = side.rounding;
                }
                figure.finer = side.finer;
            }
        }
        for sum in self.workings.values_mut().flat_map(|working| &mut working.sums) {
            sum.settle(|quantity| sides.side(quantity));
        }
        self.sides = sides;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Kind;

    fn flow(litres: f64) -> Quantity {
        Quantity::new(Kind::Flow, litres * 1e-3 / 3600.0)
    }

    #[test]
    fn a_value_takes_the_side_that_a_figure_of_its_size_chose() {
        let figures = [
            Figure::new("a", "", flow(5600.0)).never_above(),
            Figure::new("b", "", flow(124.0)).never_below(),
            Figure::new("c", "", flow(5600.0)).never_below(),
            Figure::new("d", "", flow(700.0)),
            Figure::new("e", "", flow(124.0 * (1.0 - 1e-12))),
        ];
        let sides = Sides::of(figures.iter(), [(flow(88.0), Rounding::Up)].into_iter());
        let side = |litres: f64| sides.side(flow(litres)).rounding;
        assert_eq!(
            [side(5600.0), side(5600.0 * (1.0 + 1e-12)), side(124.0)],
            [Rounding::Down, Rounding::Down, Rounding::Up]
        );
        assert_eq!([side(5601.0), side(700.0), side(0.0)], [Rounding::Nearest; 3]);
        assert_eq!(side(88.0), Rounding::Up, "the term of a sum");
        assert_eq!(
            sides.side(Quantity::new(Kind::Speed, flow(124.0).si)).rounding,
            Rounding::Nearest,
            "another kind"
        );
    }

    #[test]
    fn values_held_against_each_other_get_the_digits_that_tell_them_apart() {
        let mut sides =
            Sides::of([Figure::new("least", "", flow(1137.0)).never_above()].iter(), std::iter::empty());
        assert!(sides.tell_apart(flow(1130.0), flow(1137.0)));
        let shown = |litres: f64| {
            let side = sides.side(flow(litres));
            show_finer(flow(litres), side.rounding, side.finer).metric.number
        };
        assert_eq!([shown(1130.0), shown(1137.0)], ["1130", "1135"]);
        // Those that can be told apart keep their steps.
        assert!(!sides.tell_apart(flow(300.0), flow(400.0)));
        assert_eq!(sides.side(flow(300.0)), Side::default());
        assert!(!sides.tell_apart(flow(300.0), flow(300.0)));
    }
}

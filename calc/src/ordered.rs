//! Sorting, and maps by name, that stay small in a browser.
//!
//! The standard library makes its sorting and its tree maps anew for each type. With those in place of these the
//! WebAssembly had 1,543,695 bytes in place of 1,431,029, and 544,273 packed in place of 522,780. Here the places
//! are sorted and looked up, by code that is there once; what is left for each type is short.

use std::borrow::Borrow;
use std::cmp::Ordering;
use std::ops::Index;

/// Sorts; equals keep their order.
pub fn sort_by<T>(items: &mut Vec<T>, order: impl Fn(&T, &T) -> Ordering) {
    let sorted = sorted(items.len(), &|one, other| order(&items[one], &items[other]));
    let mut left: Vec<_> = items.drain(..).map(Some).collect();
    items.extend(sorted.into_iter().filter_map(|place| left[place].take()));
}

/// Sorts a handful; equals keep their order.
pub(crate) fn sort_few<T>(items: &mut [T], order: impl Fn(&T, &T) -> Ordering) {
    for end in 1..items.len() {
        let mut at = end;
        while at > 0 && order(&items[at - 1], &items[at]).is_gt() {
            items.swap(at - 1, at);
            at -= 1;
        }
    }
}

/// The places of so many things, in their order.
pub(crate) fn sorted(count: usize, order: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<_> = (0..count).collect();
    places.sort_by(|one, other| order(*one, *other));
    places
}

/// Where a name stands among so many that are sorted, or would stand.
pub(crate) fn place<'n>(count: usize, named: &dyn Fn(usize) -> &'n str, name: &str) -> Result<usize, usize> {
    let (mut low, mut high) = (0, count);
    while low < high {
        let middle = low.midpoint(high);
        match named(middle).cmp(name) {
            Ordering::Less => low = middle + 1,
            Ordering::Equal => return Ok(middle),
            Ordering::Greater => high = middle,
        }
    }
    Err(low)
}

/// Values by their names, in the order of these.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Map<K, V>(Vec<(K, V)>);

impl<K, V> Default for Map<K, V> {
    fn default() -> Self {
        Map(Vec::new())
    }
}

impl<K: Borrow<str>, V> Map<K, V> {
    fn place(&self, name: &str) -> Result<usize, usize> {
        place(self.0.len(), &|at| self.0[at].0.borrow(), name)
    }

    /// The value of a name.
    pub fn get(&self, name: &str) -> Option<&V> {
        self.place(name).ok().map(|at| &self.0[at].1)
    }

    /// Whether there is one of this name.
    pub fn contains_key(&self, name: &str) -> bool {
        self.place(name).is_ok()
    }

    /// Gives a name its value, in place of the one that it had.
    pub fn insert(&mut self, name: K, value: V) {
        match self.place(name.borrow()) {
            Ok(at) => self.0[at].1 = value,
            Err(at) => self.0.insert(at, (name, value)),
        }
    }

    /// Takes out the value of a name.
    pub fn remove(&mut self, name: &str) -> Option<V> {
        self.place(name).ok().map(|at| self.0.remove(at).1)
    }

    /// Keeps those of which `is_kept` says so.
    pub fn retain(&mut self, mut is_kept: impl FnMut(&K, &V) -> bool) {
        self.0.retain(|(name, value)| is_kept(name, value));
    }
}

impl<K, V> Map<K, V> {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Names and values.
    pub fn iter(&self) -> Iter<'_, K, V> {
        self.0.iter().map(|(name, value)| (name, value))
    }

    /// The names.
    pub fn keys(&self) -> impl DoubleEndedIterator<Item = &K> {
        self.0.iter().map(|(name, _)| name)
    }

    /// The values.
    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> {
        self.0.iter().map(|(_, value)| value)
    }

    /// The values, to be changed.
    pub fn values_mut(&mut self) -> impl DoubleEndedIterator<Item = &mut V> {
        self.0.iter_mut().map(|(_, value)| value)
    }
}

impl<K: Borrow<str>, V> Index<&str> for Map<K, V> {
    type Output = V;

    /// # Panics
    /// When there is no such name.
    fn index(&self, name: &str) -> &V {
        match self.place(name) {
            Ok(at) => &self.0[at].1,
            Err(_) => panic!("there is no `{name}`"),
        }
    }
}

impl<K: Borrow<str>, V> FromIterator<(K, V)> for Map<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(entries: I) -> Self {
        let mut map = Map::default();
        entries.into_iter().for_each(|(name, value)| map.insert(name, value));
        map
    }
}

impl<'m, K, V> IntoIterator for &'m Map<K, V> {
    type Item = (&'m K, &'m V);
    type IntoIter = Iter<'m, K, V>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// The names and values of a map.
pub type Iter<'m, K, V> = std::iter::Map<std::slice::Iter<'m, (K, V)>, fn(&'m (K, V)) -> (&'m K, &'m V)>;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    proptest! {
        #[test]
        fn equals_keep_their_order(items: Vec<(u8, u16)>) {
            let (mut own, mut standard) = (items.clone(), items);
            let mut few = own.clone();
            sort_by(&mut own, |(one, _), (other, _)| one.cmp(other));
            sort_few(&mut few, |(one, _), (other, _)| one.cmp(other));
            standard.sort_by_key(|(key, _)| *key);
            prop_assert_eq!(&own, &standard);
            prop_assert_eq!(few, standard);
        }

        #[test]
        fn a_map_holds_what_the_standard_one_holds(entries in prop::collection::vec(("[a-c]{0,2}", any::<u8>()), 0..40), gone in "[a-c]{0,2}") {
            let (mut own, mut standard): (Map<String, u8>, BTreeMap<String, u8>) =
                (entries.iter().cloned().collect(), entries.into_iter().collect());
            prop_assert_eq!(own.get(&gone), standard.get(&gone));
            prop_assert_eq!(own.contains_key(&gone), standard.contains_key(&gone));
            prop_assert_eq!(own.remove(&gone), standard.remove(&gone));
            prop_assert_eq!(own.iter().collect::<Vec<_>>(), standard.iter().collect::<Vec<_>>());
            prop_assert_eq!(own.len(), standard.len());
        }
    }
}

//! The ids of the parts of a sheet, each declared once, where its topic puts it on the sheet.

use std::fmt;
use std::marker::PhantomData;

/// The id of a figure, with the type of its value: whoever reads the figure by it gets that type back.
pub struct Id<T> {
    name: &'static str,
    value: PhantomData<fn() -> T>,
}

impl<T> Id<T> {
    /// Declares an id: topic and name, such as `tank.water`.
    pub const fn new(name: &'static str) -> Self {
        Id { name, value: PhantomData }
    }

    /// The id as pages write it.
    pub const fn name(self) -> &'static str {
        self.name
    }
}

impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Id<T> {}

impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

impl<T> From<Id<T>> for String {
    fn from(id: Id<T>) -> Self {
        id.name.to_owned()
    }
}

//! The ids of what stands on a sheet, each declared once, by topic.

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident: $value:ty = $id:literal;)*) => {
        $($(#[$doc])* pub(crate) const $name: $crate::sheet::Id<$value> = $crate::sheet::Id::new($id);)*

        /// All of them.
        #[cfg(test)]
        pub(super) const ALL: &[&str] = &[$($id),*];
    };
}

use ids;

pub(crate) mod mixing;
pub(crate) mod turnover;
pub(crate) mod volume;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    #[test]
    fn no_id_is_declared_twice() {
        let all = [super::mixing::ALL, super::turnover::ALL, super::volume::ALL].concat();
        assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len());
    }
}

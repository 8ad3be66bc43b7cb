//! What pumps cost over the years.

use crate::quantity::Money;

super::ids! {
    /// What counts as the cost of the catalogue's pumps over the years.
    COUNTED: String = "cost.counted";
    /// What counts as the cost of the trade's pumps over the years.
    COUNTED_KINDS: String = "cost.counted_kinds";
    /// What to write to have the energy counted.
    ADVICE: String = "cost.advice";
    /// What one EUR buys.
    EXCHANGE: Money = "cost.exchange";
}

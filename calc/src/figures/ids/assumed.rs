//! What the book assumes of a tank.

super::ids! {
    /// What the tank file leaves out and the book assumes.
    TANK_ASSUMED: String = "tank.assumed";
}

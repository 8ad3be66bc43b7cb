//! The `reckoner` command.
fn main() {}

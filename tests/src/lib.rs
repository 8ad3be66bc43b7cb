//! What the tests across crates share.

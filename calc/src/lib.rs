//! The calculation crate of the Reef Reckoner.

//! The mdBook preprocessor of the Reef Reckoner.

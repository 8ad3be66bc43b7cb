//! The mdBook preprocessor of the Reef Reckoner.
//!
//! Its rooms, from the ground up; each knows only those below it, which a test holds:
//!
//! | room | what it does |
//! | --- | --- |
//! | [`diagnostic`] | says what is wrong and where |
//! | [`wasm`] | the WebAssembly that reckons in the browser, and whether it is made from the same sources |
//! | [`files`] | reads files and names them in messages |
//! | [`prose`] | reads what an author wrote, and refuses numbers typed by hand and stories about the reader's tank |
//! | [`edition`] | what a build is made from: rules, tanks, club and cautions, and the sheets reckoned from them |
//! | [`chapter`] | puts the figures, as `reckoner-page` draws them, into a chapter, and reads the chapter as a reader does |
//! | [`proof`] | checks, sums, the ledger, and the parts of the book that show them |
//! | [`site`] | takes all chapters the whole way, for our own build and for a stock `mdbook build` |
//! | [`handout`] | makes sheets and booklets for paper, and has a browser print them |
//! | [`command`] | what each command of `reckoner` does |

pub mod chapter;
pub mod command;
pub mod diagnostic;
pub mod edition;
pub mod files;
pub mod handout;
pub mod proof;
pub mod prose;
pub mod site;
pub mod wasm;

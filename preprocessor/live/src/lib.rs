//! Reckons a reader's own tank where there are only texts: in a browser, as WebAssembly.
//!
//! Rules, catalogue and tank are handed in as texts; nothing of them is compiled in, so that a changed rule
//! or pump needs no compiler. What comes out is what the commands of `reckoner` print, byte for byte, and the
//! parts of the pages by their keys.
//!
//! From the ground up: [`fault`] says what is wrong with a text and where; [`live`] reckons; `message` packs
//! texts into bytes; [`desk`] answers questions in such bytes; [`boundary`] is all that a page's script can
//! call, and the one file with unsafe code.

pub mod boundary;
pub mod desk;
pub mod fault;
pub mod live;
mod message;

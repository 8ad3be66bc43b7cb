//! One chapter: [`template`] writes it for every tank, with the [`functions`] that a chapter can call;
//! [`forme`] locks it up with gaps for the parts of a tank. [`plain`] reads what is set of it as a reader
//! does, and [`reading`] says how hard that is. [`record`] holds what the functions write down for the proof.

pub mod forme;
pub mod functions;
pub mod plain;
pub mod reading;
pub mod record;
pub mod template;

//! One chapter: [`template`] puts the figures in, with the [`functions`] that a chapter can call; [`lacking`]
//! takes out what its tank lacks, and [`captions`] numbers tables and figures. [`plain`] reads the outcome as
//! a reader does, and [`reading`] says how hard that is. [`record`] holds what the functions write down for
//! the proof.

pub mod captions;
pub mod functions;
pub mod lacking;
pub mod plain;
pub mod reading;
pub mod record;
pub mod template;

//! What an author wrote, before any figure is put in: [`tags`] tells where the template tags are, `names`
//! what they name, `html` where HTML is among the words; [`lint`] refuses numbers typed by hand, [`hidden`]
//! characters that do not show, [`markup`] HTML that does not match, and [`stories`] what is told of the
//! reader's tank.

pub mod hidden;
pub(crate) mod html;
pub mod lint;
pub mod markup;
pub(crate) mod names;
pub mod stories;
pub mod tags;

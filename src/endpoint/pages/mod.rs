//! What people are shown: pages for phones, first of all, that work without a script and in the sun.
//!
//! Ink on white. A solid block is a thing done, a striped one a refusal; yellow and orange belong to cautions alone.

mod fasteners;
mod form;
pub mod hardware;
pub mod home;
pub mod join;
pub mod layout;
pub mod load;
mod load_list;
mod load_parts;
pub mod not_a_piece;
mod outcome;
pub mod people;
pub mod refused;
mod remade;
mod report;
pub mod reported;
pub mod roof;
mod roof_marks;
mod roof_parts;
mod safety;
mod signs;
mod workings;

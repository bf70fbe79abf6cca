//! The trade's computation: lengths, metals, bends, cross-sections, ends and blanks. Pure functions, no I/O.

pub mod bending;
pub mod caution;
pub mod cut;
pub mod length;
pub mod mass;
pub mod metal;
pub mod pitch;
pub mod profile;
pub mod section;
pub mod split;
pub mod tie_downs;
pub mod working;

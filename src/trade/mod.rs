//! The trade's computation: lengths, metals, bends, cross-sections, ends, blanks, runs, hardware and loads. Pure functions,
//! no I/O.

pub mod bend_order;
pub mod bending;
pub mod brake;
pub mod caution;
pub mod cut;
pub mod expansion;
pub mod hardware;
pub mod length;
pub mod lifting;
pub mod load;
pub mod mass;
pub mod metal;
pub mod mitre;
pub mod pitch;
pub mod plane;
pub mod profile;
pub mod sealant;
pub mod section;
pub mod shape;
pub mod split;
pub mod test_bend;
pub mod tie_downs;
pub mod tolerance;
pub mod trim;
pub mod working;

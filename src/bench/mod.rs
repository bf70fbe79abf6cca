//! The bench: the touchscreen at the brake.
//!
//! It is a client of the endpoint like any other and knows neither SQL nor geometry. [`desk`] is the state machine,
//! [`worker`] gives it threads and the network, [`screen`] is what passes between it and the Slint side ([`window`],
//! [`adapters`]).

pub mod adapters;
pub mod api;
mod cards;
pub mod desk;
mod intent;
pub mod last_heard;
pub mod memory;
mod pad;
pub mod run;
pub mod screen;
pub mod window;
pub mod worker;

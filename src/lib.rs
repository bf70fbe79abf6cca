//! The kiosk beside the brake: from a measured wall to a label scanned on the roof.
//!
//! The rooms, each of which may use those named before it: [`trade`] computes, [`order`] reads and plans, [`words`] says it in
//! another language, [`drawing`] pictures, [`store`] remembers, [`label`] prints, [`endpoint`] answers, [`bench`] is touched;
//! [`commands`] puts them to work.

pub mod bench;
pub mod commands;
pub mod drawing;
pub mod endpoint;
pub mod label;
pub mod order;
pub mod store;
pub mod trade;
pub mod words;

//! The endpoint: what the kiosk answers over HTTP.
//!
//! A pure function from [`http::Request`] to [`http::Response`] over the store: `router` finds what a path means, `auth`
//! who may ask, `api` answers programs in JSON and `pages` people in HTML. `problem` turns whatever goes wrong into one
//! kind of answer. [`door`] carries them over the network.

mod api;
mod auth;
mod body;
pub mod clock;
pub mod door;
mod etag;
pub mod http;
mod intake;
mod kiosk;
mod labels;
mod lookup;
mod on_piece;
mod pages;
mod people;
mod pin;
pub mod printing;
mod problem;
mod query;
mod router;

#[cfg(test)]
mod fixture;

pub use kiosk::{Kiosk, KioskError};

//! The endpoint: what the kiosk answers over HTTP.
//!
//! `http` holds the plain request and response that the router is a function of; `door` carries them
//! over the network.

pub mod door;
pub mod http;

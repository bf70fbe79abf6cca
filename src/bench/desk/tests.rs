//! The desk without threads or a network: messages in, requests and screens out.

mod alike;
pub(super) mod fixture;
mod labelling;
mod measuring;
mod pages;
mod random;
mod remaking;
mod scanning;
mod sharing;
mod shop;
mod walking;

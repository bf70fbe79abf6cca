//! The desk without threads or a network: messages in, requests and screens out.

mod alike;
mod away;
mod disputes;
pub(super) mod fixture;
mod in_step;
mod labelling;
mod measuring;
mod pages;
mod random;
mod remaking;
mod scanning;
mod scrapped;
mod sharing;
mod shop;
mod walking;

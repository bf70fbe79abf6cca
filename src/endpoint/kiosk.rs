//! The kiosk as the router sees it: the store, the shop and its key, where labels lead, and the clock.

use std::sync::Arc;

use thiserror::Error;

use super::clock::Clock;
use super::door::Handler;
use super::http::{Request, Response};
use super::pin::Tries;
use super::printing::Printing;
use super::router;
use crate::label::code::Code;
use crate::label::url::Address;
use crate::order::shop::Shop;
use crate::store::{Store, StoreError};

/// The program's version, as `/healthz` says it.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Where the store keeps the shop's key.
const KEY_SETTING: &str = "shop-key";

/// Everything an answer is made from.
pub struct Kiosk {
    store: Store,
    address: Address,
    key: Code,
    clock: Clock,
    /// What incoming orders are checked against.
    shop: Arc<Shop>,
    /// New at each start: see the store's revisions.
    start: Code,
    /// PINs that were tried lately.
    tries: Tries,
    printing: Printing,
}

/// Why there is no kiosk.
#[derive(Debug, Error)]
pub enum KioskError {
    #[error("the system has no randomness to give, and the shop's key needs some: {0}")]
    Random(#[from] getrandom::Error),
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Kiosk {
    /// A kiosk on this store for `shop`, whose labels lead to `address`. The shop's key is made once and kept in the store.
    ///
    /// # Errors
    /// [`KioskError`] when the key can be neither read nor made.
    pub fn new(store: Store, address: Address, clock: Clock, shop: Arc<Shop>) -> Result<Self, KioskError> {
        let key = shop_key(&store)?;
        Ok(Self {
            store,
            address,
            key,
            clock,
            shop,
            start: Code::random()?,
            tries: Tries::default(),
            printing: Printing::none(),
        })
    }

    /// With a label printer. A clerk must be set to work on it: see [`printing::start`](super::printing::start).
    #[must_use]
    pub fn with_printing(self, printing: Printing) -> Self {
        Self { printing, ..self }
    }

    pub fn printing(&self) -> &Printing {
        &self.printing
    }

    pub fn store(&self) -> &Store {
        &self.store
    }

    /// Whoever holds it may do all that the endpoint offers. Shown with [`Code::spaced`], read in any spacing and case.
    pub fn key(&self) -> &Code {
        &self.key
    }

    pub(super) fn address(&self) -> &Address {
        &self.address
    }

    pub(super) fn clock(&self) -> &Clock {
        &self.clock
    }

    /// Milliseconds UTC.
    pub(super) fn now(&self) -> i64 {
        (self.clock.now)()
    }

    pub(super) fn shop(&self) -> &Arc<Shop> {
        &self.shop
    }

    pub(super) fn start(&self) -> &Code {
        &self.start
    }

    pub(super) fn tries(&self) -> &Tries {
        &self.tries
    }
}

impl Handler for Kiosk {
    fn handle(&self, request: &Request) -> Response {
        router::answer(self, request)
    }
}

fn shop_key(store: &Store) -> Result<Code, KioskError> {
    // A setting that is no code can only have been put there by hand: a new key locks nobody out for long.
    let known = store.setting(KEY_SETTING)?.and_then(|text| Code::parse(&text).ok());
    match known {
        Some(key) => Ok(key),
        None => {
            let key = Code::random()?;
            store.set_setting(KEY_SETTING, key.as_str())?;
            Ok(key)
        }
    }
}

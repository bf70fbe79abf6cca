//! The shop's label printer: what is known of it, and the clerk who takes labels to it.
//!
//! Whoever wants a label printed writes so in the store and nudges; nobody waits for a printer. One clerk
//! ([`start`]) takes what waits to the printer, oldest first and one at a time, and follows each label until the printer
//! says that it came out.

mod clerk;
mod draw;

use std::mem;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use serde::Serialize;

pub use clerk::{Clerk, start};

use crate::label::printer::{Address, Patience};
use crate::label::stock::Stock;

/// A handle to the shop's label printer, if it has one. Cheap to clone.
#[derive(Clone)]
pub struct Printing(Option<Arc<Shared>>);

/// How the printer is, for whoever stands at a bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PrinterStatus {
    /// Where it is.
    pub address: Option<String>,
    pub state: PrinterState,
    /// `out of labels`; empty when there is nothing to say.
    pub said: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PrinterState {
    /// No printer is set.
    None,
    Ready,
    Busy,
    /// Somebody must see to it first.
    Stopped,
    /// It does not answer.
    Away,
}

/// What the clerk and the others share.
struct Shared {
    address: Address,
    /// What is loaded; none takes what suits an order's units.
    stock: Option<Stock>,
    patience: Patience,
    told: Mutex<Told>,
    wake: Condvar,
}

struct Told {
    state: PrinterState,
    said: String,
    /// Something is to be done before the time is up.
    nudged: bool,
    /// The clerk is to go home.
    over: bool,
}

impl Printing {
    /// Without a printer: labels wait until there is one, and their files serve.
    pub fn none() -> Self {
        Self(None)
    }

    /// To the printer at this address, loaded with this stock, or with what suits each order's units.
    pub fn to(address: Address, stock: Option<Stock>) -> Self {
        Self::patiently(address, stock, Patience::default())
    }

    /// As [`to`](Self::to), for a printer that is slower or quicker than most.
    pub fn patiently(address: Address, stock: Option<Stock>, patience: Patience) -> Self {
        let (state, said) = (PrinterState::Away, "not asked yet".into());
        let told = Told { state, said, nudged: false, over: false };
        Self(Some(Arc::new(Shared { address, stock, patience, told: Mutex::new(told), wake: Condvar::new() })))
    }

    /// How it was when it was last asked.
    pub fn status(&self) -> PrinterStatus {
        let Some(shared) = &self.0 else {
            return PrinterStatus { address: None, state: PrinterState::None, said: "no printer is set".into() };
        };
        let told = shared.told();
        PrinterStatus { address: Some(shared.address.to_string()), state: told.state, said: told.said.clone() }
    }

    /// Something is waiting, or the printer may be ready again: the clerk looks now, not when the time is up.
    pub fn nudge(&self) {
        if let Some(shared) = &self.0 {
            shared.told().nudged = true;
            shared.wake.notify_all();
        }
    }
}

impl Shared {
    /// A thread that panicked while it held the lock left whole values behind.
    fn told(&self) -> MutexGuard<'_, Told> {
        self.told.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn tell(&self, state: PrinterState, said: &str) {
        let mut told = self.told();
        told.state = state;
        said.clone_into(&mut told.said);
    }

    /// Waits so long, or until somebody nudges. False when it is over.
    fn pause(&self, time: Duration) -> bool {
        let idle = |told: &mut Told| !told.nudged && !told.over;
        let (mut told, _) =
            self.wake.wait_timeout_while(self.told(), time, idle).unwrap_or_else(PoisonError::into_inner);
        mem::take(&mut told.nudged);
        !told.over
    }
}

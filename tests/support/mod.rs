//! What the whole-program tests stand on: the real binary, a real browser, a real screen and outside decoders.
//!
//! The tools are general-purpose programs of the system. A test whose tool is missing fails and names the Debian package.

// Each test file is a program of its own and uses a part of this.
#![allow(dead_code)]

pub mod browser;
pub mod decode;
pub mod display;
pub mod http;
pub mod kiosk;
pub mod print_shop;
pub mod printer;
pub mod program;
pub mod raster;
pub mod relay;

use std::thread;
use std::time::{Duration, Instant};

/// How long anything may take that a person would wait for.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// Asks again until there is an answer.
///
/// # Panics
/// When [`PATIENCE`] is over, saying `what` was waited for.
#[track_caller]
pub fn wait_for<T>(what: &str, mut ask: impl FnMut() -> Option<T>) -> T {
    let deadline = Instant::now() + PATIENCE;
    loop {
        if let Some(answer) = ask() {
            return answer;
        }
        assert!(Instant::now() < deadline, "waited {PATIENCE:?} in vain for {what}");
        thread::sleep(Duration::from_millis(10));
    }
}

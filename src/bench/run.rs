//! The window and the desk put together, until the window is closed.

use std::cell::OnceCell;
use std::rc::Rc;

use slint::{ComponentHandle, PhysicalSize};

use super::memory::MemoryError;
use super::{window, worker};

/// Why the bench could not be shown.
#[derive(Debug, thiserror::Error)]
pub enum BenchError {
    #[error("the screen cannot be shown: {0}")]
    Screen(#[from] slint::PlatformError),
    #[error(transparent)]
    Memory(#[from] MemoryError),
    #[error("the system gives no random numbers: {0}")]
    Random(getrandom::Error),
}

/// Shows the bench in a window of `size` pixels; returns when its window is closed or the event loop is told to end.
///
/// # Errors
/// [`BenchError`] when there can be no window, or the bench's memory cannot be read.
pub fn run(work: worker::Setup, screen: window::Setup, size: (u32, u32)) -> Result<(), BenchError> {
    // The window exists before the desk it talks to; nothing can be touched before the event loop runs.
    let desk = Rc::new(OnceCell::<worker::Desktop>::new());
    let touched = Rc::clone(&desk);
    let app = window::open(screen, move |intent| {
        if let Some(desk) = touched.get() {
            desk.intend(intent);
        }
    })?;
    // Asked for even when the window is to fill the screen: without a window manager nobody else makes it so large.
    app.window().set_size(PhysicalSize::new(size.0, size.1));
    let window = app.as_weak();
    let started = worker::start(work, move |screen| {
        // Refused only when the event loop is over.
        let _ = window.upgrade_in_event_loop(move |app| window::show(&app, &screen));
    })?;
    desk.get_or_init(|| started);
    app.run()?;
    Ok(())
}

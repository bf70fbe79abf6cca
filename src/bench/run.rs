//! The window and the desk put together, until the window is closed.

use std::cell::OnceCell;
use std::rc::Rc;
use std::sync::mpsc;

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
    #[error(transparent)]
    Broken(#[from] worker::Broken),
}

/// Shows the bench in a window of `size` pixels; returns when its window is closed or the event loop is told to end, and
/// what was touched is on the disk.
///
/// # Errors
/// [`BenchError`] when there can be no window, or the bench's memory cannot be read; when the bench broke off: a screen
/// that only looks alive is worse than none, which whoever watches the program starts again.
pub fn run(work: worker::Setup, screen: window::Setup, size: (u32, u32)) -> Result<(), BenchError> {
    // The window exists before the desk it talks to; nothing can be touched before the event loop runs.
    let desk = Rc::new(OnceCell::<worker::Desktop>::new());
    // Weak, so that the desk ends here, however long the window lives.
    let touched = Rc::downgrade(&desk);
    let app = window::open(screen, move |intent| {
        if let Some(desk) = touched.upgrade()
            && let Some(desk) = desk.get()
        {
            desk.intend(intent);
        }
    })?;
    // Asked for even when the window is to fill the screen: without a window manager nobody else makes it so large.
    app.window().set_size(PhysicalSize::new(size.0, size.1));
    let window = app.as_weak();
    let show = move |screen| {
        // Refused only when the event loop is over.
        let _ = window.upgrade_in_event_loop(move |app| window::show(&app, &screen));
    };
    let (tell, told) = mpsc::channel();
    let broken = move |broken| {
        // Refused only when it is over already.
        let _ = tell.send(broken);
        end();
    };
    let started = worker::start(work, show, broken)?;
    desk.get_or_init(|| started);
    app.run()?;
    drop(desk);
    told.try_recv().map_or(Ok(()), |broken| Err(broken.into()))
}

/// Ends the event loop, and with it [`run`].
pub fn end() {
    // Asked for from within, because a loop that has only just begun takes no notice of what was asked before. Refused
    // where there is none.
    let _ = slint::invoke_from_event_loop(|| drop(slint::quit_event_loop()));
}

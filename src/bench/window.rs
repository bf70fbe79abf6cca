//! The window: made once, shown a [`Screen`] at a time, answering with [`Intent`]s.

use std::rc::Rc;

use slint::{ComponentHandle, PlatformError};

use crate::bench::adapters::{App, Tell, Tokens, card, order, queue, shell};
use crate::bench::screen::{Intent, Screen, View};

/// What the shop says of its screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setup {
    /// Physical pixels per millimetre, see [`pixels_per_mm`].
    pub pixels_per_mm: f32,
    pub dark: bool,
    /// Fills the screen, without a frame.
    pub fills_screen: bool,
}

/// Makes the window and sends every touch to `tell`, on the thread that runs the event loop. The window lives as long
/// as the [`App`] that is returned.
///
/// # Errors
/// When there is no display to show it on.
pub fn open(setup: Setup, tell: impl Fn(Intent) + 'static) -> Result<App, PlatformError> {
    let app = App::new()?;
    let tokens = app.global::<Tokens>();
    tokens.set_px_per_mm(setup.pixels_per_mm / app.window().scale_factor());
    tokens.set_dark(setup.dark);
    app.set_fills_screen(setup.fills_screen);

    let tell: Tell = Rc::new(tell);
    for connect in [shell::connect, queue::connect, order::connect, card::connect] {
        connect(&app, &tell);
    }
    Ok(app)
}

/// Shows what the desk says. Call it on the thread that runs the event loop.
pub fn show(app: &App, screen: &Screen) {
    match &screen.view {
        View::Waiting { .. } => {}
        View::Queue(queue) => queue::show(app, queue),
        View::Order(order) => order::show(app, order),
        View::Card(card) => card::show(app, card),
    }
    shell::show(app, screen);
}

/// Physical pixels per millimetre of a screen so many pixels wide and high, its diagonal in inches as it is sold by.
pub fn pixels_per_mm(width: u32, height: u32, diagonal_inches: f32) -> f32 {
    (width as f32).hypot(height as f32) / (diagonal_inches * 25.4)
}

//! The window: made once, shown a [`Screen`] at a time, answering with [`Intent`]s.

use std::rc::Rc;

use slint::{ComponentHandle, PlatformError};

use crate::bench::adapters::{
    App, Tell, Tokens, card, join, keypad, labels, order, people, pin, queue, remake, settings, shell,
};
use crate::bench::screen::{Intent, Language, Looks, Screen, View};
use crate::words::Words;

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
    tokens.set_pointer(!setup.fills_screen);
    app.set_fills_screen(setup.fills_screen);

    let tell: Tell = Rc::new(tell);
    for connect in [
        shell::connect,
        queue::connect,
        order::connect,
        card::connect,
        keypad::connect,
        remake::connect,
        labels::connect,
        settings::connect,
        people::connect,
        pin::connect,
        join::connect,
    ] {
        connect(&app, &tell);
    }
    Ok(app)
}

/// Shows what the desk says. Call it on the thread that runs the event loop.
pub fn show(app: &App, screen: &Screen) {
    let Looks { language, dark } = screen.looks;
    app.global::<Tokens>().set_dark(dark);
    speak(language);
    let words = Words::of(language);
    match &screen.view {
        View::Waiting { .. } => {}
        View::Queue(queue) => queue::show(app, queue, words),
        View::Order(order) => order::show(app, order, words),
        View::Card(card) => card::show(app, card, words),
        View::Keypad(keypad) => keypad::show(app, keypad, words),
        View::Remake(remake) => remake::show(app, remake, words),
        View::Labels(labels) => labels::show(app, labels, words),
        View::Settings(settings) => settings::show(app, settings, language, words),
        View::People(people) => people::show(app, people),
        View::Pin(pin) => pin::show(app, pin),
        View::Join(join) => join::show(app, join, words),
    }
    shell::show(app, screen, words);
}

/// Turns the screen's own words to this language.
fn speak(language: Language) {
    // Refused only by a screen built without that language: it goes on in English.
    let _ = slint::select_bundled_translation(language.code());
}

/// Physical pixels per millimetre of a screen so many pixels wide and high, its diagonal in inches as it is sold by.
pub fn pixels_per_mm(width: u32, height: u32, diagonal_inches: f32) -> f32 {
    (width as f32).hypot(height as f32) / (diagonal_inches * 25.4)
}

/// How large a screen's text is, in pixels: as `Tokens.text` has it, for what is drawn elsewhere.
pub fn text_pixels(width: u32, height: u32, pixels_per_mm: f32) -> u32 {
    (pixels_per_mm * 6.25).max(width.min(height) as f32 * 0.04).ceil() as u32
}

//! The PIN of whoever was chosen.

use slint::ComponentHandle;

use super::{App, PinAdapter, Tell, always, count};
use crate::bench::screen::{Intent, Pin};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<PinAdapter>();
    adapter.on_erase(always(tell, Intent::PinErase));
    let tell = tell.clone();
    adapter.on_digit(move |digit| tell(Intent::PinDigit(digit.clamp(0, 9) as u8)));
}

/// Shows how much was typed.
pub fn show(app: &App, pin: &Pin) {
    let adapter = app.global::<PinAdapter>();
    adapter.set_name(pin.name.as_str().into());
    adapter.set_typed(count(pin.typed));
    adapter.set_wrong(pin.wrong);
}

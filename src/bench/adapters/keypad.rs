//! The keypad for the finished length.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, KeypadAdapter, Tell, Words, always, number, update};
use crate::bench::screen::{Intent, Keypad, PadKey};
use crate::trade::length::Units;

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<KeypadAdapter>();
    adapter.set_fractions(ModelRc::new(VecModel::default()));
    adapter.on_feet(always(tell, Intent::Key(PadKey::Feet)));
    adapter.on_point_key(always(tell, Intent::Key(PadKey::Point)));
    adapter.on_erase(always(tell, Intent::Key(PadKey::Erase)));
    adapter.on_measured(always(tell, Intent::Measured));
    let keys = tell.clone();
    adapter.on_digit(move |digit| keys(Intent::Key(PadKey::Digit(small(digit)))));
    let keys = tell.clone();
    adapter.on_fraction(move |part| keys(Intent::Key(PadKey::Fraction(small(part)))));
}

/// Shows what was typed.
pub fn show(app: &App, keypad: &Keypad, words: Words) {
    let adapter = app.global::<KeypadAdapter>();
    adapter.set_mark(keypad.mark.as_str().into());
    adapter.set_inches(keypad.units == Units::In);
    adapter.set_wanted(words.say(&keypad.wanted).into());
    adapter.set_tolerance(words.say(&keypad.tolerance).into());
    adapter.set_typed(number::parts(&words.say(&keypad.typed)));
    adapter.set_empty(keypad.typed.is_empty());
    adapter.set_ready(keypad.ready);
    adapter.set_point(words.decimal_sign().into());
    update(&adapter.get_fractions(), keypad.fractions.into_iter());
}

/// The keys have one figure, 0 to 9.
fn small(key: i32) -> u8 {
    key.clamp(0, 9) as u8
}

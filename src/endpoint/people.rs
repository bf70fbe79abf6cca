//! Who works here: added, given a PIN, let in by it, and gone. What the API and the owner's page both ask for.

use serde_json::Value;

use super::kiosk::Kiosk;
use super::pin::{Pin, TooMany};
use super::problem::Problem;
use crate::order::parse::reader::{Found, Spot};
use crate::order::parse::text::line;
use crate::store::Person;

/// The longest name, in characters: a bench shows it in large letters.
pub const LONGEST: usize = 40;

/// The name that was typed, if it can be one.
pub fn name(typed: &str) -> Option<String> {
    line(&Spot::root(&Value::from(typed), &Found::default()), LONGEST)
}

/// Somebody new.
///
/// # Errors
/// 409 when the name is taken.
pub fn add(kiosk: &Kiosk, name: &str, pin: Option<&Pin>) -> Result<Person, Problem> {
    let hash = pin.map(Pin::hash).transpose()?;
    Ok(kiosk.store().add_person(name, hash.as_deref())?)
}

/// The number of a person, as a path or a form has it.
///
/// # Errors
/// 404 for what is no number.
pub fn number(text: &str) -> Result<i64, Problem> {
    text.parse()
        .map_err(|_| Problem::nobody(format!("{text} is nobody's number: GET /api/people lists who works here")))
}

/// Lets somebody work under their name, with their PIN if they have one.
///
/// # Errors
/// 404 when nobody of this number works here, 403 for a wrong PIN or none, 429 after too many wrong ones.
pub fn enter(kiosk: &Kiosk, id: i64, pin: Option<&str>) -> Result<Person, Problem> {
    let (person, hash) = kiosk.store().person(id)?;
    let Some(hash) = hash else { return Ok(person) };
    let refused = |detail: String| Problem::refused(403, "wrong-pin", "That is not the PIN", detail);
    let name = &person.name;
    let digits = pin.ok_or_else(|| refused(format!("{name} has a PIN: give it")))?;
    kiosk.tries().count(id, kiosk.now()).map_err(|TooMany { seconds }| {
        let detail =
            format!("too many wrong PINs for {name}: wait {seconds} s, or let the owner set another at /people");
        Problem::refused(429, "too-many-pins", "Too many wrong PINs", detail)
    })?;
    match Pin::read(digits) {
        Some(pin) if pin.fits(&hash)? => {
            kiosk.tries().right(id);
            Ok(person)
        }
        _ => Err(refused(format!("type the PIN of {name} again"))),
    }
}

/// Gives somebody another PIN, or none. Tries of the old one are forgiven.
///
/// # Errors
/// 404 when nobody of this number works here.
pub fn set_pin(kiosk: &Kiosk, id: i64, pin: Option<&Pin>) -> Result<Person, Problem> {
    let hash = pin.map(Pin::hash).transpose()?;
    kiosk.store().set_pin(id, hash.as_deref())?;
    kiosk.tries().right(id);
    Ok(kiosk.store().person(id)?.0)
}

/// Somebody works here no more.
///
/// # Errors
/// 404 when nobody of this number works here.
pub fn leave(kiosk: &Kiosk, id: i64) -> Result<Person, Problem> {
    let (person, _) = kiosk.store().person(id)?;
    kiosk.store().remove_person(id)?;
    Ok(person)
}

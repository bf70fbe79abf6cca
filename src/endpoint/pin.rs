//! A person's PIN: kept as a salted hash, and slow to guess.
//!
//! Whoever may try one holds the shop's key already; a PIN keeps people from working at a bench under each other's
//! names. Four digits are soon tried through, so only a few wrong ones a minute are taken.

use std::collections::HashMap;
use std::ops::RangeInclusive;
use std::sync::{Mutex, PoisonError};

use argon2::password_hash::{Error as HashError, PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use thiserror::Error;

/// How many digits a PIN has.
pub const DIGITS: RangeInclusive<usize> = 4..=8;

/// What a PIN is made of, for whoever is to give one.
pub fn digits() -> String {
    format!("{} to {} digits", DIGITS.start(), DIGITS.end())
}

/// Wrong ones that are taken within [`WHILE_MS`].
const MOST_WRONG: usize = 5;
const WHILE_MS: i64 = 60_000;

/// Memory in KiB and passes of a hash: the least of those that OWASP's password storage sheet holds equal (from memory). A kiosk's
/// machine is small, and what is guarded is a name, not the shop.
const COST: (u32, u32) = (7 * 1024, 5);

/// Digits that can be a PIN.
pub struct Pin<'a>(&'a str);

/// The system cannot hash, or what is stored is no hash.
#[derive(Debug, Error)]
#[error("the PIN cannot be checked or kept: {0}")]
pub struct PinError(#[from] HashError);

impl<'a> Pin<'a> {
    /// `None` when the text is no PIN.
    pub fn read(text: &'a str) -> Option<Self> {
        (DIGITS.contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())).then_some(Self(text))
    }

    /// What is kept of it: Argon2id (RFC 9106) with a salt of its own, as a PHC string.
    ///
    /// # Errors
    /// When the system has no randomness or memory to give.
    pub fn hash(&self) -> Result<String, PinError> {
        let (memory, passes) = COST;
        let params = Params::new(memory, passes, 1, None).map_err(HashError::from)?;
        let argon2 = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
        Ok(argon2.hash_password(self.0.as_bytes())?.to_string())
    }

    /// Whether `hash` was made of this PIN.
    ///
    /// # Errors
    /// When `hash` is none.
    pub fn fits(&self, hash: &str) -> Result<bool, PinError> {
        match Argon2::default().verify_password(self.0.as_bytes(), hash) {
            Ok(()) => Ok(true),
            Err(HashError::PasswordInvalid) => Ok(false),
            Err(error) => Err(error.into()),
        }
    }
}

/// When each person's PIN was tried lately, by the person's number. Times are milliseconds UTC.
#[derive(Default)]
pub struct Tries(Mutex<HashMap<i64, Vec<i64>>>);

/// Too many wrong PINs: no other is looked at for so many seconds.
#[derive(Debug, PartialEq, Eq)]
pub struct TooMany {
    pub seconds: i64,
}

impl Tries {
    /// Counts a try, as a wrong one until [`right`](Self::right) says otherwise: so tries made at the same moment are
    /// counted too.
    ///
    /// # Errors
    /// [`TooMany`] when it is not to be looked at.
    pub fn count(&self, person: i64, now: i64) -> Result<(), TooMany> {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let tries = tries.entry(person).or_default();
        // A try in the future was made before the clock was set back.
        tries.retain(|at| (0..WHILE_MS).contains(&(now - at)));
        match tries.as_slice() {
            [first, rest @ ..] if rest.len() + 1 >= MOST_WRONG => {
                Err(TooMany { seconds: (first + WHILE_MS - now + 999) / 1000 })
            }
            _ => {
                tries.push(now);
                Ok(())
            }
        }
    }

    /// The PIN was right.
    pub fn right(&self, person: i64) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&person);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pin_is_four_to_eight_digits() {
        for (text, right) in
            [("1234", true), ("12345678", true), ("123", false), ("123456789", false), ("12a4", false), ("١٢٣٤", false)]
        {
            assert_eq!(Pin::read(text).is_some(), right, "{text}");
        }
    }

    #[test]
    fn a_hash_fits_its_own_pin_alone_and_no_two_are_alike() {
        let pin = |text| Pin::read(text).unwrap();
        let hash = pin("1234").hash().unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=7168,t=5,p=1$"), "{hash}");
        assert!(pin("1234").fits(&hash).unwrap() && !pin("12345").fits(&hash).unwrap());
        assert_ne!(pin("1234").hash().unwrap(), hash);
        assert!(pin("1234").fits("1234").is_err());
    }

    /// By the reference implementation, Python's argon2-cffi 25.1.0:
    /// `PasswordHasher(time_cost=2, memory_cost=19456, parallelism=1).hash("2468")`.
    #[test]
    fn it_is_the_argon2_that_others_make() {
        let hash = "$argon2id$v=19$m=19456,t=2,p=1$lITmdIKLZDqjj9td+lqatA$D2Yd/wLsispglOoV/tcd5dM4BT8wZJYuoWW/8tZKxiM";
        assert!(Pin::read("2468").unwrap().fits(hash).unwrap() && !Pin::read("2469").unwrap().fits(hash).unwrap());
    }

    #[test]
    fn the_sixth_wrong_one_within_a_minute_waits() {
        let tries = Tries::default();
        for at in [0, 10_000, 20_000, 30_000, 40_000] {
            assert_eq!(tries.count(1, at), Ok(()));
        }
        assert_eq!(tries.count(1, 59_999), Err(TooMany { seconds: 1 }));
        assert_eq!(tries.count(1, 45_000), Err(TooMany { seconds: 15 }));
        assert_eq!(tries.count(2, 45_000), Ok(()), "each person for themselves");
        assert_eq!(tries.count(1, 60_000), Ok(()), "the first is a minute old");
        assert_eq!(tries.count(1, 60_001), Err(TooMany { seconds: 10 }));
        tries.right(1);
        assert_eq!(tries.count(1, 60_001), Ok(()));
    }
}

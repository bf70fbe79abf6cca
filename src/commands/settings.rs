//! `brakeside settings`: the shop's settings, every key explained; or a check of a settings file.

use std::fs;
use std::io;
use std::path::Path;

use super::report::{Failure, print, say};
use crate::order::shop::{Shop, file};

/// Prints the settings kept at `path`, whole and with comments, or checks the file `check`.
pub fn run(path: &Path, check: Option<&Path>) -> Result<(), Failure> {
    if let Some(check) = check {
        let text = fs::read_to_string(check).map_err(|source| Failure::Read { path: check.into(), source })?;
        read(check, &text)?;
        say(&format!("{} is right.", check.display()));
        return Ok(());
    }
    print(&file::write(&load(path)?))
}

/// The settings kept at `path`; where there is no file, the ones that need none.
///
/// # Errors
/// The file cannot be read, or is not right: then with every fault.
pub fn load(path: &Path) -> Result<Shop, Failure> {
    read(path, &text(path)?)
}

/// The settings file's text; of one that is not there, none.
pub(super) fn text(path: &Path) -> Result<String, Failure> {
    match fs::read_to_string(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(String::new()),
        read => read.map_err(|source| Failure::Read { path: path.into(), source }),
    }
}

pub(super) fn read(path: &Path, text: &str) -> Result<Shop, Failure> {
    file::read(text).map_err(|faults| Failure::Settings { path: path.into(), faults })
}

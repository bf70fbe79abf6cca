//! `brakeside backup`: the whole store in one file.

use std::path::Path;

use super::args::Common;
use super::report::{Failure, say};
use crate::store::Reader;

pub fn run(common: &Common, to: &Path) -> Result<(), Failure> {
    Reader::open(&common.folder()?)?.backup(to)?;
    say(&format!("Backed up to {}.", to.display()));
    Ok(())
}

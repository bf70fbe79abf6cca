//! `brakeside verify`: is the store whole?

use super::args::Common;
use super::report::{Failure, say};
use crate::store::Reader;

pub fn run(common: &Common) -> Result<(), Failure> {
    let found = Reader::open(&common.folder()?)?.verify()?;
    say(&format!("The store is whole: {} orders, {} pieces, {} events.", found.orders, found.pieces, found.events));
    Ok(())
}

//! `brakeside label`: a piece's label as a file.

use std::ffi::OsStr;
use std::fs;
use std::path::Path;

use super::args::Common;
use super::kiosk::LABEL_ADDRESS;
use super::report::{Failure, say};
use crate::label;
use crate::label::code::Code;
use crate::label::facts::LabelFacts;
use crate::label::stock::Stock;
use crate::label::url::Address;
use crate::order::plan::Piece;
use crate::store::Reader;

pub fn run(common: &Common, code: &str, to: &Path, stock: &str) -> Result<(), Failure> {
    let code = Code::find_in(code)?;
    let stock = Stock::named(stock)?;
    let folder = common.folder()?;
    let store = Reader::open(&folder)?;
    let missing = || Failure::NoPiece { folder: folder.clone(), code: code.to_string() };
    let record = store.scan(code.as_str())?.ok_or_else(missing)?.into_piece(code.as_str())?;
    let run: Vec<Piece> = store.run_of(&record.row.code)?.into_iter().map(|record| record.piece).collect();
    let head = &record.order;
    // Where the kiosk's own labels lead, unless told otherwise.
    let address = match (&common.host, store.setting(LABEL_ADDRESS)?) {
        (None, Some(known)) => Address::parse(&known)?,
        _ => common.label_address(common.port)?,
    };
    let label = Code::parse(&record.row.label)?;
    let facts = LabelFacts::new(&record.piece, &run, &head.job.name, &head.number, &label, &address);
    let facts = LabelFacts { reprint: record.row.label != record.row.code, ..facts };

    let drawn = match to.extension().and_then(OsStr::to_str) {
        Some("svg") => label::svg(&facts, stock)?.into_bytes(),
        Some("png") => label::png(&facts, stock)?,
        Some("pdf") => label::pdf(&[facts], stock)?,
        _ => return Err(Failure::Ending { path: to.into() }),
    };
    fs::write(to, drawn).map_err(|source| Failure::Write { path: to.into(), source })?;
    say(&format!("{} of order {}: {}", record.piece.mark, head.number, to.display()));
    Ok(())
}

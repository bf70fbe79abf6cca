//! What a command says: its results, and everything that can keep it from being done.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::bench::run::BenchError;
use crate::endpoint::KioskError;
use crate::endpoint::door::StartError;
use crate::label::LabelError;
use crate::label::code::CodeError;
use crate::label::printer;
use crate::label::stock::UnknownStock;
use crate::label::url::AddressError;
use crate::order::fault::Faults;
use crate::store::{BackupError, Refusal, StoreError};
use crate::trade::test_bend::TestBendError;
use crate::trade::working::Working;

/// Why a command could not be done.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    #[error("cannot read {}: {source}", path.display())]
    Read { path: PathBuf, source: io::Error },
    #[error("cannot write {}: {source}", path.display())]
    Write { path: PathBuf, source: io::Error },
    #[error("cannot print: {0}")]
    Print(io::Error),
    #[error("{} cannot be made:\n{faults}", name(path))]
    Order { path: PathBuf, faults: Faults },
    #[error("{} is not right:\n{faults}", path.display())]
    Settings { path: PathBuf, faults: Faults },
    #[error("no such test bend can be:\n{0}")]
    Entry(Faults),
    #[error(transparent)]
    TestBend(#[from] TestBendError),
    #[error("cannot be written as JSON: {0}")]
    Json(serde_json::Error),
    #[error("no folder to keep the orders in is known here: name one with --data")]
    NoDataFolder,
    #[error(transparent)]
    Store(#[from] StoreError),
    #[error(transparent)]
    Backup(#[from] BackupError),
    #[error(transparent)]
    Start(#[from] StartError),
    #[error(transparent)]
    Code(#[from] CodeError),
    #[error("{} holds no piece with the code {code}", folder.display())]
    NoPiece { folder: PathBuf, code: String },
    #[error(transparent)]
    Refused(#[from] Refusal),
    #[error(transparent)]
    Stock(#[from] UnknownStock),
    #[error(transparent)]
    Label(#[from] LabelError),
    #[error("{} does not say how to draw: name a file that ends in .svg, .png or .pdf", path.display())]
    Ending { path: PathBuf },
    #[error(transparent)]
    Address(#[from] AddressError),
    #[error("the label printer's address in the settings: {0}")]
    Printer(#[from] printer::AddressError),
    #[error(transparent)]
    Bench(#[from] BenchError),
    #[error("no display here, so no bench screen: start it where DISPLAY or WAYLAND_DISPLAY is set")]
    NoDisplay,
    #[error(transparent)]
    Kiosk(#[from] KioskError),
    #[error("cannot wait for the signal to stop: {0}")]
    Signal(#[from] ctrlc::Error),
    #[error("the demo could not be filled: {0}")]
    Demo(String),
}

fn name(path: &Path) -> String {
    if path == Path::new("-") { "the order".into() } else { path.display().to_string() }
}

/// Says it on standard output. What was to be done is done, even if nobody listens any more.
pub fn say(text: &str) {
    let _ = writeln!(io::stdout(), "{text}");
}

/// Prints it as it is.
///
/// # Errors
/// [`Failure::Print`]; not where whoever read it had enough, as in `brakeside plan … | head`.
pub fn print(text: &str) -> Result<(), Failure> {
    match io::stdout().write_all(text.as_bytes()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.map_err(Failure::Print),
    }
}

/// A working as it is read: the number, then what it comes from.
pub fn explained(Working { what, rule, inputs, result, source }: &Working) -> String {
    let inputs: String = inputs.iter().map(|input| format!("  {} = {}\n", input.name, input.value)).collect();
    format!("{what}: {result}\n  rule    {rule}\n{inputs}  source  {source}\n")
}

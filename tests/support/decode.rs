//! Labels read back by programs that have nothing to do with ours: ZBar for the symbol, Poppler for the page.

use std::path::{Path, PathBuf};
use std::process::Command;

use super::program::{run_well, run_with_input};

/// What the one QR symbol in a picture says; the picture must have exactly one.
pub fn qr(picture: &Path) -> String {
    let mut command = Command::new("zbarimg");
    command.args(["--quiet", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable"]).arg(picture);
    let output = run_with_input(&mut command, b"", "zbar-tools");
    let said = String::from_utf8(output.stdout).unwrap();
    match said.lines().collect::<Vec<_>>().as_slice() {
        [one] => (*one).to_owned(),
        found => panic!("{} has {} symbols: {found:?}", picture.display(), found.len()),
    }
}

/// Draws the first page of a PDF at this many dots an inch, beside it.
pub fn page_as_png(pdf: &Path, dots_per_inch: u32) -> PathBuf {
    let drawn = pdf.with_extension("page");
    let mut command = Command::new("pdftoppm");
    command.args(["-png", "-singlefile", "-r", &dots_per_inch.to_string()]).arg(pdf).arg(&drawn);
    run_well(&mut command, "poppler-utils");
    drawn.with_extension("page.png")
}

//! `brakeside plan`: an order's pieces, without a store.

use std::fs;
use std::io::{self, Read, Write};
use std::path::Path;

use super::cut_list;
use super::report::Failure;
use crate::order::{parse, planner};

pub fn run(path: &Path, json: bool) -> Result<(), Failure> {
    let text = read(path).map_err(|source| Failure::Read { path: path.into(), source })?;
    let refused = |faults| Failure::Order { path: path.into(), faults };
    let (order, _) = parse::parse(&text).map_err(refused)?;
    let plan = planner::plan(&order).map_err(refused)?;
    let mut out =
        if json { serde_json::to_string(&plan).map_err(Failure::Json)? } else { cut_list::text(&order, &plan) };
    out.push('\n');
    match io::stdout().write_all(out.as_bytes()) {
        // Whoever read it had enough: `brakeside plan … | head`.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.map_err(Failure::Print),
    }
}

fn read(path: &Path) -> io::Result<Vec<u8>> {
    if path != Path::new("-") {
        return fs::read(path);
    }
    let mut text = Vec::new();
    io::stdin().read_to_end(&mut text)?;
    Ok(text)
}

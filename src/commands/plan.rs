//! `brakeside plan`: an order's pieces, without a store.

mod cut_list;
mod folder;
mod workings;

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::args::Common;
use super::report::{Failure, print};
use crate::order::shop::Shop;
use crate::order::{parse, planner};

/// What is to be said of the plan.
pub struct Wanted {
    pub json: bool,
    pub working: bool,
    /// The folder to draw into.
    pub svg: Option<PathBuf>,
}

pub fn run(common: &Common, path: &Path, wanted: &Wanted) -> Result<(), Failure> {
    let text = read(path).map_err(|source| Failure::Read { path: path.into(), source })?;
    let refused = |faults| Failure::Order { path: path.into(), faults };
    let (order, _) = parse::parse(&text, &shop(common)?).map_err(refused)?;
    let plan = planner::plan(&order).map_err(refused)?;
    let mut out =
        if wanted.json { serde_json::to_string(&plan).map_err(Failure::Json)? } else { cut_list::text(&order, &plan) };
    out.push('\n');
    if wanted.working {
        out.push_str(&workings::text(&plan));
    }
    if let Some(folder) = &wanted.svg {
        folder::write(folder, &order, &plan)?;
    }
    print(&out)
}

/// The shop's settings; where no folder for them is known, the ones that need none.
fn shop(common: &Common) -> Result<Arc<Shop>, Failure> {
    match common.folder() {
        Ok(folder) => common.shop_of(&folder),
        Err(_) => common.shop_of(Path::new("")),
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

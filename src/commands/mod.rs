//! The program's commands: raw arguments in, an exit code out. What keeps a command from being done is printed here; what a
//! running kiosk meets, by its router and its bench's worker.

mod args;
mod backup;
mod demo;
mod kiosk;
mod label;
mod lan;
mod plan;
mod report;
mod settings;
mod test_bend;
mod verify;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};
use report::Failure;

/// Runs the command the arguments ask for. Exit codes: 0 done, 1 could not be done, 2 asked wrongly.
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    match dispatch(arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("brakeside: {failure}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(Arguments { common, command }: Arguments) -> Result<(), Failure> {
    match command {
        None => kiosk::bench_and_endpoint(&common),
        Some(Command::Demo) => demo::run(&common),
        Some(Command::Serve) => kiosk::endpoint_alone(&common),
        Some(Command::Bench { at, key }) => kiosk::bench_alone(&common, &at, &key),
        Some(Command::Plan { order, json, working, svg }) => {
            plan::run(&common, &order, &plan::Wanted { json, working, svg })
        }
        Some(Command::Settings { check }) => settings::run(&common.settings_file()?, check.as_deref()),
        Some(Command::TestBend(measurements)) => test_bend::run(&common.settings_file()?, &measurements),
        Some(Command::Label { code, to, stock }) => label::run(&common, &code, &to, &stock),
        Some(Command::Backup { to }) => backup::run(&common, &to),
        Some(Command::Verify) => verify::run(&common),
    }
}

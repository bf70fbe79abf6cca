//! `brakeside`: see [`brakeside::commands`].

use std::process::ExitCode;

fn main() -> ExitCode {
    brakeside::commands::run()
}

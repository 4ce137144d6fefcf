//! The command `apoyando`.

mod args;
mod book;
mod finger;
mod trouble;

use std::process::ExitCode;

use clap::Parser;

use crate::args::{Arguments, Command};

/// The search makes many small tables and lets them go; with the allocator of
/// the system that takes a tenth to a fifth of its time.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let asked = !error.use_stderr();
            // A closed pipe is no reason to fail.
            let _ = error.print();
            return if asked { ExitCode::SUCCESS } else { ExitCode::from(2) };
        }
    };
    let outcome = match arguments.command {
        Command::New(arguments) => book::new(&arguments),
        Command::Check(arguments) => book::check(&arguments),
        Command::Build(arguments) => book::build(&arguments),
        Command::Open(arguments) => book::open_in_browser(&arguments),
        Command::Finger(arguments) => finger::run(&arguments),
    };
    outcome.code()
}

//! Writes a large book made up for measuring into a folder.

mod write;

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(folder) = std::env::args().nth(1) else {
        eprintln!("a folder to write the book into is needed");
        return ExitCode::from(2);
    };
    match write::write(Path::new(&folder)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{folder}: {error}");
            ExitCode::FAILURE
        }
    }
}

//! How a command ends, and what is said when it cannot go on.

use std::fmt::Display;
use std::io::Write;
use std::process::ExitCode;

/// How a command ended, from good to bad.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Outcome {
    /// All is well.
    Good,
    /// There are findings that are errors.
    Found,
    /// The command was not understood, or something could not be read or
    /// written.
    Broken,
}

impl Outcome {
    /// 0, 1 or 2.
    pub fn code(self) -> ExitCode {
        ExitCode::from(self as u8)
    }
}

/// Says something on the error channel; a closed channel is not worth failing
/// for.
pub fn say(text: impl Display) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// Says something on the output channel.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    let _ = out.flush();
}

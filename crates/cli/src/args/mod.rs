//! What can be typed.

mod finger;
mod pin;
mod place;
mod right;

use std::path::PathBuf;

pub use finger::{BarreWord, DensityWord, FingerArguments, ReasonsFlag, ShowWord};
pub use pin::{PinFlag, PositionFlag};
pub use place::PlaceFlag;
pub use right::PatternFlag;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// The workshop of a classical-guitar teacher: a book folder of plain text
/// becomes fingered, engraved pages.
#[derive(Parser, Debug)]
#[command(name = "apoyando", version, propagate_version = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Make a folder with a small book to begin with
    New(NewArguments),
    /// Say what is wrong with a book; nothing is written
    Check(CheckArguments),
    /// Build a book: pages, scores and a page to hear for students of every section, into
    /// its folder out/
    Build(BuildArguments),
    /// Open a book in the browser of this computer, to read and change it
    Open(OpenArguments),
    /// Finger scores: MusicXML (.musicxml, .xml, .mxl) or ABC
    Finger(Box<FingerArguments>),
}

/// `new`
#[derive(Args, Debug)]
pub struct NewArguments {
    /// The folder; it must not exist, or be empty
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `check`
#[derive(Args, Debug)]
pub struct CheckArguments {
    /// The book's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// How findings are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `build`
#[derive(Args, Debug)]
pub struct BuildArguments {
    /// The book's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Build this edition only: a name of the plan, or `main` for the book as the
    /// plan has it; may be given several times
    #[arg(long, value_name = "NAME")]
    pub edition: Vec<String>,
    /// Also draw every page as a picture, at so many dots per inch
    #[arg(long, value_name = "DPI")]
    pub png: Option<f64>,
    /// Also record every exercise and piece, as MIDI and FLAC
    #[arg(long)]
    pub sound: bool,
    /// How findings are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `open`
#[derive(Args, Debug)]
pub struct OpenArguments {
    /// The book's folder
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The port of this computer it is served on; 0 takes any that is free
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    pub port: u16,
}

/// How results are printed.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_holds_together() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }
}

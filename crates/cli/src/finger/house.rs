//! House style: from the file that is named, or from the book that a score is
//! part of.

use std::path::Path;

use apoyando_book::{House, read_house};
use apoyando_fingering::EffortTable;

/// House style and what it makes of the effort.
#[derive(Clone)]
pub struct HouseRules {
    /// The style.
    pub house: House,
    /// What effort costs.
    pub effort: EffortTable,
}

impl HouseRules {
    /// No style, and the table of effort as it is.
    pub fn none() -> Self {
        Self { house: House::default(), effort: EffortTable::default() }
    }

    /// What a file says: the keys of `[house]`, or the plan of a book.
    ///
    /// # Errors
    /// Sentences that name the option or the line, and what is allowed.
    pub fn of_file(file: &str) -> Result<Self, Vec<String>> {
        let text = std::fs::read_to_string(file).map_err(|error| {
            vec![match error.kind() {
                std::io::ErrorKind::NotFound => format!(
                    "--house {file}: there is no such file; name a TOML file with house style, as in fret-3 = 4, or the book.toml of a book"
                ),
                _ => format!("--house {file}: cannot be read: {error}"),
            }]
        })?;
        Self::read(file, &text)
    }

    /// What the book says that a score is part of, if it lies in the folder
    /// `pieces` of one.
    ///
    /// # Errors
    /// Sentences that name the line of the plan and what is allowed.
    pub fn of_book(score: &Path) -> Result<Option<Self>, Vec<String>> {
        let Some(pieces) = score.parent().filter(|folder| folder.ends_with("pieces")) else {
            return Ok(None);
        };
        let plan = pieces.with_file_name("book.toml");
        match std::fs::read_to_string(&plan) {
            Ok(text) => Self::read(&plan.display().to_string(), &text).map(Some),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(vec![format!("{}: cannot be read: {error}", plan.display())]),
        }
    }

    fn read(file: &str, text: &str) -> Result<Self, Vec<String>> {
        read_house(file, text)
            .map(|(house, effort)| Self { house, effort })
            .map_err(|faults| faults.iter().map(ToString::to_string).collect())
    }
}

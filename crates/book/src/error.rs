//! What can be wrong with a book folder.

use apoyando_fingering::{Finding, FindingPlace, PlanSpot, Remedy, Severity};

use crate::source::SourcePlace;

/// One fault in a book folder: where, what was read, what is allowed.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum BookError {
    /// The text is not TOML.
    #[error("{place}: this is not valid TOML: {message}; correct it from here on")]
    Syntax {
        /// Where reading stopped.
        place: SourcePlace,
        /// What the reader says.
        message: String,
    },
    /// A key that means nothing here.
    #[error("{place}: unknown key “{key}” in {table}; {hint}")]
    UnknownKey {
        /// Where the key stands.
        place: SourcePlace,
        /// The key.
        key: String,
        /// The table it stands in.
        table: String,
        /// What it may have been meant for, and what is allowed.
        hint: String,
    },
    /// A value of another kind: a number where a text is wanted.
    #[error("{place}: “{key}” is {read}; write {wanted}")]
    WrongKind {
        /// Where the value stands.
        place: SourcePlace,
        /// Its key.
        key: String,
        /// What was read.
        read: String,
        /// What is allowed.
        wanted: String,
    },
    /// A word that is not one of those allowed, or a number out of range.
    #[error("{place}: “{key}” cannot be {read}; {hint}")]
    NotAllowed {
        /// Where the value stands.
        place: SourcePlace,
        /// Its key.
        key: String,
        /// What was read.
        read: String,
        /// What is allowed.
        hint: String,
    },
    /// A text that its kind of value does not understand.
    #[error("{place}: “{key}”: {message}")]
    BadText {
        /// Where the value stands.
        place: SourcePlace,
        /// Its key.
        key: String,
        /// What was read and what is allowed.
        message: String,
    },
    /// A key that must be there.
    #[error("{place}: {table} has no “{key}”; add {example}")]
    Missing {
        /// Where its table begins.
        place: SourcePlace,
        /// The key.
        key: String,
        /// The table.
        table: String,
        /// How it could read.
        example: String,
    },
    /// A file that the plan names and that is not there.
    #[error("{place}: there is no file {file}; {hint}")]
    MissingFile {
        /// Where it is named.
        place: SourcePlace,
        /// The file, relative to the folder.
        file: String,
        /// What can be done.
        hint: String,
    },
    /// A file that is there and cannot be read.
    #[error("{place}: {file} cannot be read: {message}")]
    Unreadable {
        /// Where it is named.
        place: SourcePlace,
        /// The file.
        file: String,
        /// Why not.
        message: String,
    },
    /// Settings that do not go together.
    #[error("{place}: {message}")]
    Contradiction {
        /// Where the later of them stands.
        place: SourcePlace,
        /// What is the matter and what to do.
        message: String,
    },
    /// No book at all.
    #[error("{folder}: {message}")]
    NoBook {
        /// The folder that was named.
        folder: String,
        /// What is missing and what to do.
        message: String,
    },
}

impl BookError {
    /// Where it is; `None` if there is no book.
    pub const fn place(&self) -> Option<&SourcePlace> {
        match self {
            Self::Syntax { place, .. }
            | Self::UnknownKey { place, .. }
            | Self::WrongKind { place, .. }
            | Self::NotAllowed { place, .. }
            | Self::BadText { place, .. }
            | Self::Missing { place, .. }
            | Self::MissingFile { place, .. }
            | Self::Unreadable { place, .. }
            | Self::Contradiction { place, .. } => Some(place),
            Self::NoBook { .. } => None,
        }
    }

    /// The same as a finding, for a list with others.
    pub fn finding(&self) -> Finding {
        let rule = match self {
            Self::Syntax { .. } => "plan-syntax",
            Self::UnknownKey { .. } => "plan-unknown-key",
            Self::WrongKind { .. } | Self::NotAllowed { .. } | Self::BadText { .. } => "plan-value",
            Self::Missing { .. } => "plan-missing-key",
            Self::MissingFile { .. } => "plan-missing-file",
            Self::Unreadable { .. } => "plan-unreadable-file",
            Self::Contradiction { .. } => "plan-contradiction",
            Self::NoBook { .. } => "no-book",
        };
        let said = self.to_string();
        let (place, message) = match self.place() {
            None => (FindingPlace::default(), said),
            Some(place) => {
                let message = said.strip_prefix(&format!("{place}: ")).unwrap_or(&said).to_owned();
                let file = Some(place.file.to_string());
                (FindingPlace { file, line: Some(place.line), ..Default::default() }, message)
            }
        };
        let remedies = self.remedies();
        Finding { rule, severity: Severity::Error, place, message, remedy: None, remedies }
    }

    /// A file that is missing can be another one of its folder.
    fn remedies(&self) -> Vec<Remedy> {
        let Self::MissingFile { place, file, .. } = self else { return Vec::new() };
        let spot = PlanSpot { line: place.line, column: place.column };
        let folders = ["pieces", "text"];
        let folder = folders.into_iter().find(|it| file.split('/').next() == Some(it));
        folder.map(|folder| Remedy::ChooseFile(spot, folder)).into_iter().collect()
    }
}

//! Editions: the same book printed in other ways. Exercises and bars keep
//! their numbers in all of them.

use apoyando_fretboard::Millimetres;

use super::{Book, Paper, Tablature};

/// Height of a staff in large print. House value (10.5 to 12 mm).
const LARGE_STAFF: Millimetres = Millimetres(10.5);

/// Whose lines are printed of music for several players.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum PrintedParts {
    /// All, as a score.
    #[default]
    Score,
    /// The student's alone.
    Student,
    /// The teacher's alone.
    Teacher,
}

impl PrintedParts {
    /// The part that is printed alone, from 0: a duet is student, then teacher.
    #[must_use]
    pub const fn alone(self) -> Option<u16> {
        match self {
            Self::Score => None,
            Self::Student => Some(0),
            Self::Teacher => Some(1),
        }
    }
}

/// One way in which the book is printed.
#[derive(Clone, PartialEq, Debug)]
pub struct Edition {
    /// Its name, of small letters, digits and hyphens; empty for the book as its plan
    /// has it. Files are named for it.
    pub name: String,
    /// What the title page says of it; may be empty.
    pub note: String,
    /// What it is printed on.
    pub paper: Paper,
    /// Height of a staff of five lines.
    pub staff_height: Millimetres,
    /// Where tablature stands.
    pub tablature: Tablature,
    /// For those who see little: text of 16 points, fingering and diagrams grown
    /// with the staff. Lines are broken anew, nothing is zoomed.
    pub large_print: bool,
    /// For those who stop the strings with the right hand: diagrams and maps are
    /// mirrored.
    pub left_handed: bool,
    /// Whose lines are printed.
    pub parts: PrintedParts,
}

impl Book {
    /// The edition that the plan itself describes.
    #[must_use]
    pub fn main_edition(&self) -> Edition {
        Edition {
            name: String::new(),
            note: String::new(),
            paper: self.paper,
            staff_height: self.house.staff_height,
            tablature: self.house.tablature,
            large_print: false,
            left_handed: false,
            parts: PrintedParts::Score,
        }
    }
}

impl Book {
    /// Every edition; the one that the plan itself describes comes first.
    #[must_use]
    pub fn every_edition(&self) -> Vec<Edition> {
        std::iter::once(self.main_edition()).chain(self.editions.iter().cloned()).collect()
    }
}

impl Edition {
    /// The staff of this edition if nothing is said: the book's, or that of large
    /// print.
    #[must_use]
    pub fn usual_staff(book: Millimetres, large_print: bool) -> Millimetres {
        if large_print { Millimetres(book.0.max(LARGE_STAFF.0)) } else { book }
    }

    /// Its file without ending: `book`, `book-large-print`.
    #[must_use]
    pub fn file_stem(&self) -> String {
        if self.name.is_empty() { "book".to_owned() } else { format!("book-{}", self.name) }
    }
}

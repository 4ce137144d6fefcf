//! The hardest bar in words.

use std::fmt;

use super::super::hardest::{Hardest, Load};
use super::super::round::{Loop, Seam};
use super::moves::way;
use crate::words::both;

impl Load {
    /// As it stands after *it asks for*.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Shifts => "shifts of the hand",
            Self::Stretches => "stretches",
            Self::Barres => "a barre",
            Self::Reaches => "reaches away from the position",
            Self::Slurs => "slurs that the hand makes badly",
            Self::Ornaments => "an ornament that has no fingers",
            Self::Landing => "fingers that come down on new strings",
            Self::CutNotes => "notes that the hand cannot hold to their end",
            Self::Jumps => "a finger that jumps strings",
            Self::Slides => "a finger that slides to its next note",
            Self::Replacing => "one finger after another on the same note",
            Self::Crowded => "fingers close together",
            Self::WeakFingers => "work for 3 and 4",
            Self::Height => "playing high on the neck",
            Self::Stopped => "many stopped notes",
        }
    }
}

impl Hardest {
    /// The two largest loads, or the one.
    pub fn why(&self) -> String {
        let loads = self.loads.iter().filter(|(_, amount)| *amount > 0).take(2);
        let words: Vec<String> = loads.map(|(load, _)| load.words().to_owned()).collect();
        format!("it asks for {}", both(&words))
    }
}

impl fmt::Display for Hardest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tempo = if self.usual_tempo { ", reckoned at 72 quarters a minute" } else { "" };
        write!(f, "Bar {} is the hardest{tempo}: {}.", self.number, self.why())?;
        if let Some(round) = &self.round {
            write!(f, " {round}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Loop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.landing {
            "Play it round and round with the notes that follow, and use the rest to go back"
        } else {
            "Play it round and round by itself"
        })?;
        match &self.seam {
            Seam::Stays => f.write_str("."),
            Seam::Shifts(shift) => {
                write!(f, "; going round, the hand shifts {}.", way(shift.from, shift.to))
            }
        }
    }
}

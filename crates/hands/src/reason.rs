//! Why a note is played where it is.

use std::fmt;

use apoyando_music::ToneId;

use crate::alternatives::{Alternative, Change, Difference};
use crate::solved::Solved;

/// Why a note is played as it is: in a sentence, and in what it was weighed
/// against.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reason {
    /// The note.
    pub tone: ToneId,
    /// The sentence, without a full stop.
    pub sentence: String,
    /// The best way with the note elsewhere, if there is any.
    pub against: Option<Alternative>,
    /// What that pays more and what less.
    pub changes: Vec<Change>,
}

/// The best way with the note elsewhere: at another place, else with another
/// finger.
fn against(alternatives: &[Alternative]) -> Option<Alternative> {
    let first =
        |kind: fn(&Difference) -> bool| alternatives.iter().find(|a| kind(&a.difference)).copied();
    first(|d| matches!(d, Difference::Place(_)))
        .or_else(|| first(|d| matches!(d, Difference::Finger(_))))
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl Solved<'_> {
    /// Why a note is played as it is; `None` for a tone of another part or one
    /// that is left out, which the findings explain.
    pub fn reason(&self, tone: ToneId) -> Option<Reason> {
        let against = against(&self.alternatives(tone));
        let changes = against.as_ref().map_or_else(Vec::new, |a| self.changes(a));
        let sentence = against.as_ref().map_or_else(
            || "there is no other way".to_owned(),
            |other| format!("the best way otherwise costs {} more", other.more),
        );
        Some(Reason { tone, sentence, against, changes })
    }
}

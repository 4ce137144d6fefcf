//! What is engraved, and what comes of it.

use std::ops::Range;

use apoyando_fingering::Finding;
use apoyando_marks::{Caption, Marks};
use apoyando_music::{PartIndex, Score};

use crate::drawing::Drawing;
use crate::tablature::Fretting;

/// A score with everything that is printed on it.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The score.
    pub score: &'a Score,
    /// Marks, at most one for each part; parts without any are printed bare.
    pub marks: &'a [Marks],
    /// Chord names, diagrams, degrees and words.
    pub captions: &'a [Caption],
    /// Places of the notes, at most one for each part; they are shown where the
    /// style asks for tablature.
    pub frettings: &'a [Fretting],
}

impl<'a> Sheet<'a> {
    /// A score without marks.
    #[must_use]
    pub const fn bare(score: &'a Score) -> Self {
        Self { score, marks: &[], captions: &[], frettings: &[] }
    }

    /// The marks of a part.
    #[must_use]
    pub fn marks_of(&self, part: PartIndex) -> Option<&'a Marks> {
        self.marks.iter().find(|marks| marks.part == part)
    }

    /// The places of the notes of a part.
    #[must_use]
    pub fn fretting_of(&self, part: PartIndex) -> Option<&'a Fretting> {
        self.frettings.iter().find(|fretting| fretting.part == part)
    }
}

/// One line of music.
#[derive(Clone, PartialEq, Debug)]
pub struct System {
    /// Its ink. The drawing's box holds all of it.
    pub drawing: Drawing,
    /// The bars on it.
    pub bars: Range<u32>,
}

/// An engraved score.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Engraving {
    /// Its lines, from the first to the last.
    pub systems: Vec<System>,
    /// What did not go as it should.
    pub findings: Vec<Finding>,
}

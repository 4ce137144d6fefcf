//! The order of the pages: what stands in the book, in reading order, without
//! saying where on the paper. The press sets it.

use std::sync::Arc;

use apoyando_book::{Credit, Language, Paper};
use apoyando_engrave::{Engraving, Offer};
use apoyando_fingering::Shape;
use apoyando_fretboard::{Instrument, Millimetres};
use apoyando_music::Score;

use crate::words;

/// All pages of a book.
#[derive(Clone, PartialEq, Debug)]
pub struct PagePlan {
    /// Title of the book.
    pub title: String,
    /// Line under it; may be empty.
    pub subtitle: String,
    /// Its author; may be empty.
    pub author: String,
    /// The language of its own words.
    pub language: Language,
    /// What it is printed on.
    pub paper: Paper,
    /// The sections, front and back matter among them.
    pub sections: Vec<PlannedSection>,
}

/// What a section is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SectionKind {
    /// What stands before the lessons.
    Front,
    /// Lessons.
    Lessons,
    /// What stands after them.
    Back,
}

/// A section.
#[derive(Clone, PartialEq, Debug)]
pub struct PlannedSection {
    /// What it is.
    pub kind: SectionKind,
    /// Its heading; may be empty for a preface.
    pub heading: String,
    /// The line under its heading: key and position.
    pub line: String,
    /// What is said at its head, in CommonMark.
    pub advice: String,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// What stands in a section.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// A numbered exercise.
    Exercise(ExercisePlan),
    /// A solo or duet.
    Piece(PiecePlan),
    /// Prose in CommonMark.
    Prose(String),
    /// A framed warning, in CommonMark.
    Caution {
        /// Its title.
        title: String,
        /// What it says.
        text: String,
    },
    /// What follows begins a page because the author wants it.
    NewPage,
    /// Who made what.
    Credits(Vec<Credit>),
}

/// Systems of music.
#[derive(Clone, PartialEq, Debug)]
pub struct MusicPlan {
    /// Sets of systems that hold it, the best by themselves first.
    pub offers: Vec<Offer>,
    /// Bars that begin a page because the author wants it, by their index.
    pub page_breaks: Vec<u32>,
    /// Height of a staff.
    pub staff_height: Millimetres,
    /// Whether several staves are played together.
    pub several_staves: bool,
    /// Whether a staff carries two voices.
    pub two_voices: bool,
}

/// An exercise.
#[derive(Clone, PartialEq, Debug)]
pub struct ExercisePlan {
    /// Its number, counted through the book.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// What to do, in CommonMark.
    pub advice: String,
    /// Shapes shown as diagrams before the music.
    pub diagrams: Vec<Shape>,
    /// The music.
    pub music: MusicPlan,
    /// Shapes that are not printed, with the reason.
    pub listed: Vec<ListedPlan>,
}

/// A shape and what was decided about it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ListedPlan {
    /// The chord, its inversion and its strings.
    pub name: String,
    /// The shape from the thickest string: `xx0232`.
    pub shape: String,
    /// The verdict.
    pub verdict: String,
    /// The reason.
    pub reason: String,
}

/// A piece.
#[derive(Clone, PartialEq, Debug)]
pub struct PiecePlan {
    /// Its title.
    pub title: String,
    /// Line under it; may be empty.
    pub subtitle: String,
    /// Who composed and arranged it; may be empty.
    pub composer: String,
    /// Where it was taken from; may be empty.
    pub source: String,
    /// How to tune, if not as usual; may be empty.
    pub tuning: String,
    /// What to do, in CommonMark.
    pub advice: String,
    /// The music.
    pub music: MusicPlan,
}

impl MusicPlan {
    /// The systems of an engraved score.
    pub fn new(score: &Score, engraving: Engraving, staff_height: Millimetres) -> Self {
        let mut offers = engraving.offers;
        if offers.is_empty() {
            let systems = engraving.systems.into_iter().map(Arc::new).collect();
            offers.push(Offer { cost: 0.0, systems });
        }
        Self {
            offers,
            page_breaks: Vec::new(),
            staff_height,
            several_staves: score.parts().len() > 1,
            two_voices: score.parts().iter().any(|part| part.voices.len() > 1),
        }
    }
}

/// The plan of a piece that stands alone, without advice.
pub fn piece(
    score: &Score,
    engraving: Engraving,
    staff_height: Millimetres,
    instrument: &Instrument,
) -> PiecePlan {
    let heading = score.heading();
    PiecePlan {
        title: heading.title.clone(),
        subtitle: heading.subtitle.clone(),
        composer: words::composer(heading),
        source: heading.source.clone(),
        tuning: words::tuning(instrument),
        advice: String::new(),
        music: MusicPlan::new(score, engraving, staff_height),
    }
}

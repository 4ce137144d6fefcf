//! The order of the pages: what stands in the book, in reading order, without
//! saying where on the paper. The press sets it.

use std::sync::Arc;

use apoyando_book::{Credit, Edition, Language};
use apoyando_engrave::{Engraving, Neck, Offer, Style};
use apoyando_fingering::Shape;
use apoyando_fretboard::{Instrument, Millimetres};
use apoyando_method::Verdict;
use apoyando_method::subjects::News;
use apoyando_music::{Inversion, PartIndex, Score};

use crate::practice::Practice;
pub use crate::signs::ReadSign;
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
    /// The edition.
    pub edition: Edition,
    /// How its music and diagrams are set.
    pub style: Style,
    /// The sections, front and back matter among them.
    pub sections: Vec<PlannedSection>,
}

/// What a section is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SectionKind {
    /// What the author says before everything else.
    Preface,
    /// What else stands before the lessons.
    Front,
    /// Lessons.
    Lessons,
    /// What stands after them.
    Back,
    /// What stands on the back of the title page.
    Verso,
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
    /// What it asks that no section before it did, theme by theme.
    pub news: Vec<News>,
    /// Where the notes of its key lie in its position.
    pub map: Option<MapPlan>,
    /// What it holds.
    pub blocks: Vec<Block>,
}

/// A map of the fingerboard.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct MapPlan {
    /// The map.
    pub neck: Neck,
    /// What it shows.
    pub caption: String,
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
    /// Shapes that an exercise leaves out.
    LeftOut {
        /// Number and title of the exercise.
        exercise: String,
        /// The shapes, with what keeps each out.
        shapes: Vec<ListedPlan>,
    },
    /// What follows begins a page because the author wants it.
    NewPage,
    /// Who made what.
    Credits(Vec<Credit>),
    /// How signs are read.
    Signs(Vec<ReadSign>),
}

impl Block {
    /// Its music, if it is an exercise or a piece.
    #[must_use]
    pub const fn music(&self) -> Option<&MusicPlan> {
        match self {
            Self::Exercise(exercise) => Some(&exercise.music),
            Self::Piece(piece) => Some(&piece.music),
            Self::Prose(_)
            | Self::Caution { .. }
            | Self::LeftOut { .. }
            | Self::NewPage
            | Self::Credits(_)
            | Self::Signs(_) => None,
        }
    }
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
    /// How it is practised.
    pub practice: Practice,
    /// What to do, in CommonMark.
    pub advice: String,
    /// Shapes shown as diagrams before the music.
    pub diagrams: Vec<Shape>,
    /// The music.
    pub music: MusicPlan,
}

/// A shape and what was decided about it.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ListedPlan {
    /// The shape, with its fingers where a hand can hold it.
    pub shape: Shape,
    /// Its inversion.
    pub inversion: Inversion,
    /// What keeps it out.
    pub verdict: Verdict,
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
    /// Whose part it is, where one of several is printed alone; may be empty.
    pub player: String,
    /// How it is practised.
    pub practice: Practice,
    /// What to do, in CommonMark.
    pub advice: String,
    /// The music.
    pub music: MusicPlan,
}

impl MusicPlan {
    /// The systems of an engraved score, or of one part of it.
    pub fn new(
        score: &Score,
        alone: Option<PartIndex>,
        engraving: Engraving,
        staff_height: Millimetres,
    ) -> Self {
        let printed = match alone {
            Some(part) => std::slice::from_ref(score.part(part)),
            None => score.parts(),
        };
        let mut offers = engraving.offers;
        if offers.is_empty() {
            let systems = engraving.systems.into_iter().map(Arc::new).collect();
            offers.push(Offer { cost: 0.0, systems });
        }
        Self {
            offers,
            page_breaks: Vec::new(),
            staff_height,
            several_staves: printed.len() > 1,
            two_voices: printed.iter().any(|part| part.voices.len() > 1),
        }
    }
}

/// The plan of a piece that stands alone, without advice.
pub fn piece(score: &Score, music: MusicPlan, instrument: &Instrument) -> PiecePlan {
    let heading = score.heading();
    PiecePlan {
        title: heading.title.clone(),
        subtitle: heading.subtitle.clone(),
        composer: words::composer(heading),
        source: heading.source.clone(),
        tuning: words::tuning(instrument),
        player: String::new(),
        practice: Practice::default(),
        advice: String::new(),
        music,
    }
}

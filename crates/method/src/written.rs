//! What a writer hands over.

use std::fmt;

use apoyando_fingering::{Finding, Pins, Position, Shape};
use apoyando_fretboard::StringNumber;
use apoyando_hands::RightPlan;
use apoyando_marks::{Caption, CaptionText};
use apoyando_music::{Chord, Inversion, Score};

/// An exercise, ready to be fingered and engraved.
#[derive(Clone, PartialEq, Debug)]
pub struct Written {
    /// The music, in one part.
    pub score: Score,
    /// Per part, what the exercise decides about its fingering.
    pub pins: Vec<Pins>,
    /// Chord names, diagrams and degrees.
    pub captions: Vec<Caption>,
    /// What is asked of the right hand.
    pub right: RightPlan,
    /// Sentences for the student.
    pub advice: Vec<String>,
    /// The shapes that the exercise is about, those not printed among them.
    pub listed: Vec<ListedShape>,
    /// What the author should know.
    pub findings: Vec<Finding>,
}

/// The shapes that stand over a degree, with it, in the order of the music.
pub fn shapes_of_degrees(captions: &[Caption]) -> Vec<(String, Shape)> {
    let shape = |caption: &Caption| match &caption.text {
        CaptionText::Diagram(shape) => Some((caption.at, shape.clone())),
        _ => None,
    };
    let shapes = captions.iter().filter_map(shape);
    let over = shapes.filter_map(|(at, shape)| {
        captions.iter().find_map(|caption| match &caption.text {
            CaptionText::Degree(degree) if caption.at == at => {
                Some((degree.clone(), shape.clone()))
            }
            _ => None,
        })
    });
    over.collect()
}

/// A shape with what is to be said of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ListedShape {
    /// Its strings, from the thickest to the thinnest.
    pub strings: Vec<StringNumber>,
    /// The shape, with its fingers where a hand can hold it.
    pub shape: Shape,
    /// The chord.
    pub chord: Chord,
    /// Its inversion.
    pub inversion: Inversion,
    /// How it lies.
    pub verdict: Verdict,
    /// Why, in a sentence.
    pub reason: String,
    /// Whether it stands in the score; otherwise it is only listed.
    pub printed: bool,
}

/// How a shape lies against a position, from easy to far.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Verdict {
    /// In the position, on fingers 1 to 3.
    OwnFingers,
    /// In the position, with finger 4.
    FingerFour,
    /// A finger leaves its fret outwards.
    Extension,
    /// One finger stops several strings.
    Barre,
    /// In another position.
    Elsewhere(Position),
    /// No hand can hold it.
    OutOfReach,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OwnFingers => f.write_str("lies in the position"),
            Self::FingerFour => f.write_str("uses finger 4"),
            Self::Extension => f.write_str("needs an extension"),
            Self::Barre => f.write_str("needs a barre"),
            Self::Elsewhere(position) => write!(f, "lies in {position}"),
            Self::OutOfReach => f.write_str("out of reach"),
        }
    }
}

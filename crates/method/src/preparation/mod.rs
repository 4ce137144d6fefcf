//! What to know and to practise before a piece is played, read from its
//! finished fingering.
//!
//! Nothing is searched again: where the hand shifts and what helps it, where it
//! goes somewhere for a note or two and comes back, where a repeat leads it back to
//! another position, where a barre lies, which fingers stay between chords or wait
//! on their strings, and which bar is the hardest. That bar is cut
//! out as a [`Loop`] with the fingering that it has in the piece.
//!
//! ```
//! use apoyando_fingering::{EffortTable, Level, Pins, Problem};
//! use apoyando_fretboard::Instrument;
//! use apoyando_hands::{RightPlan, finger};
//! use apoyando_method::{Setting, preparation, scale};
//! use apoyando_music::{PartIndex, ScaleKind};
//!
//! let (instrument, level) = (Instrument::guitar(), Level::first());
//! let setting = Setting::new("C major".parse()?, "I".parse()?, &instrument, &level);
//! let written = scale::write(&setting, ScaleKind::Major, None)?;
//! let effort = EffortTable::default();
//! let problem = Problem {
//!     score: &written.score,
//!     part: PartIndex(0),
//!     instrument: &instrument,
//!     level: &level,
//!     pins: &written.pins[0],
//!     effort: &effort,
//!     house: &apoyando_fingering::NO_HOUSE,
//! };
//! let solution = finger(&problem, &written.right)?;
//! let preparation = preparation::prepare(&problem, &written.right, &solution.fingering)?;
//! // The scale lies in its position: no shift, but a bar that asks the most.
//! assert!(preparation.moves.is_empty());
//! assert!(preparation.sentences()[0].contains("is the hardest"));
//! let round = preparation.hardest.unwrap().round.unwrap();
//! assert_eq!(round.score.bars().last().unwrap().repeat_end, Some(2));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod barres;
mod common;
mod cut;
mod hardest;
mod moves;
mod reading;
mod round;
mod said;
mod seams;
mod staying;

pub use barres::BarreAdvice;
pub use common::{CommonFingers, Kept};
pub use hardest::{Hardest, Load};
pub use moves::{Hop, Move, Reach, ShiftAdvice};
pub use round::{Loop, Seam};
pub use seams::WayBack;
pub use staying::{Purpose, Staying};

use apoyando_fingering::{Fingering, Problem};
use apoyando_hands::RightPlan;
use apoyando_music::{Moment, Score};

use crate::error::MethodError;
use reading::Reading;

/// A place in the music as it is spoken of.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Spot {
    /// The onset.
    pub at: Moment,
    /// Printed number of the bar.
    pub bar: u32,
    /// Beat as it is felt, from 1: `2`, `3½`.
    pub beat: String,
}

impl Spot {
    fn of(score: &Score, at: Moment) -> Self {
        let (bar, beat) = score.bar_and_beat(at);
        Self { at, bar, beat }
    }
}

/// Everything that there is to prepare in a part.
#[derive(Clone, PartialEq, Debug)]
pub struct Preparation {
    /// The hardest bar; `None` where nothing is stopped.
    pub hardest: Option<Hardest>,
    /// Every shift and every reach of the fingering, once, in order: a shift by
    /// itself or in a hop.
    pub moves: Vec<Move>,
    /// Every way back of a repeat or a jump that shifts the hand, in order.
    pub ways_back: Vec<WayBack>,
    /// Every barre, in order.
    pub barres: Vec<BarreAdvice>,
    /// Fingers that stay from one chord to the next.
    pub common: Vec<CommonFingers>,
    /// Fingers that are down and stop nothing for a while, in order.
    pub staying: Vec<Staying>,
}

/// Reads from a finished fingering what is to be prepared. The plan of the
/// right hand is that by which the part was fingered; it is only asked for the
/// strokes in the loop.
///
/// # Errors
/// If the fingering is one of another score or part.
pub fn prepare(
    problem: &Problem<'_>,
    right: &RightPlan,
    fingering: &Fingering,
) -> Result<Preparation, MethodError> {
    let reading = Reading::of(problem, fingering)?;
    let shifts = moves::shifts(&reading);
    let common = common::find(&reading, &shifts);
    let mut moves = moves::with_hops(&reading, shifts);
    moves.extend(moves::reaches(&reading));
    moves.sort_by_key(|one| one.spot().at);
    Ok(Preparation {
        hardest: hardest::find(&reading, right),
        common,
        moves,
        ways_back: seams::find(&reading),
        barres: barres::find(&reading),
        staying: staying::find(&reading),
    })
}

//! Which bar asks the most of the left hand, and for what.

use std::collections::BTreeMap;

use apoyando_fingering::Term;
use apoyando_hands::RightPlan;
use apoyando_music::BarIndex;

use super::cut::tempo_at;
use super::reading::Reading;
use super::round::{Loop, of_bar};

/// What makes a bar hard: terms of the effort under what a player would call
/// them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Load {
    /// Shifts, with their way and what eases them.
    Shifts,
    /// Extensions and wide stretches.
    Stretches,
    /// Laying and holding barres.
    Barres,
    /// Reaches away from the position.
    Reaches,
    /// Slurs and glissandi.
    Slurs,
    /// Ornaments that have no fingers.
    Ornaments,
    /// Fingers that come down anew on another string.
    Landing,
    /// Notes that cannot be held for their value.
    CutNotes,
    /// A finger that jumps strings.
    Jumps,
    /// A finger that slides to the next note.
    Slides,
    /// A finger that takes another's place.
    Replacing,
    /// Fingers crowded or crossed.
    Crowded,
    /// Work for 3 and 4, and the two in turn.
    WeakFingers,
    /// A high position.
    Height,
    /// Many stopped notes.
    Stopped,
}

/// The hardest bar of a part.
#[derive(Clone, PartialEq, Debug)]
pub struct Hardest {
    /// The bar.
    pub bar: BarIndex,
    /// Its printed number.
    pub number: u32,
    /// The effort of the left hand in it, by the table, what is a matter of taste
    /// left aside.
    pub effort: i64,
    /// What the effort is made of, the largest first; the amounts add up to
    /// the effort.
    pub loads: Vec<(Load, i64)>,
    /// Whether it was reckoned without a metronome mark, at 72 quarters a
    /// minute.
    pub usual_tempo: bool,
    /// How many bars ask anything of the left hand.
    pub of_bars: usize,
    /// The bar as an exercise; `None` if its fingering does not stand by
    /// itself.
    pub round: Option<Loop>,
}

pub(super) fn find(reading: &Reading<'_>, right: &RightPlan) -> Option<Hardest> {
    let score = reading.score();
    let mut by_bar: BTreeMap<BarIndex, BTreeMap<Load, i64>> = BTreeMap::new();
    for item in &reading.fingering.items {
        let (Some(bar), Some(load)) = (score.bar_at(item.at), load_of(item.term)) else { continue };
        *by_bar.entry(bar).or_default().entry(load).or_default() += item.amount;
    }
    let effort = |loads: &BTreeMap<Load, i64>| loads.values().sum::<i64>();
    by_bar.retain(|_, loads| effort(loads) > 0);
    let of_bars = by_bar.len();
    // The first of equals.
    let (bar, loads) = by_bar.into_iter().rev().max_by_key(|(_, loads)| effort(loads))?;
    let effort = effort(&loads);
    let mut loads: Vec<(Load, i64)> =
        loads.into_iter().filter(|(_, amount)| *amount != 0).collect();
    loads.sort_by_key(|(load, amount)| (-amount, *load));
    Some(Hardest {
        bar,
        number: score.bar(bar).number,
        effort,
        loads,
        usual_tempo: tempo_at(score, bar).is_none(),
        of_bars,
        round: of_bar(reading, right, bar),
    })
}

/// What a term is to a player; `None` for those of taste and of the right hand.
const fn load_of(term: Term) -> Option<Load> {
    Some(match term {
        Term::Shift | Term::Travel | Term::Ease => Load::Shifts,
        Term::Hop | Term::HopStay => Load::Reaches,
        Term::Extension | Term::Stretch => Load::Stretches,
        Term::BarreHold | Term::BarreIdle | Term::BarreLay | Term::Hinge => Load::Barres,
        Term::CutMelody | Term::CutBass | Term::CutInner | Term::Ring => Load::CutNotes,
        Term::Jump | Term::JumpBass | Term::Leap | Term::Twice => Load::Jumps,
        Term::Land => Load::Landing,
        Term::Slide => Load::Slides,
        Term::Replace | Term::Exchange => Load::Replacing,
        Term::Lean
        | Term::Contraction
        | Term::Crossed
        | Term::Crowd
        | Term::Lead
        | Term::LeadStay => Load::Crowded,
        Term::Finger3 | Term::Finger4 | Term::WeakPair => Load::WeakFingers,
        Term::Join | Term::JoinWeak => Load::Slurs,
        Term::Ornament => Load::Ornaments,
        Term::Height => Load::Height,
        Term::Stop => Load::Stopped,
        // An open string that stands out and the house style are hard for nobody.
        _ => return None,
    })
}

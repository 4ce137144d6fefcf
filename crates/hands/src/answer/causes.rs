//! What an alternative pays more and less, gathered under what a player would
//! call it.

use apoyando_fingering::Term;
use apoyando_music::Moment;

use super::alternatives::Change;

/// What several terms have in common.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) enum Cause {
    /// A shift that the other fingering does not have.
    Shift,
    /// The same shift, over a longer way.
    Way,
    /// The same shift, made easier by something.
    Ease,
    Reach,
    Barre,
    Melody,
    Bass,
    Inner,
    Ring,
    Jump,
    Slide,
    Replace,
    /// Another finger takes over what sounds on, or should and does not.
    Second,
    Crossed,
    Crowded,
    WeakFinger,
    WeakPair,
    Height,
    /// A momentary reach.
    Hop,
    /// Fingers that come down anew.
    Land,
    /// A slur or glissando that is not made, or made by 3 and 4.
    Join,
    Ornament,
    /// An open string amid stopped notes, or a long one.
    Tone,
    House,
    Stop,
}

/// A cause with what it comes to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Weight {
    pub cause: Cause,
    /// What the alternative pays more for it in the whole; negative if less.
    pub amount: i64,
    /// The onsets at which it pays more, and those at which it pays less.
    pub more: Vec<Moment>,
    pub less: Vec<Moment>,
}

/// The causes of an itemised difference, the dearest of the alternative first,
/// what it spares last.
pub(crate) fn weigh(changes: &[Change]) -> Vec<Weight> {
    let mut parts: Vec<(Cause, Moment, i64)> = Vec::new();
    for same in changes.chunk_by(|a, b| a.at == b.at) {
        let shifts = same.iter().any(|change| change.term == Term::Shift);
        let travels = same.iter().any(|change| change.term == Term::Travel);
        for change in same {
            let cause = match change.term {
                Term::Travel | Term::Ease if shifts => Cause::Shift,
                Term::Ease if travels => Cause::Way,
                term => cause_of(term),
            };
            parts.push((cause, change.at, change.amount));
        }
    }
    parts.sort_unstable();
    let mut weights: Vec<Weight> = parts
        .chunk_by(|a, b| a.0 == b.0)
        .map(|same| {
            let mut weight =
                Weight { cause: same[0].0, amount: 0, more: Vec::new(), less: Vec::new() };
            for onset in same.chunk_by(|a, b| a.1 == b.1) {
                let amount: i64 = onset.iter().map(|part| part.2).sum();
                weight.amount += amount;
                match amount {
                    1.. => weight.more.push(onset[0].1),
                    0 => {}
                    _ => weight.less.push(onset[0].1),
                }
            }
            weight
        })
        .filter(|weight| weight.amount != 0)
        .collect();
    weights.sort_by_key(|weight| (-weight.amount, weight.cause));
    weights
}

const fn cause_of(term: Term) -> Cause {
    match term {
        Term::Shift => Cause::Shift,
        Term::Travel => Cause::Way,
        Term::Ease => Cause::Ease,
        Term::Extension | Term::Stretch => Cause::Reach,
        Term::BarreHold | Term::BarreIdle | Term::BarreLay | Term::Hinge => Cause::Barre,
        Term::CutMelody => Cause::Melody,
        Term::CutBass => Cause::Bass,
        Term::CutInner => Cause::Inner,
        Term::Ring => Cause::Ring,
        Term::Jump | Term::JumpBass | Term::Leap | Term::Twice => Cause::Jump,
        Term::Land => Cause::Land,
        Term::Hop | Term::HopStay => Cause::Hop,
        Term::Join | Term::JoinWeak => Cause::Join,
        Term::Ornament => Cause::Ornament,
        Term::ToneHigh | Term::ToneLong => Cause::Tone,
        Term::House => Cause::House,
        Term::Slide => Cause::Slide,
        Term::Replace | Term::Exchange => Cause::Replace,
        Term::Substitute | Term::Unchanged => Cause::Second,
        Term::Crossed => Cause::Crossed,
        Term::Contraction | Term::Lead | Term::LeadStay | Term::Crowd => Cause::Crowded,
        Term::Finger3 | Term::Finger4 => Cause::WeakFinger,
        Term::WeakPair => Cause::WeakPair,
        Term::Height => Cause::Height,
        // The others are percentages or the right hand's and are never billed.
        _ => Cause::Stop,
    }
}

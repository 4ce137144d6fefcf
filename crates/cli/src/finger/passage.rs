//! Other ways for bars: each a whole search of its own, with one more rule for
//! these bars.

use std::collections::BTreeMap;

use apoyando_fingering::{
    BarreLimit, Fingering, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, Position, PositionSet,
    Price, Problem, Scope, Term,
};
use apoyando_hands::{RightPlan, Solution, Solved};
use apoyando_music::Moment;

/// In what bars are played otherwise.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Otherwise {
    /// The hand stays in a position.
    Position(Position),
    /// No open string is struck.
    Stopped,
    /// No barre lies.
    NoBarre,
}

/// The best fingering with a difference in some bars.
pub struct OtherPassage {
    /// The difference.
    pub otherwise: Otherwise,
    /// What the whole fingering costs.
    pub price: Price,
    /// The effort by which that is more than the best.
    pub more: u64,
    /// By term, what it pays more and what less.
    pub changes: Vec<(Term, i64)>,
}

impl Otherwise {
    const fn rule(self) -> PinRule {
        match self {
            Self::Position(position) => PinRule::Positions(PositionSet::only(position)),
            Self::Stopped => PinRule::LeftFingers(LeftFingerSet::STOPPED),
            Self::NoBarre => PinRule::Barre(BarreLimit::None),
        }
    }

    /// The difference as a player says it.
    pub fn in_words(self) -> String {
        match self {
            Self::Position(position) => format!("all in {position}"),
            Self::Stopped => "no open string".to_owned(),
            Self::NoBarre => "no barre".to_owned(),
        }
    }
}

/// The other ways for some bars that leave out no more and break no more rules
/// than the best: in every position, without open strings, without a barre; the
/// cheapest first. A way that the best fingering goes already is none.
pub fn passages(
    problem: &Problem<'_>,
    right: &RightPlan,
    best: &Solution,
    bars: Scope,
) -> Vec<OtherPassage> {
    let best = &best.fingering;
    let last = problem.instrument.frets.0.saturating_sub(problem.instrument.capo.0);
    let positions = (1..=last.min(problem.level.highest_fret.0)).filter_map(Position::new);
    let positions = positions.filter(|position| problem.level.positions.contains(*position));
    let ways = positions.map(Otherwise::Position).chain([Otherwise::Stopped, Otherwise::NoBarre]);
    let mut found: Vec<OtherPassage> = ways
        .filter(|otherwise| !goes(problem, best, bars, *otherwise))
        .filter_map(|otherwise| {
            let mut pins = Pins(problem.pins.0.clone());
            pins.0.push(Pin { scope: bars, rule: otherwise.rule(), author: PinAuthor::Author });
            let asked = Problem { pins: &pins, ..*problem };
            // Like bars are alike in the best as well.
            let (solved, _) = apoyando_hands::solve(&asked, right).and_then(Solved::alike).ok()?;
            let fingering = solved.into_solution().fingering;
            let price = fingering.price;
            let as_good = (price.escapes, price.broken) == (best.price.escapes, best.price.broken);
            as_good.then(|| OtherPassage {
                otherwise,
                price,
                more: price.effort.saturating_sub(best.price.effort),
                changes: changes(best, &fingering),
            })
        })
        .collect();
    found.sort_by_key(|other| (other.more, other.otherwise));
    found
}

/// Whether a fingering goes this way in the bars as it is.
fn goes(problem: &Problem<'_>, fingering: &Fingering, bars: Scope, otherwise: Otherwise) -> bool {
    let inside = |at: Moment| match bars {
        Scope::Bars { first, last } => {
            problem.score.bar_at(at).is_some_and(|bar| first <= bar && bar <= last)
        }
        Scope::Tone(_) => false,
    };
    let mut postures = fingering.postures.iter().filter(|posture| inside(posture.at));
    match otherwise {
        Otherwise::Position(position) => {
            postures.all(|posture| posture.idle || posture.position == Some(position))
        }
        Otherwise::NoBarre => postures.all(|posture| posture.barre.is_none()),
        Otherwise::Stopped => {
            let tones = problem.score.tones(problem.part);
            let mut struck = tones.as_slice().iter().filter(|tone| inside(tone.onset));
            struck.all(|tone| fingering.tone(tone.id).left.is_none_or(|left| left.finger.is_some()))
        }
    }
}

/// By term, what another fingering pays more and what less.
fn changes(best: &Fingering, other: &Fingering) -> Vec<(Term, i64)> {
    let mut sums: BTreeMap<Term, i64> = BTreeMap::new();
    for item in &other.items {
        *sums.entry(item.term).or_default() += item.amount;
    }
    for item in &best.items {
        *sums.entry(item.term).or_default() -= item.amount;
    }
    sums.into_iter().filter(|(_, amount)| *amount != 0).collect()
}

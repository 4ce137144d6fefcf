//! What the right hand's layers and moves cost (model §6).

use std::cmp::Ordering;

use apoyando_fingering::{EffortTable, RightFinger, RightPlan, Term};

use crate::heard::hurry;

use super::beat::{Beat, Beats, Pluck};
use super::hand::{Hand, MIDDLE, RING, THUMB};
use super::home;

/// Two plucks of a finger closer than this are a repetition, in milliseconds.
const REPETITION: i64 = 1000;
/// In a line they are up to this; after a longer rest or note it begins anew.
const ANEW: i64 = 2000;

/// From one lone sound to another: by whether one of them is a line, direction
/// and hurry; from finger to finger.
type Crossings = [[[[[i64; 4]; 4]; 5]; 3]; 2];

/// The price of hands and moves under a table and a plan.
#[derive(Debug)]
pub(super) struct Costs<'a> {
    table: &'a EffortTable,
    /// Voices that hold notes.
    voices: usize,
    pair: [u8; 2],
    crossings: Crossings,
}

/// What is common to all moves from a layer to another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// For each of i, m and a in both.
    repeat: i64,
    /// For one of them that is the only one in both, where it has time.
    again: i64,
    /// For p in both, and under which term.
    thumb: i64,
    thumb_term: Term,
    /// From a lone sound to a lone sound.
    crossing: Option<Crossing>,
    /// Otherwise, outside broken chords: from the thinnest string of the one to that of the
    /// other.
    above: Option<Ordering>,
}

impl Step {
    /// Whether fingers over basses cross against the order.
    fn crosses_above(&self, from: Grip, to: Grip) -> bool {
        let by_fingers = from.above != THUMB && to.above != THUMB;
        by_fingers && self.above.is_some_and(|towards| against(towards, from.above, to.above))
    }
}

/// What a move from one lone sound to another depends on.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    /// Whether one of them is a line.
    line: bool,
    towards: Ordering,
    hurry: i64,
}

/// A hand with what the inner loop asks of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grip {
    /// The fingers in use, as bits.
    pub set: u8,
    /// The finger on the thickest string.
    pub first: u8,
    /// The finger on the thinnest string if p has all the others, or p.
    pub above: u8,
}

impl Grip {
    pub fn of(hand: Hand) -> Self {
        let mut below = hand.fingers();
        let last = below.next_back().unwrap_or(THUMB);
        let above = if below.all(|finger| finger == THUMB) { last } else { THUMB };
        Self { set: hand.set(), first: hand.first().unwrap_or(THUMB), above }
    }
}

/// Towards the thick strings, fingers count away from the thumb.
const fn direction(towards: Ordering) -> usize {
    match towards {
        Ordering::Less => 0,
        Ordering::Equal => 1,
        Ordering::Greater => 2,
    }
}

/// Whether a finger is against the order after another on another string.
fn against(towards: Ordering, from: u8, to: u8) -> bool {
    match towards {
        Ordering::Less => to < from,
        Ordering::Greater => to > from,
        Ordering::Equal => false,
    }
}

/// The term of a move from one lone sound to another, if it has one.
fn crossing(at: Crossing, from: u8, to: u8) -> Option<Term> {
    let Crossing { line, towards, hurry } = at;
    let under = !line && hurry > 1 && to == THUMB && from != THUMB;
    let awkward = against(towards, from, to) || towards == Ordering::Equal && under;
    let fingers = from != THUMB && to != THUMB;
    let term = if line && fingers { Term::RhCross } else { Term::RhTangle };
    awkward.then_some(term)
}

/// Whether one of i, m and a is the only one of them in two hands.
const fn only_finger_again(from: Grip, to: Grip) -> bool {
    from.set >> 1 == to.set >> 1 && (from.set >> 1).is_power_of_two()
}

const fn weak(from: u8, to: u8) -> bool {
    matches!((from, to), (MIDDLE, RING) | (RING, MIDDLE))
}

fn weakness(table: &EffortTable, hurry: i64) -> i64 {
    i64::from(table.rh_weak) * (hurry - 2).max(0)
}

impl<'a> Costs<'a> {
    pub fn new(table: &'a EffortTable, plan: &RightPlan, voices: usize) -> Self {
        let mut crossings = Crossings::default();
        for line in [false, true] {
            for towards in [Ordering::Less, Ordering::Equal, Ordering::Greater] {
                let by_hurry = &mut crossings[usize::from(line)][direction(towards)];
                for (hurry, costs) in (0..).zip(by_hurry) {
                    for (from, row) in (0..).zip(costs) {
                        for (to, cost) in (0..).zip(row) {
                            let at = Crossing { line, towards, hurry };
                            let against = crossing(at, from, to);
                            *cost = against.map_or(0, |term| i64::from(table.value(term)));
                            if weak(from, to) {
                                *cost += weakness(table, hurry);
                            }
                        }
                    }
                }
            }
        }
        Self { table, voices, pair: plan.pair.map(|finger: RightFinger| finger as u8), crossings }
    }

    /// Every term of a hand by itself.
    pub fn own(&self, beats: &Beats, layer: usize, hand: Hand, mut add: impl FnMut(Term, i64)) {
        let beat = &beats.beats[layer];
        let table = self.table;
        for (pluck, finger) in beats.plucks(beat).iter().zip(hand.fingers()) {
            let bass = (pluck.bass && self.voices > 1) || beat.lone_bass;
            if bass && finger != THUMB {
                add(Term::RhBass, i64::from(table.rh_bass));
            }
            if finger == THUMB && self.out_of_place(beat, *pluck) {
                add(Term::RhThumbLine, i64::from(table.rh_thumb_line));
            }
            if !beat.lone || beat.broken {
                let steps = i64::from(finger.abs_diff(pluck.home));
                let term = if beat.broken { Term::RhFigure } else { Term::RhHome };
                add(term, i64::from(table.value(term)) * steps);
            }
            if beat.begins && finger != THUMB {
                add(Term::RhBegin, i64::from(table.rh_begin));
            }
            if beat.line && finger == RING {
                add(Term::RhRing, i64::from(table.rh_ring));
            }
            if layer == 0 && beat.line && finger != self.pair[0] {
                add(Term::RhFirst, i64::from(table.rh_first));
            }
        }
    }

    /// Whether the thumb is not for a sound.
    fn out_of_place(&self, beat: &Beat, pluck: Pluck) -> bool {
        let is_bass = pluck.bass || beat.lone_bass;
        beat.lone
            && !is_bass
            && (!beat.broken || pluck.string < home::THICK)
            && !(beat.line && self.pair.contains(&THUMB))
    }

    /// What is common to all moves from a layer to another, so many milliseconds later.
    pub fn step(&self, beats: &Beats, (from, to): (usize, usize), milliseconds: i64) -> Step {
        let (a, b) = (&beats.beats[from], &beats.beats[to]);
        let near = milliseconds < REPETITION;
        let hurry = hurry(milliseconds);
        let repeat = i64::from(self.table.rh_repeat);
        let both_lone = a.lone && b.lone;
        let goes_on = milliseconds < ANEW;
        let line_of_p = a.line && b.line && self.pair.contains(&THUMB);
        let (thumb, thumb_term) = if line_of_p && goes_on {
            (repeat, Term::RhRepeat)
        } else {
            let value = if near { i64::from(self.table.rh_thumb_repeat) } else { 0 };
            (value * hurry, Term::RhThumbRepeat)
        };
        let crossing = both_lone.then(|| {
            let towards = beats.plucks(b)[0].string.cmp(&beats.plucks(a)[0].string);
            Crossing { line: a.line || b.line, towards, hurry }
        });
        let thinnest = |beat| beats.plucks(beat).last().map(|pluck| pluck.string);
        let above = (!both_lone && !a.broken && !b.broken).then(|| thinnest(b).cmp(&thinnest(a)));
        let (repeat, again) = if near || both_lone && goes_on {
            (repeat, 0)
        } else {
            (0, i64::from(self.table.rh_again))
        };
        Step { repeat, again, thumb, thumb_term, crossing, above }
    }

    /// The price of a move.
    pub fn moved(&self, step: &Step, from: Grip, to: Grip) -> i64 {
        let both = from.set & to.set;
        let mut cost = step.repeat * i64::from((both >> 1).count_ones());
        cost += step.again * i64::from(only_finger_again(from, to));
        cost += step.thumb * i64::from(both & 1);
        if let Some(Crossing { line, towards, hurry }) = step.crossing {
            let costs = &self.crossings[usize::from(line)][direction(towards)][hurry as usize];
            cost += costs[usize::from(from.first)][usize::from(to.first)];
        }
        if step.crosses_above(from, to) {
            cost += i64::from(self.table.rh_cross);
        }
        cost
    }

    /// Every term of a move.
    pub fn move_terms(
        &self,
        step: &Step,
        (from, to): (Grip, Grip),
        mut add: impl FnMut(Term, i64),
    ) {
        let both = from.set & to.set;
        add(Term::RhRepeat, step.repeat * i64::from((both >> 1).count_ones()));
        add(Term::RhAgain, step.again * i64::from(only_finger_again(from, to)));
        add(step.thumb_term, step.thumb * i64::from(both & 1));
        if let Some(at) = step.crossing {
            if let Some(term) = crossing(at, from.first, to.first) {
                add(term, i64::from(self.table.value(term)));
            }
            if weak(from.first, to.first) {
                add(Term::RhWeak, weakness(self.table, at.hurry));
            }
        }
        if step.crosses_above(from, to) {
            add(Term::RhCross, i64::from(self.table.rh_cross));
        }
    }
}

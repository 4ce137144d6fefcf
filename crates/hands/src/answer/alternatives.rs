//! What else there is for a note, and what it would cost (model §8).

use apoyando_fingering::{Fingering, LeftFinger, Position, Price, Term};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, ToneId};

use super::bill;
use crate::hand::{POSITIONS, Played, STRINGS};
use crate::heard::again::FARTHEST;
use crate::search::settle::{Settled, settle};
use crate::search::sheet::NEVER as NO_WAY;
use crate::search::solution::Tables;
use crate::search::stage::{Choice, Stage};
use crate::search::walk;
use crate::solved::{Solved, Weighed};
use crate::when;

/// In what a fingering differs from the best one at a note.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Difference {
    /// The note is played at another place.
    Place(Place),
    /// It is stopped at the same place by another finger.
    Finger(LeftFinger),
    /// The hand is in another position when it is struck.
    Position(Position),
}

/// The best of all fingerings with a difference at a note, among those that
/// leave out no more and break no more rules than the best of all.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Alternative {
    /// The note.
    pub tone: ToneId,
    /// In what it differs.
    pub difference: Difference,
    /// What the whole fingering costs.
    pub price: Price,
    /// The effort by which that is more than the best.
    pub more: u64,
}

/// One term of the effort that an alternative pays more or less than the best
/// fingering at one onset.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Change {
    /// The term of the table.
    pub term: Term,
    /// The onset it is charged at.
    pub at: Moment,
    /// The number of its bar, as printed.
    pub bar: u32,
    /// What the alternative pays there above the best; negative where it pays
    /// less.
    pub amount: i64,
}

impl Solved<'_> {
    /// The alternatives of a note, the cheapest first, those as cheap in the
    /// order of [`Difference`]; none for a tone of another part.
    ///
    /// There is one for every other place, for every other finger at its own
    /// place, and for every other position, as far as the rules leave any.
    pub fn alternatives(&self, tone: ToneId) -> Vec<Alternative> {
        self.weighed.alternatives(tone)
    }

    /// The alternatives of every note, by the number of its tone.
    pub fn all_alternatives(&self) -> Vec<Vec<Alternative>> {
        let tones = self.weighed.tones.as_slice();
        tones.iter().map(|tone| self.alternatives(tone.id)).collect()
    }

    /// The whole fingering of an alternative, for the left hand and the right;
    /// `None` if it is none of this solution.
    pub fn fingering_of(&self, alternative: &Alternative) -> Option<Fingering> {
        let way = self.weighed.way_of(alternative)?;
        Some(self.weighed.written_out(&way).fingering)
    }

    /// What an alternative pays more and what less than the best fingering, in
    /// the order of the onsets; adds up to [`Alternative::more`]. Empty if it
    /// is none of this solution.
    pub fn changes(&self, alternative: &Alternative) -> Vec<Change> {
        self.weighed.way_of(alternative).map_or_else(Vec::new, |way| self.weighed.changes(&way))
    }
}

/// More than any way costs.
const NEVER: i64 = i64::MAX;

/// The least price of a whole way by each difference at a sound.
struct Least {
    by_place: [[i64; 25]; STRINGS],
    by_finger: [i64; 5],
    by_position: [i64; POSITIONS],
}

impl Least {
    const NONE: Self = Self {
        by_place: [[NEVER; 25]; STRINGS],
        by_finger: [NEVER; 5],
        by_position: [NEVER; POSITIONS],
    };
}

impl Weighed<'_> {
    fn alternatives(&self, tone: ToneId) -> Vec<Alternative> {
        let Some((layer, index)) = self.struck_at(tone) else { return Vec::new() };
        let Some(best) = self.search.way.get(layer).copied() else { return Vec::new() };
        let own = self.search.played(layer, index, best);
        let least = self.least(layer, index, own);
        let best_price = self.price();
        let mut found = Vec::new();
        let mut add = |difference: Difference, effort: i64| {
            if effort < NEVER {
                let price = Price { effort: u64::try_from(effort).unwrap_or(0), ..best_price };
                let more = price.effort.saturating_sub(best_price.effort);
                found.push(Alternative { tone, difference, price, more });
            }
        };
        for (string, by_fret) in least.by_place.iter().enumerate() {
            let Some(number) = StringNumber::new(string as u8 + 1) else { continue };
            for (fret, effort) in by_fret.iter().enumerate() {
                if (string, fret) != (usize::from(own.string), usize::from(own.fret)) {
                    let place = Place { string: number, fret: Fret(fret as u8) };
                    add(Difference::Place(place), *effort);
                }
            }
        }
        for finger in LeftFinger::ALL {
            if finger.digit() != own.finger {
                add(Difference::Finger(finger), least.by_finger[usize::from(finger.digit())]);
            }
        }
        let stage = &self.search.stages[layer];
        let position = position_of(stage, best);
        for position in (1..=Position::MOST).filter(|p| *p != position).filter_map(Position::new) {
            add(Difference::Position(position), least.by_position[usize::from(position.get())]);
        }
        found.sort_by_key(|a| (a.more, a.difference));
        found
    }

    /// The least effort with each difference.
    ///
    /// With seams the tables hold what is assumed of the best way. What costs as
    /// much when nothing is assumed is proven; the rest is settled by itself.
    fn least(&self, layer: usize, index: usize, own: Played) -> Least {
        let tables = self.search.tables();
        let mut least = self.least_in(layer, index, own, (tables, &self.search.stages));
        if self.search.ground.music.order.seams.is_empty() {
            return least;
        }
        let free = self.search.unassumed();
        let bound = self.least_in(layer, index, own, (&free.1, &free.0));
        let settle = |difference: Difference, least: &mut i64, bound: i64| {
            if *least != bound {
                let settled = self.settled(layer, index, own, difference);
                *least = settled.map_or(NEVER, |settled| settled.effort);
            }
        };
        for (string, by_fret) in least.by_place.iter_mut().enumerate() {
            let Some(string_number) = StringNumber::new(string as u8 + 1) else { continue };
            for (fret, effort) in by_fret.iter_mut().enumerate() {
                let place = Place { string: string_number, fret: Fret(fret as u8) };
                settle(Difference::Place(place), effort, bound.by_place[string][fret]);
            }
        }
        for finger in LeftFinger::ALL {
            let digit = usize::from(finger.digit());
            settle(Difference::Finger(finger), &mut least.by_finger[digit], bound.by_finger[digit]);
        }
        for position in (1..=Position::MOST).filter_map(Position::new) {
            let number = usize::from(position.get());
            settle(
                Difference::Position(position),
                &mut least.by_position[number],
                bound.by_position[number],
            );
        }
        least
    }

    fn least_in(
        &self,
        layer: usize,
        index: usize,
        own: Played,
        (tables, stages): (&Tables, &[Stage]),
    ) -> Least {
        let stage = &stages[layer];
        let struck = self.search.ground.music.layers[layer].struck().len();
        let before = &tables.from_start[layer];
        let besides = before.least + tables.least_to_end[layer];
        let mut least = Least::NONE;
        for bucket in &stage.buckets {
            for (at, number) in bucket.shapes.clone().enumerate() {
                let played = bucket.sheet.played(at, struck)[index];
                let mut of_shape = NEVER;
                for stand in &stage.stands[stage.stands_of(number)] {
                    let lanes = stand.lanes();
                    let costs = before.above[lanes.clone()].iter().zip(&stage.totals[lanes]);
                    for (position, (from, to)) in (usize::from(stand.low)..).zip(costs) {
                        if *from == NO_WAY || *to == NO_WAY {
                            continue;
                        }
                        let cost = besides + i64::from(*from) + i64::from(*to);
                        of_shape = of_shape.min(cost);
                        if !stand.is_idle() {
                            let least = &mut least.by_position[position];
                            *least = (*least).min(cost);
                        }
                    }
                }
                if played != Played::OUT {
                    let place = &mut least.by_place[usize::from(played.string)];
                    let place = &mut place[usize::from(played.fret)];
                    *place = (*place).min(of_shape);
                    if (played.string, played.fret) == (own.string, own.fret) {
                        let finger = &mut least.by_finger[usize::from(played.finger)];
                        *finger = (*finger).min(of_shape);
                    }
                }
            }
        }
        least
    }

    /// The states of a layer with a difference.
    fn differing(
        &self,
        layer: usize,
        index: usize,
        own: Played,
        difference: Difference,
    ) -> Vec<Choice> {
        let stage = &self.search.stages[layer];
        let differs = |choice: &Choice| {
            let played = self.search.played(layer, index, *choice);
            match difference {
                Difference::Place(place) => {
                    played != Played::OUT
                        && usize::from(played.string) == place.string.index()
                        && played.fret == place.fret.0
                }
                Difference::Finger(finger) => {
                    played != Played::OUT
                        && (played.string, played.fret) == (own.string, own.fret)
                        && played.finger == finger.digit()
                }
                Difference::Position(position) => position_of(stage, *choice) == position.get(),
            }
        };
        stage.choices().filter(differs).collect()
    }

    /// The best of all ways with a difference, seams and all.
    fn settled(
        &self,
        layer: usize,
        index: usize,
        own: Played,
        difference: Difference,
    ) -> Option<Settled> {
        let states = self.differing(layer, index, own, difference);
        let mut stages = self.search.stages.clone();
        let settled = settle(self.search.kit(), &mut stages, Some((layer, &states)));
        Some(settled).filter(|settled| !settled.way.is_empty())
    }

    /// The way of an alternative.
    pub fn way_of(&self, alternative: &Alternative) -> Option<Vec<Choice>> {
        let (layer, index) = self.struck_at(alternative.tone)?;
        let own = self.search.played(layer, index, *self.search.way.get(layer)?);
        if !self.search.ground.music.order.seams.is_empty() {
            let settled = self.settled(layer, index, own, alternative.difference)?;
            return Some(settled.way);
        }
        let tables = self.search.tables();
        let effort = i64::try_from(alternative.price.effort).ok()?;
        let mut states = self.differing(layer, index, own, alternative.difference);
        states.retain(|c| self.search.effort_through(tables, layer, *c) == Some(effort));
        (!states.is_empty()).then(|| self.search.through(&tables.from_start, layer, states))
    }

    /// What a way pays more and what less than the best.
    ///
    /// Ways that part meet again, and where they are the same they pay the same;
    /// only what lies between is billed, if no seam reaches over it.
    pub fn changes(&self, way: &[Choice]) -> Vec<Change> {
        let ground = &self.search.ground;
        let best = &self.search.way;
        let differs = |layer: &usize| best[*layer] != way[*layer];
        let Some(first) = (0..way.len()).find(differs) else { return Vec::new() };
        let last = (0..way.len()).rev().find(differs).unwrap_or(first);
        // A shift after an idle run, a leap and a note that comes again look back; nothing
        // looks farther.
        let idle = |layer: usize| {
            let stage = &self.search.stages[layer];
            stage.is_idle(best[layer]) || stage.is_idle(way[layer])
        };
        let past = (last + 1..way.len()).find(|layer| !idle(*layer)).unwrap_or(way.len());
        let layers = if ground.music.order.seams.is_empty() {
            first..(past + 1 + FARTHEST).min(way.len())
        } else {
            0..way.len()
        };
        let bill = |way: &[Choice]| {
            let hands = walk::hands(ground, &self.search.stages, way);
            bill::bill(ground, &hands, layers.clone()).0
        };
        let other = bill(way).into_iter().map(|item| (item.at, item.term, item.amount));
        let best = bill(best).into_iter().map(|item| (item.at, item.term, -item.amount));
        let mut items: Vec<(Moment, Term, i64)> = other.chain(best).collect();
        items.sort_unstable();
        items
            .chunk_by(|a, b| (a.0, a.1) == (b.0, b.1))
            .map(|same| Change {
                term: same[0].1,
                at: same[0].0,
                bar: when::bar_number(self.problem.score, same[0].0),
                amount: same.iter().map(|item| item.2).sum(),
            })
            .filter(|change| change.amount != 0)
            .collect()
    }
}

/// The position of a posture, 0 if it is idle.
fn position_of(stage: &Stage, choice: Choice) -> u8 {
    if stage.is_idle(choice) { 0 } else { stage.position(choice) }
}

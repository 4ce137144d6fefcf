//! What else there is for a note, and what it would cost (model §8).

use apoyando_fingering::{Fingering, LeftFinger, Position, Price, Term};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_music::{Moment, ToneId};

use crate::account;
use crate::from_start::FromStart;
use crate::geometry::STRINGS;
use crate::limits::POSITIONS;
use crate::moves::NEVER;
use crate::postures::Played;
use crate::solved::{Solved, Weighed};
use crate::stage::Choice;
use crate::through::choices;
use crate::{walk, when};

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

/// What prices the best way through any state.
#[derive(Clone, Debug)]
pub(crate) struct Tables {
    from_start: Vec<FromStart>,
    /// By layer, the least cost from any of its states to the end.
    least_to_end: Vec<i64>,
    /// Of the best way.
    price: Price,
}

/// The least price of a whole way by each difference at a sound.
struct Least {
    by_string: [i64; STRINGS],
    by_finger: [i64; 5],
    by_position: [i64; POSITIONS],
}

impl Weighed<'_> {
    fn tables(&self) -> &Tables {
        self.tables.get_or_init(|| {
            let mut sum = 0;
            let mut least_to_end: Vec<i64> = Vec::with_capacity(self.stages.len());
            for stage in self.stages.iter().rev() {
                sum += stage.rise;
                least_to_end.push(sum);
            }
            least_to_end.reverse();
            let from_start = crate::from_start::price_all(&self.ground, &self.stages);
            Tables { from_start, least_to_end, price: self.price() }
        })
    }

    /// The effort of the best way through a state.
    fn effort_through(&self, tables: &Tables, layer: usize, choice: Choice) -> i64 {
        let to_end = self.stages[layer].to_end(choice) + tables.least_to_end[layer];
        tables.from_start[layer].to(choice) + to_end
    }

    /// The layer at which a tone is struck and its place among the sounds
    /// struck there.
    pub fn struck_at(&self, tone: ToneId) -> Option<(usize, usize)> {
        let sound = *self.sound_of_tone.get(tone.0 as usize)?;
        let layer = self.ground.music.sounds.get(sound)?.layer;
        Some((layer, sound - self.ground.music.layers[layer].first))
    }

    pub fn played(&self, layer: usize, index: usize, choice: Choice) -> Played {
        let stage = &self.stages[layer];
        stage.played[stage.grip(choice).played as usize + index]
    }

    fn alternatives(&self, tone: ToneId) -> Vec<Alternative> {
        let Some((layer, index)) = self.struck_at(tone) else { return Vec::new() };
        let Some(best) = self.way.get(layer).copied() else { return Vec::new() };
        let stage = &self.stages[layer];
        let played = self.played(layer, index, best);
        let least = self.least(layer, index, played);
        let best_price = self.tables().price;
        let mut found = Vec::new();
        let mut add = |difference: Difference, effort: i64| {
            if effort < NEVER {
                let price = Price { effort: u64::try_from(effort).unwrap_or(0), ..best_price };
                let more = price.effort.saturating_sub(best_price.effort);
                found.push(Alternative { tone, difference, price, more });
            }
        };
        let sound = self.ground.music.layers[layer].first + index;
        let key = self.ground.music.sounds[sound].key;
        for (string, effort) in least.by_string.iter().enumerate() {
            let number = StringNumber::new(string as u8 + 1);
            let fret = self.ground.costs.geometry.fret(string, key);
            if let (Some(string), Some(fret), true) =
                (number, fret, string != usize::from(played.string))
            {
                add(Difference::Place(Place { string, fret: Fret(fret) }), *effort);
            }
        }
        for finger in LeftFinger::ALL {
            if finger.digit() != played.finger {
                add(Difference::Finger(finger), least.by_finger[usize::from(finger.digit())]);
            }
        }
        let own = if stage.state(best).idle() { 0 } else { stage.position(best) };
        for position in (1..=Position::MOST).filter(|p| *p != own).filter_map(Position::new) {
            add(Difference::Position(position), least.by_position[usize::from(position.get())]);
        }
        found.sort_by_key(|a| (a.more, a.difference));
        found
    }

    fn least(&self, layer: usize, index: usize, best: Played) -> Least {
        let stage = &self.stages[layer];
        let tables = self.tables();
        let mut least = Least {
            by_string: [NEVER; STRINGS],
            by_finger: [NEVER; 5],
            by_position: [NEVER; POSITIONS],
        };
        for choice in choices(stage) {
            let played = self.played(layer, index, choice);
            let cost = self.effort_through(tables, layer, choice);
            let lower = |least: &mut i64| *least = (*least).min(cost);
            if played != Played::OUT {
                lower(&mut least.by_string[usize::from(played.string)]);
                if played.string == best.string {
                    lower(&mut least.by_finger[usize::from(played.finger)]);
                }
            }
            if let Choice::Stopped(_) = choice {
                lower(&mut least.by_position[usize::from(stage.position(choice))]);
            }
        }
        least
    }

    /// The way of an alternative.
    pub fn way_of(&self, alternative: &Alternative) -> Option<Vec<Choice>> {
        let (layer, index) = self.struck_at(alternative.tone)?;
        let stage = &self.stages[layer];
        let own = self.played(layer, index, *self.way.get(layer)?);
        let differs = |choice: Choice| {
            let played = self.played(layer, index, choice);
            match alternative.difference {
                Difference::Place(place) => usize::from(played.string) == place.string.index(),
                Difference::Finger(finger) => {
                    played.string == own.string && played.finger == finger.digit()
                }
                Difference::Position(position) => {
                    matches!(choice, Choice::Stopped(_)) && stage.position(choice) == position.get()
                }
            }
        };
        let tables = self.tables();
        let effort = i64::try_from(alternative.price.effort).ok()?;
        let states: Vec<Choice> = choices(stage)
            .filter(|choice| {
                self.effort_through(tables, layer, *choice) == effort && differs(*choice)
            })
            .collect();
        (!states.is_empty()).then(|| self.through(&tables.from_start, layer, states))
    }

    /// What a way pays more and what less than the best.
    pub fn changes(&self, way: &[Choice]) -> Vec<Change> {
        let bill = |way: &[Choice]| {
            account::bill(&self.ground, &walk::hands(&self.ground, &self.stages, way)).0
        };
        let other = bill(way).into_iter().map(|item| (item.at, item.term, item.amount));
        let best = bill(&self.way).into_iter().map(|item| (item.at, item.term, -item.amount));
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

//! What could be changed where notes are left out or rules broken, and what each
//! change would cost (model §11).

use apoyando_fingering::{Pin, Placement, Price};
use apoyando_music::{Moment, ToneId};

use super::account::placement;
use super::changed::{Change, Changed};
use super::clash::Clash;
use super::way_wording::Wording;
use crate::error::HandsError;
use crate::hand::limits::Rules;
use crate::search::grips::Grips;
use crate::search::ground::Ground;
use crate::search::solution::Search;
use crate::solved::{Solved, Weighed};
use crate::when;

/// So many spots are looked at; the rest are counted. House: what is wrong at
/// more places than these wants another piece or another level.
const MOST_SPOTS: usize = 32;

/// One change to the question.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum QuestionChange {
    /// This note is left out.
    LeaveOut(ToneId),
    /// This bass sounds an octave higher.
    OctaveUp(ToneId),
    /// A barre may be as wide as need be.
    WiderBarre,
    /// The hand may be in any position.
    AnotherPosition,
    /// Fingers may reach as far out of their frets as any hand does.
    FartherExtension,
    /// Any finger may be used, and the open string.
    AnotherFinger,
    /// Any fret may be used.
    HigherFret,
    /// This pin does not count.
    WithoutPin(Pin),
}

/// A change that leaves out fewer notes at its spot or breaks fewer rules there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WayOut {
    /// What is changed.
    pub change: QuestionChange,
    /// The price of the best fingering of the question so changed; the change
    /// itself counts as one note left out or as one rule broken.
    pub price: Price,
    /// Notes that are still left out at the spot.
    pub left_out: u32,
    /// Rules that are still broken there.
    pub broken: u32,
    /// How the notes struck there are then played; `None` for one left out.
    pub played: Vec<(ToneId, Option<Placement>)>,
    /// What is changed and what it costs, without a full stop.
    pub sentence: String,
}

/// An onset at which the best fingering leaves out notes or breaks rules.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spot {
    /// The onset.
    pub at: Moment,
    /// The number of its bar, as printed.
    pub bar: u32,
    /// The beat, from 1.
    pub beat: String,
    /// The notes left out.
    pub left_out: Vec<ToneId>,
    /// How many rules are broken.
    pub broken: u32,
    /// Which notes cannot be played together, for those left out.
    pub clashes: Vec<Clash>,
    /// What is the matter, without a full stop.
    pub sentence: String,
    /// The ways out, the cheapest first.
    pub ways: Vec<WayOut>,
}

/// All that could be changed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct WaysOut {
    /// The first spots, in their order.
    pub spots: Vec<Spot>,
    /// How many more there are that were not looked at.
    pub more: usize,
}

impl Solved<'_> {
    /// What could be changed where the best fingering leaves out notes or breaks
    /// rules, each with the price that the same search proves. At most 32 spots
    /// are looked at. Like bars need not be alike in it.
    ///
    /// # Errors
    /// As [`finger`](crate::finger), if the bass an octave higher is more than
    /// can be weighed.
    pub fn ways_out(&self) -> Result<WaysOut, HandsError> {
        if self.weighed.held_alike.is_empty() {
            self.weighed.ways_out()
        } else {
            self.weighed.freed()?.ways_out()
        }
    }
}

impl Weighed<'_> {
    fn ways_out(&self) -> Result<WaysOut, HandsError> {
        let spots: Vec<usize> = (0..self.search.stages.len())
            .filter(|layer| self.search.stages[*layer].faults != (0, 0))
            .collect();
        let looked_at = spots.len().min(MOST_SPOTS);
        if looked_at == 0 {
            return Ok(WaysOut::default());
        }
        let mut search = self.search.to_be_changed();
        let spots_told = spots[..looked_at]
            .iter()
            .map(|layer| self.spot(&mut search, *layer))
            .collect::<Result<Vec<Spot>, HandsError>>()?;
        Ok(WaysOut { spots: spots_told, more: spots.len() - looked_at })
    }

    /// The ways out of a spot. The search is left as it was.
    fn spot(&self, search: &mut Search, layer: usize) -> Result<Spot, HandsError> {
        let now = search.stages[layer].faults;
        let as_it_was = search.ground.rules[layer];
        let mut ways = Vec::new();
        for change in self.changes_at(layer) {
            ways.extend(self.way_out(search, layer, &change)?);
        }
        search.ground.rules[layer] = as_it_was;
        self.solve_again(search, layer)?;
        // Those as dear stay in the order in which they were tried.
        ways.sort_by_key(|way| way.price);
        let wording = Wording { weighed: self, layer };
        for way in &mut ways {
            way.sentence = wording.way(way);
        }
        let left_out = self.left_out(layer);
        let clashes = self.clashes(layer);
        let sentence = wording.spot(&left_out, &clashes, u32::from(now.1));
        let at = self.search.ground.music.layers[layer].onset;
        Ok(Spot {
            at,
            bar: when::bar_number(self.problem.score, at),
            beat: when::beat(self.problem.score, at),
            left_out,
            broken: u32::from(now.1),
            clashes,
            sentence,
            ways,
        })
    }

    /// A change with its price, if it is a way out.
    fn way_out(
        &self,
        search: &mut Search,
        layer: usize,
        change: &Change,
    ) -> Result<Option<WayOut>, HandsError> {
        let now = self.search.stages[layer].faults;
        let least = |ground: &Ground, rules: &Rules| {
            Grips::new(ground.pricing(), rules).least_faults().unwrap_or((u16::MAX, 0))
        };
        let (left, price, played) = match self.changed(layer, change) {
            Changed::Nothing => return Ok(None),
            Changed::Rules(rules) => {
                let leaves_out = u16::from(matches!(change, Change::LeaveOut(_)));
                let faults = least(&search.ground, &rules);
                let left = (faults.0 - leaves_out, faults.1);
                if left >= now {
                    return Ok(None);
                }
                search.ground.set_rules(layer, rules);
                self.solve_again(search, layer)?;
                let mut price = search.price();
                // A note left out is an escape already.
                price.broken += u32::from(1 - leaves_out);
                (left, price, self.played_at(search, layer))
            }
            Changed::Music(ground, tones) => {
                let left = least(&ground, ground.rules_on(layer));
                if left >= now {
                    return Ok(None);
                }
                let raised = self.search_in(*ground)?;
                let mut price = raised.price();
                price.escapes += 1;
                let played = self.played_at(&raised, layer).into_iter();
                let mut played: Vec<_> =
                    played.map(|(tone, left)| (tones.old(tone), left)).collect();
                played.sort_unstable_by_key(|(tone, _)| *tone);
                (left, price, played)
            }
        };
        Ok(Some(WayOut {
            change: self.named(layer, change),
            price,
            left_out: u32::from(left.0),
            broken: u32::from(left.1),
            played,
            sentence: String::new(),
        }))
    }

    /// How the tones struck at a layer are played in the best way of a search.
    fn played_at(&self, search: &Search, layer: usize) -> Vec<(ToneId, Option<Placement>)> {
        let music = &search.ground.music;
        let Some(choice) = search.way.get(layer).copied() else { return Vec::new() };
        let mut played = Vec::new();
        for (index, sound) in music.layers[layer].struck().enumerate() {
            let left = placement(search.played(layer, index, choice));
            played.extend(music.sounds[sound].tones.iter().map(|tone| (*tone, left)));
        }
        played.sort_unstable_by_key(|(tone, _)| *tone);
        played
    }

    /// The notes that the best way leaves out at a layer, in the order of its
    /// sounds.
    pub fn left_out(&self, layer: usize) -> Vec<ToneId> {
        let music = &self.search.ground.music;
        let sounds = &music.sounds[music.layers[layer].struck()];
        let out = self.numbers_left_out(layer).into_iter();
        out.filter_map(|index| sounds[index].tones.first().copied()).collect()
    }
}

//! Why a note is played where it is.

use std::fmt;

use apoyando_fingering::Position;
use apoyando_music::ToneId;

use super::account;
use super::alternatives::{Alternative, Change, Difference};
use super::causes::weigh;
use super::like_bars::bars_in_words;
use super::obstacle::Obstacle;
use super::seconds::taken_over;
use super::wording::Wording;
use crate::hand::Played;
use crate::search::stage::Choice;
use crate::search::walk;
use crate::solved::{Solved, Weighed};

/// Why a note is played as it is: in a sentence, and in what it was weighed
/// against.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reason {
    /// The note.
    pub tone: ToneId,
    /// The sentence, without a full stop.
    pub sentence: String,
    /// The best way with the note at another place, or if there is no other
    /// place with another finger; `None` if there is neither.
    pub against: Option<Alternative>,
    /// What that pays more and what less, as [`Solved::changes`].
    pub changes: Vec<Change>,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl Solved<'_> {
    /// Why a note is played as it is; `None` for a tone of another part or one
    /// that is left out, which the findings explain.
    pub fn reason(&self, tone: ToneId) -> Option<Reason> {
        self.weighed.reason(tone, &self.alternatives(tone))
    }
}

/// The best way with the note elsewhere: at another place, else with another
/// finger.
fn against(alternatives: &[Alternative]) -> Option<Alternative> {
    let first =
        |kind: fn(&Difference) -> bool| alternatives.iter().find(|a| kind(&a.difference)).copied();
    first(|d| matches!(d, Difference::Place(_)))
        .or_else(|| first(|d| matches!(d, Difference::Finger(_))))
}

impl Weighed<'_> {
    fn reason(&self, tone: ToneId, alternatives: &[Alternative]) -> Option<Reason> {
        let (layer, index) = self.struck_at(tone)?;
        let search = &self.search;
        let own = search.played(layer, index, *search.way.get(layer)?);
        if own == Played::OUT {
            return None;
        }
        let against = against(alternatives);
        let other = against.as_ref().and_then(|alternative| self.way_of(alternative));
        let changes = other.as_ref().map_or_else(Vec::new, |way| self.changes(way));
        let shifts = |way: &[Choice]| {
            account::shifts(&search.ground, &walk::hands(&search.ground, &search.stages, way))
        };
        let position = |way: &[Choice]| {
            let (stage, choice) = (&search.stages[layer], way[layer]);
            let stopped = !stage.is_idle(choice);
            let hand = stage.away(choice).unwrap_or_else(|| stage.position(choice));
            Position::new(hand).filter(|_| stopped)
        };
        let wording = Wording {
            positions: (position(&search.way), other.as_deref().and_then(position)),
            score: self.problem.score,
            at: search.ground.music.layers[layer].onset,
            own,
            best_shifts: shifts(&search.way),
            other_shifts: other.as_ref().map_or_else(Vec::new, |way| shifts(way)),
        };
        let elsewhere =
            matches!(against, Some(Alternative { difference: Difference::Place(_), .. }));
        let mut sentences = Vec::new();
        if let Some(bars) = self.held_alike.get(&layer) {
            let bars = bars_in_words(self.problem.score, bars);
            sentences.push(format!("{bars} have the same notes and are fingered alike"));
        } else if !elsewhere {
            let obstacles: Vec<(Obstacle, _)> = self
                .other_places(layer, index, own.string)
                .into_iter()
                .map(|place| (self.obstacle(layer, index, place), place))
                .collect();
            sentences.push(wording.only_here(obstacles));
        }
        if let Some(alternative) = &against {
            sentences.push(wording.weighed(alternative, &weigh(&changes)));
        }
        let hands = walk::hands(&search.ground, &search.stages, &search.way);
        let sound = search.ground.music.layers[layer].first + index;
        if let Some(taken) = taken_over(&search.ground, &hands, sound) {
            sentences.push(taken.sentence(&wording.place(Some(&taken.at))));
        }
        Some(Reason { tone, sentence: sentences.join("; "), against, changes })
    }
}

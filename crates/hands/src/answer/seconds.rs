//! Second fingers in words: what they free the first one for.

use apoyando_fingering::Position;
use apoyando_music::Moment;

use super::account::placement;
use super::bill::second_fingers;
use crate::hand::Played;
use crate::search::ground::Ground;
use crate::search::walk::Chosen;

/// A finger that takes over, and what for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct TakenOver {
    /// From when.
    pub at: Moment,
    /// Fingers, by digit.
    pub first: u8,
    pub second: u8,
    pub frees: Frees,
}

/// What the change of finger is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Frees {
    /// The first finger plays this, then or later while the note sounds.
    Finger(Played),
    /// The hand goes to another position.
    Hand(Position),
    /// The hand reaches this, which it would not with the first finger down.
    Reach(Played),
    /// It is asked for.
    Asked,
    /// What comes after the note.
    Nothing,
}

/// How a sound is taken over in a way, if it is.
pub(crate) fn taken_over(ground: &Ground, way: &[Chosen], sound: usize) -> Option<TakenOver> {
    let of = &ground.music.sounds[sound];
    let mut layers = of.layer + 1..of.wanted_until.min(way.len());
    let change = |layer: usize| {
        second_fingers(ground, way, layer).into_iter().find(|(other, _)| *other == sound)
    };
    let layer = layers.find(|layer| change(*layer).is_some())?;
    let (_, second) = change(layer)?;
    let index = sound - ground.music.layers[of.layer].first;
    let first = way[of.layer].played[index].finger;
    let plays = |layer: usize| way[layer].played.iter().copied().find(|at| at.finger == first);
    let position = Position::new(way[layer].position);
    let moves = way[layer - 1].position != way[layer].position;
    let frees = match (plays(layer), position.filter(|_| moves)) {
        (Some(played), _) => Frees::Finger(played),
        (None, Some(position)) => Frees::Hand(position),
        (None, None) => {
            let held = |layer: &usize| {
                let slot = ground.music.layers[*layer].held.iter().position(|own| *own == sound);
                slot.is_some_and(|slot| {
                    way[*layer].held.iter().any(|(own, _)| usize::from(*own) == slot)
                })
            };
            let later = (layer + 1..of.wanted_until.min(way.len())).take_while(held);
            let struck = way[layer].played.iter().copied().filter(|at| at.finger > 0);
            let farthest = struck.max_by_key(|at| at.fret);
            let reach = match farthest {
                _ if ground.seconds.asks(sound) => Frees::Asked,
                Some(farthest) => Frees::Reach(farthest),
                None => Frees::Nothing,
            };
            later.filter_map(plays).next().map_or(reach, Frees::Finger)
        }
    };
    Some(TakenOver { at: ground.music.layers[layer].onset, first, second, frees })
}

impl TakenOver {
    /// What a player is told; `place` says where the change is.
    pub fn sentence(&self, place: &str) -> String {
        let Self { first, second, .. } = self;
        let what = format!("{second} takes it over{place}");
        match self.frees {
            Frees::Finger(played) => match placement(played) {
                Some(at) => {
                    let (string, fret) = (at.place.string, at.place.fret);
                    format!("{what}, so that {first} is free for {string} fret {fret}")
                }
                None => what,
            },
            Frees::Reach(played) => match placement(played) {
                Some(at) => {
                    let (string, fret) = (at.place.string, at.place.fret);
                    format!("{what}, so that the hand reaches {string} fret {fret}")
                }
                None => what,
            },
            Frees::Hand(position) => {
                format!("{what}, so that it sounds on while the hand goes to {position}")
            }
            Frees::Asked => format!("{what}, as is asked"),
            Frees::Nothing => format!("{what}, so that {first} is free"),
        }
    }
}

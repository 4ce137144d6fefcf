//! What the house prefers, as the postures meet it (model §5, house style).

use apoyando_fingering::{HouseStyle, StringState};

use super::geometry::STRINGS;
use super::shape::{Played, SILENT, Shape, Strings};

/// A string of a preferred shape.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Wanted {
    Silent,
    Open,
    /// Fret and finger, 0 if none is given.
    Stopped(u8, u8),
}

/// A style made ready.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct House {
    /// The finger preferred on fret 3 in I, from 1.
    third: Option<u8>,
    shapes: Vec<[Wanted; STRINGS]>,
}

impl House {
    pub fn of(style: &HouseStyle) -> Self {
        let shape = |strings: &[StringState]| {
            let mut wanted = [Wanted::Silent; STRINGS];
            for (slot, state) in wanted.iter_mut().zip(strings) {
                *slot = match state {
                    StringState::Unplayed => Wanted::Silent,
                    StringState::Open => Wanted::Open,
                    StringState::Stopped { fret, finger } => {
                        Wanted::Stopped(fret.0, finger.map_or(0, |finger| finger.digit()))
                    }
                };
            }
            wanted
        };
        Self {
            third: style.third_fret.map(|finger| finger.digit()),
            shapes: style.shapes.iter().map(|s| shape(&s.strings)).collect(),
        }
    }

    /// Strings that must not sound for what is stopped at one of some places to be
    /// in a shape.
    pub fn silent_beside(&self, places: impl Iterator<Item = (u8, u8)> + Clone) -> u16 {
        let stops = |wanted: &&[Wanted; STRINGS]| {
            places.clone().any(|(string, fret)| {
                matches!(wanted[usize::from(string)], Wanted::Stopped(at, _) if at == fret)
            })
        };
        self.shapes.iter().filter(stops).fold(0, |set, wanted| {
            let silent = (0..STRINGS).filter(|string| wanted[*string] == Wanted::Silent);
            silent.fold(set, |set, string| set | 1 << string)
        })
    }

    /// How many struck sounds a posture places against the style, those left
    /// out that are against its way in descending lines, which are counted
    /// where they stand. The place of the hand is 0 if it is not known.
    pub fn against(
        &self,
        shape: &Shape,
        strings: &Strings,
        played: &[Played],
        (hand, descending): (u8, &dyn Fn(usize) -> bool),
    ) -> i64 {
        let fits = |wanted: &&[Wanted; STRINGS]| {
            wanted.iter().zip(strings.fret).all(|(wanted, fret)| match wanted {
                Wanted::Silent => fret == SILENT,
                Wanted::Open => fret == SILENT || fret == 0,
                Wanted::Stopped(at, _) => fret == *at,
            })
        };
        let style = self.shapes.iter().find(fits);
        let mut count = 0;
        for (index, placed) in played.iter().enumerate() {
            if *placed == Played::OUT {
                continue;
            }
            let stopped = style.and_then(|style| match style[usize::from(placed.string)] {
                Wanted::Stopped(_, finger) => Some(finger),
                _ => None,
            });
            let against = match stopped {
                Some(finger) => finger != 0 && placed.finger != finger,
                None => self.is_third(shape, placed, hand) || descending(index),
            };
            count += i64::from(against);
        }
        count
    }

    /// Whether a finger takes fret 3 in I that the other is to take.
    fn is_third(&self, shape: &Shape, placed: &Played, hand: u8) -> bool {
        let Some(wanted) = self.third else { return false };
        let free = usize::from(wanted - 1);
        let stops = shape.is_down(free) && (shape.bound | shape.touching) & (1 << free) == 0;
        hand == 1 && placed.fret == 3 && placed.finger + wanted == 7 && !stops
    }
}

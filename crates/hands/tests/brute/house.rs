//! The house style of section 5 of the model, read plainly.

use apoyando_fingering::{Descending, LeftFinger, Shape, StringState};

use crate::grip::Posture;
use crate::question::Question;

/// By what a sound is placed against the house style.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Against {
    Shape,
    ThirdFret,
    Descending,
}

/// Whether a struck sound is placed against the house style.
pub fn is_against(q: &Question<'_>, posture: &Posture, index: usize) -> Option<Against> {
    let house = q.problem.house;
    let at = posture.struck[index]?;
    let shape = house.shapes.iter().find(|shape| is_shape(q, posture, shape));
    let state = shape.and_then(|shape| shape.strings.get(usize::from(at.string) - 1));
    if let Some(StringState::Stopped { finger, .. }) = state {
        let wanted = finger.is_some_and(|finger| finger.digit() != at.finger);
        return wanted.then_some(Against::Shape);
    }
    let stopped = at.finger > 0 && !posture.is_touched(at);
    let other = match (house.third_fret, at.finger) {
        (Some(LeftFinger::Three), 4) => Some(3),
        (Some(LeftFinger::Four), 3) => Some(4),
        _ => None,
    };
    if let Some(other) = other
        && posture.hand() == Some(1)
        && stopped
        && at.fret == 3
        && !posture.finger(other).stops.any()
    {
        return Some(Against::ThirdFret);
    }
    let opened = at.finger == 0;
    let key = q.sound(q.struck[posture.layer][index]).key;
    let against = comes_down(q, posture.layer)
        && match house.descending {
            None => false,
            Some(Descending::Open) => {
                stopped && (1..=q.strings).any(|string| q.key_at((string, 0)) == Some(key))
            }
            Some(Descending::Stopped) => {
                opened
                    && (at.string + 1..=q.strings).any(|string| q.place_on(string, key).is_some())
            }
        };
    against.then_some(Against::Descending)
}

/// Whether what sounds is the shape.
fn is_shape(q: &Question<'_>, posture: &Posture, shape: &Shape) -> bool {
    (1..=q.strings.max(shape.strings.len() as u8)).all(|string| {
        let state = shape.strings.get(usize::from(string) - 1).copied();
        let sounds = posture.sounding().find(|at| at.string == string).map(|at| at.fret);
        match state.unwrap_or(StringState::Unplayed) {
            StringState::Unplayed => sounds.is_none(),
            StringState::Open => sounds.is_none_or(|fret| fret == 0),
            StringState::Stopped { fret, .. } => sounds == Some(fret.0),
        }
    })
}

/// Whether a line comes by step from above to the only sound of a layer.
fn comes_down(q: &Question<'_>, layer: usize) -> bool {
    q.is_reached(layer) && q.is_lone(layer) && q.is_lone(layer - 1) && {
        let key = |layer: usize| q.sound(q.struck[layer][0]).key;
        (1..=2).contains(&(key(layer - 1) - key(layer)))
    }
}

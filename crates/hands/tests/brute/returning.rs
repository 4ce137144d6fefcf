//! Section 2 of the model, *comes again*, and `exchange`, read plainly.

use apoyando_fingering::Term;

use crate::grip::Posture;
use crate::heard::{Kind, Role, milliseconds};
use crate::moves::{Move, sung};
use crate::price::Bill;
use crate::question::Question;

/// A note of the melody that comes again: the layers of the first and the second.
pub type Return = (usize, usize);

/// The pairs that count.
pub fn returns(q: &Question<'_>) -> Vec<Return> {
    let layers = q.layers();
    let mut pairs: Vec<Return> = (0..layers)
        .flat_map(|first| (first + 2..=first + 4).map(move |second| (first, second)))
        .filter(|(first, second)| *second < layers && is_return(q, *first, *second))
        .collect();
    pairs.sort_by_key(|(first, second)| (second - first, *first));
    let mut taken: Vec<Return> = Vec::new();
    for (first, second) in pairs {
        let meets = |(a, b): &Return| (a + 1..*b).any(|layer| first < layer && layer < second);
        if !taken.iter().any(meets) {
            taken.push((first, second));
        }
    }
    taken
}

fn is_return(q: &Question<'_>, first: usize, second: usize) -> bool {
    let note = |layer: usize| {
        let sounds = q.struck[layer].iter().map(|sound| q.sound(*sound));
        let sung = sounds.filter(|sound| sound.role == Role::Melody && sound.kind == Kind::Plain);
        let keys: Vec<i16> = sung.map(|sound| sound.key).collect();
        if let [key] = keys[..] { Some(key) } else { None }
    };
    let (Some(key), Some(other)) = (note(first), note(second)) else { return false };
    let meanwhile = (first + 1..second)
        .any(|layer| q.struck[layer].iter().any(|sound| q.sound(*sound).key == key));
    let (from, to) = (q.heard.layers[first], q.heard.layers[second]);
    key == other
        && !meanwhile
        && q.struck[second].len() <= 2
        && q.heard.figure[second].is_none()
        && (first + 1..=second).all(|layer| q.is_reached(layer))
        && milliseconds(q.problem, from, to) < 3000
}

/// The pair of which a layer is one of those between.
pub fn around(q: &Question<'_>, layer: usize) -> Option<Return> {
    q.returns.iter().copied().find(|(first, second)| *first < layer && layer < *second)
}

/// Finger and string with which the melody is played at a posture.
pub fn struck_with(q: &Question<'_>, s: &Posture) -> Option<(u8, u8)> {
    sung(q, s).map(|(_, at)| (at.finger, at.string))
}

/// Whether a finger is nowhere at a posture but where it played a note.
pub fn is_nowhere_else(
    q: &Question<'_>,
    (digit, string): (u8, u8),
    pair: Return,
    n: &Posture,
) -> bool {
    let key = q.struck[pair.1].iter().map(|sound| q.sound(*sound));
    let key = key.filter(|sound| sound.role == Role::Melody && sound.kind == Kind::Plain);
    let keys: Vec<i16> = key.map(|sound| sound.key).collect();
    let finger = n.finger(digit);
    let there = finger.down.has(string) && q.key_at((string, finger.fret)) == Some(keys[0]);
    !finger.down.any() || there
}

pub fn of_return(q: &Question<'_>, Move { s, past, n }: Move<'_>, bill: Bill<'_>) {
    let (Some((digit, string)), Some((_, is))) = (past.returning, sung(q, n)) else { return };
    let comes = q.returns.iter().any(|(_, second)| *second == n.layer);
    let free = !s.finger(digit).down.any() && !s.finger(is.finger).down.has(string);
    if comes && is.string == string && is.finger != digit && free {
        bill(Term::Exchange, q.value(Term::Exchange));
    }
}

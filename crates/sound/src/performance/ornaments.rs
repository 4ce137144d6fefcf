//! Ornaments, played simply: short notes on the string of the note they adorn.

use apoyando_fretboard::Place;
use apoyando_music::{Event, EventMark, Grace, KeyNumber, NoteId};

use super::{Player, Strike, Touch, loudness};
use crate::units::Seconds;

/// One note of a trill, and of a mordent or a turn. House; common practice is six to ten
/// notes a second.
const TRILL: f64 = 0.11;
const QUICK: f64 = 0.085;
/// A grace note crossed through. House.
const CRUSHED: f64 = 0.07;
/// What an appoggiatura takes of its note: half of it. Common practice, no source.
const LEANING: f64 = 0.5;

/// Adds what is heard of a strike with the ornaments of its event.
pub(super) fn played(player: &Player<'_>, main: &Strike, event: &Event, into: &mut Vec<Strike>) {
    let top = event.notes().last() == Some(&main.note);
    let graces: &[Grace] = if top { &event.graces } else { &[] };
    let mut main = *main;
    before(player, &mut main, graces, into);
    let steps = if top { figure(player, &main, &event.marks) } else { Vec::new() };
    if steps.is_empty() {
        into.push(main);
        return;
    }
    // The note itself is heard at the end of the figure, or all along it in a trill.
    let ends = steps.iter().skip(1).map(|(_, at)| *at).chain([main.until.0]);
    for (rank, ((key, at), until)) in steps.iter().zip(ends).enumerate() {
        let joined = Touch::Joined;
        let touch = if rank == 0 { main.touch } else { joined };
        let softer = if rank == 0 { 0.0 } else { loudness::JOINED.0 };
        into.push(Strike {
            key: *key,
            place: on_its_string(player, &main, *key),
            touch,
            strength: crate::Decibels(main.strength.0 + softer),
            at: Seconds(*at),
            until: Seconds(until),
            ..main
        });
    }
}

/// Adds grace notes, and puts the note itself after those that take their time from it.
fn before(player: &Player<'_>, main: &mut Strike, graces: &[Grace], into: &mut Vec<Strike>) {
    if graces.is_empty() {
        return;
    }
    let crushed = graces.iter().all(|grace| grace.slashed);
    let length = (main.until.0 - main.at.0).max(0.0);
    let each = if crushed {
        CRUSHED.min(length / (2.0 * graces.len() as f64))
    } else {
        length * LEANING / graces.len() as f64
    };
    // On the beat, from which the note itself is delayed.
    let begin = main.at.0;
    for (rank, grace) in graces.iter().enumerate() {
        let at = begin + rank as f64 * each;
        let key = grace.pitch.key_number();
        let touch = if rank == 0 { main.touch } else { Touch::Joined };
        let place = on_its_string(player, main, key);
        let (at, until) = (Seconds(at), Seconds(at + each));
        into.push(Strike { key, place, touch, at, until, ..*main });
    }
    main.at = Seconds(begin + graces.len() as f64 * each);
    main.touch = Touch::Joined;
    main.strength = main.strength + loudness::JOINED;
}

/// The keys of an ornament and when they begin; empty where there is none.
fn figure(player: &Player<'_>, main: &Strike, marks: &[EventMark]) -> Vec<(KeyNumber, f64)> {
    let (begin, end) = (main.at.0, main.until.0);
    let own = main.key;
    let quick = |keys: &[KeyNumber]| {
        let each = QUICK.min((end - begin) / (keys.len() as f64 + 1.0));
        keys.iter().enumerate().map(|(rank, key)| (*key, begin + rank as f64 * each)).collect()
    };
    let near = |steps: i32| neighbour(player, main.note, steps);
    let found = marks.iter().find_map(|mark| match mark {
        EventMark::Trill => {
            // The note itself is first and last.
            let count = 2 * ((end - begin) / (2.0 * TRILL)).floor().max(1.0) as usize + 1;
            let each = (end - begin) / count as f64;
            let above = near(1);
            let keys = (0..count).map(|rank| if rank % 2 == 0 { own } else { above });
            Some(keys.enumerate().map(|(rank, key)| (key, begin + rank as f64 * each)).collect())
        }
        EventMark::Mordent => Some(quick(&[own, near(-1), own])),
        EventMark::InvertedMordent => Some(quick(&[own, near(1), own])),
        EventMark::Turn => Some(quick(&[near(1), own, near(-1), own])),
        EventMark::InvertedTurn => Some(quick(&[near(-1), own, near(1), own])),
        _ => None,
    });
    found.unwrap_or_default()
}

/// The key so many steps away in the signature.
fn neighbour(player: &Player<'_>, note: NoteId, steps: i32) -> KeyNumber {
    player.score.neighbour(player.score.note(note), steps).key_number()
}

/// Where a key lies on the string of a strike; there already, if the string has it not.
fn on_its_string(player: &Player<'_>, main: &Strike, key: KeyNumber) -> Place {
    let place = player.instrument.place_on(main.place.string, key);
    place.or_else(|| player.instrument.places(key).next()).unwrap_or(main.place)
}

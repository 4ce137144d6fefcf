//! Chords that a hand may not be able to play.

use apoyando_fretboard::Instrument;
use apoyando_music::{Draft, DraftBar, DraftEvent, DraftPart, Heading, KeySignature, Metre, Pitch};

use crate::dice::Dice;
use crate::music::{open_keys, spelled, value};

/// Bars of a chord each, on neighbouring frets of all strings.
pub fn chords(dice: &mut Dice, instrument: &Instrument) -> Draft {
    let metre = Metre::new(1, 4);
    let open = open_keys(instrument);
    let chord = |dice: &mut Dice| {
        let fret = 1 + dice.below(2) as i16;
        let barred = dice.one_in(2);
        let above = |dice: &mut Dice| match dice.below(if barred { 5 } else { 3 }) {
            0 => 1,
            1 => 2,
            _ => 0,
        };
        let keys = open.iter().map(|key| key + fret + above(dice));
        let mut keys: Vec<i16> = keys.collect();
        keys.sort_unstable();
        keys.dedup();
        let pitches: Vec<Pitch> = keys.into_iter().map(|key| spelled(key, false)).collect();
        vec![DraftEvent::notes(value(4), &pitches)]
    };
    let mut part = DraftPart::guitar(String::new());
    let count = if open.len() > 4 { 1 } else { 2 };
    part.voices.push((0..count).map(|_| chord(dice)).collect());
    let signature = KeySignature::NONE;
    let bars = (1..=count).map(|number| DraftBar::new(number, metre, signature)).collect();
    Draft { heading: Heading::default(), bars, parts: vec![part] }
}

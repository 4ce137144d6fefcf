//! Where a part may be moved so that it lies on the instrument.

use apoyando_fretboard::Instrument;
use apoyando_music::{KeyNumber, PartIndex, Score};

/// Lowest and highest key of a part; `None` if it is silent.
pub fn range(score: &Score, part: PartIndex) -> Option<(KeyNumber, KeyNumber)> {
    let notes = score.notes().iter().filter(|note| note.part == part);
    let keys = notes.map(|note| note.pitch.key_number());
    keys.clone().min().zip(keys.max())
}

/// Moves in semitones that bring a range onto an instrument: none, whole
/// octaves, then other keys, the nearest first and upwards before downwards.
pub fn moves(range: (KeyNumber, KeyNumber), instrument: &Instrument) -> Vec<i8> {
    let lies = |by: i8| {
        let on = |key: KeyNumber| instrument.places(KeyNumber(key.0 + i16::from(by))).next();
        on(range.0).is_some() && on(range.1).is_some()
    };
    let mut moves: Vec<i8> = (-60..=60).filter(|by| lies(*by)).collect();
    moves.sort_by_key(|by| (by % 12 != 0, by.unsigned_abs(), *by < 0));
    moves
}

//! Places for scores that nobody has fingered: the lowest fret that is free.
#![allow(dead_code)]

use std::collections::HashMap;

use apoyando_engrave::Fretting;
use apoyando_fretboard::{Instrument, Place, StringNumber};
use apoyando_music::{Moment, PartIndex, Pitch, Score};

/// A place for every note of a part that has one: the strings of an onset differ,
/// unisons share one, what is tied stays where it is.
pub fn lowest(score: &Score, part: PartIndex) -> Fretting {
    let guitar = Instrument::guitar();
    let thickest = StringNumber::new(guitar.tuning.len() as u8).unwrap();
    let mut out = Fretting::none(part, thickest, score.notes().len());
    let mut taken: HashMap<Moment, Vec<(Pitch, Place)>> = HashMap::new();
    for tone in score.tones(part).as_slice() {
        let onsets = || tone.notes.iter().map(|note| score.note(*note).onset);
        let place = {
            let here: Vec<(Pitch, Place)> =
                onsets().filter_map(|onset| taken.get(&onset)).flatten().copied().collect();
            let unison = here.iter().find(|(pitch, _)| *pitch == tone.pitch).map(|(_, p)| *p);
            let free = |place: &Place| !here.iter().any(|(_, p)| p.string == place.string);
            unison.or_else(|| {
                guitar.places(tone.pitch.key_number()).filter(free).min_by_key(|place| place.fret)
            })
        };
        let Some(place) = place else { continue };
        for onset in onsets() {
            taken.entry(onset).or_default().push((tone.pitch, place));
        }
        for note in &tone.notes {
            out.places[note.0 as usize] = Some(place);
        }
    }
    out
}

/// Those of all parts.
pub fn all(score: &Score) -> Vec<Fretting> {
    score.part_indices().map(|part| lowest(score, part)).collect()
}

//! From a fingering to its marks.

use apoyando_fingering::Fingering;
use apoyando_fretboard::Instrument;
use apoyando_music::Score;

use crate::marks::{Density, Marks};
use crate::{barres, digits, letters, lying, positions, sounds, strings};

/// The marks of the part that `fingering` is for. A fingering of another
/// revision of the score gives no marks, for it speaks of other notes.
pub fn mark(
    score: &Score,
    fingering: &Fingering,
    instrument: &Instrument,
    density: Density,
) -> Marks {
    let mut marks = Marks::none(fingering.part, score.notes().len());
    if density == Density::None
        || fingering.revision != score.revision()
        || usize::from(fingering.part.0) >= score.parts().len()
    {
        return marks;
    }
    let sounds = sounds::sounds(score, fingering.part, fingering);
    let hand = positions::Hand::of(fingering, &sounds);
    for (sound, digit) in
        sounds.iter().zip(digits::digits(&sounds, &hand, fingering, instrument, score, density))
    {
        marks.left[sound.head.0 as usize] = digit;
    }
    for (sound, letter) in sounds.iter().zip(letters::letters(&sounds, score, density)) {
        marks.right[sound.head.0 as usize] = letter;
    }
    marks.strings = strings::strings(&sounds, &hand, &marks.left, instrument);
    marks.barres = barres::barres(fingering, score, instrument);
    marks.positions = positions::numerals(&hand, &lying::lying(fingering, score), fingering);
    marks
}

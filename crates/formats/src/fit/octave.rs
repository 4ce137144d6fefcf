//! The sounding octave of parts in a plain treble clef.

use apoyando_fingering::Severity;
use apoyando_fretboard::{Instrument, Place};
use apoyando_music::Clef;

use super::part_name;
use crate::OctaveReading;
use crate::report::Report;
use crate::rough::{RoughClef, RoughNote, RoughPart};

/// Settles the clef of every part, and lowers those that are read as written
/// for the guitar.
pub(super) fn settle(
    parts: &mut [RoughPart],
    reading: OctaveReading,
    report: &mut Report,
) -> Vec<Clef> {
    let plain = |part: &RoughPart| part.clef == RoughClef::Plain;
    // Two staves of one keyboard must not drift apart by an octave.
    let mixed = parts.iter().any(|part| part.clef == RoughClef::Stated(Clef::Bass));
    let several = parts.len() > 1;
    parts
        .iter_mut()
        .enumerate()
        .map(|(index, part)| {
            let lower = plain(part)
                && match reading {
                    OctaveReading::AsWritten => false,
                    OctaveReading::GuitarWritten => true,
                    OctaveReading::Auto => part.guitar || !mixed,
                };
            if plain(part) && reading == OctaveReading::Auto && sounds_as_written(part) {
                return Clef::Guitar;
            }
            match part.clef {
                RoughClef::Stated(clef) => clef,
                RoughClef::Plain if !lower => Clef::Treble,
                RoughClef::Plain => {
                    down_an_octave(part);
                    if reading == OctaveReading::Auto {
                        report.bar = None;
                        report.line = None;
                        report.part = several.then(|| part_name(&part.name, index));
                        report.add(
                            Severity::Advice,
                            "octave-assumed",
                            "the treble clef has no 8 and no transposition is stated; read as written for the guitar, it sounds an octave lower".to_owned(),
                            Some("use a treble clef with an 8 below it to say so in the file"),
                        );
                        report.part = None;
                    }
                    Clef::Guitar
                }
            }
        })
        .collect()
}

/// Whether strings and frets at the notes say that the pitches sound as they
/// stand. They are only asked in the usual tuning, which most files are in.
fn sounds_as_written(part: &RoughPart) -> bool {
    let guitar = Instrument::guitar();
    let (mut as_written, mut lower) = (0, 0);
    let events = part.voices.iter().flatten().flatten();
    // The fret of a harmonic need not be that of its pitch.
    let plain = |note: &&RoughNote| note.harmonic.is_none();
    for note in events.flat_map(|event| &event.notes).filter(plain) {
        let (Some(string), Some(fret)) = (note.hand.string, note.hand.fret) else { continue };
        let Some(sound) = guitar.sound(Place { string, fret }) else { continue };
        as_written += usize::from(note.pitch.key_number() == sound);
        lower += usize::from(note.pitch.up_octaves(-1).key_number() == sound);
    }
    as_written > lower
}

fn down_an_octave(part: &mut RoughPart) {
    let events = part.voices.iter_mut().flatten().flatten();
    let cues = part.cues.iter_mut().flatten();
    let ossia = part.ossia.iter_mut().flatten().flatten();
    for pitch in events.chain(cues).chain(ossia).flat_map(|event| event.pitches()) {
        *pitch = pitch.up_octaves(-1);
    }
}

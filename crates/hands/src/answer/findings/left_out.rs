//! Notes that are left out.

use apoyando_fingering::Severity;
use apoyando_fretboard::Fret;

use super::{Found, Told};
use crate::heard::{Kind, Sound};

impl Told<'_> {
    pub(super) fn left_out(&self, found: &mut Found) {
        for sound in &self.music.sounds {
            let Some(tone) = sound.tones.first() else { continue };
            if self.fingering.tone(*tone).left.is_none() {
                let name = self.name_of(*tone);
                let (rule, message, remedy) = self.why_left_out(sound, &name);
                let rule = (rule, Severity::Error);
                self.say(found, sound.onset, rule, message, Some(remedy.to_owned()));
            }
        }
    }

    /// The rule, what is the matter, and what can be done.
    fn why_left_out(&self, sound: &Sound, name: &str) -> (&'static str, String, &'static str) {
        let instrument = self.problem.instrument;
        let strings = instrument.tuning.len();
        let last = Fret(instrument.frets.0.saturating_sub(instrument.capo.0));
        if self.geometry.places(sound).next().is_some() {
            let struck = self.music.layers[sound.layer].struck().len();
            return if struck > strings {
                (
                    "note-left-out",
                    format!(
                        "{name} is left out: {struck} notes are struck together on {strings} strings"
                    ),
                    "leave out a doubled note or break the chord",
                )
            } else {
                (
                    "note-left-out",
                    format!("{name} is left out: no hand can stop it together with the others"),
                    "move a note by an octave, leave one out or break the chord",
                )
            };
        }
        match sound.kind {
            Kind::NaturalHarmonic => (
                "harmonic-nowhere",
                format!(
                    "{name} is left out: no open string has it among its natural harmonics up to the fifth partial below fret {last}"
                ),
                "write the pitch that sounds, or an artificial harmonic",
            ),
            Kind::ArtificialHarmonic => (
                "harmonic-nowhere",
                format!(
                    "{name} is left out: no string stops the note an octave below it, from which an artificial harmonic is made"
                ),
                "write the pitch that sounds, or a plain note",
            ),
            Kind::Plain if self.lies_below(sound) => (
                "note-below-range",
                format!("{name} lies below the lowest string and is left out"),
                "write it an octave higher or tune the lowest string down",
            ),
            Kind::Plain => (
                "note-above-range",
                format!("{name} lies above fret {last}, the last one, and is left out"),
                "write it an octave lower",
            ),
        }
    }

    fn lies_below(&self, sound: &Sound) -> bool {
        let instrument = self.problem.instrument;
        let lowest = instrument.lowest().map(|low| low.key_number().0);
        lowest.is_some_and(|low| sound.key < low + i16::from(instrument.capo.0))
    }
}

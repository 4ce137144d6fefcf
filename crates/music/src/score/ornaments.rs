//! The notes besides its own that an ornament calls for.

use super::{EventMark, Note, Score, Tone};
use crate::pitch::{KeyNumber, NoteName, Pitch, Step};

/// A grace note farther off than this many semitones is played as a note of
/// its own, not as an ornament under one hand. House.
const NEAR: i32 = 4;

impl Score {
    /// The keys that the ornament and the grace notes of a tone call for besides
    /// its own, from low to high.
    ///
    /// An ornament stands over the highest note of a chord (common practice, no
    /// source) and goes to the next steps of the signature; a grace note belongs
    /// to an event of one note and counts if it is at most four semitones away.
    /// What the tie chain bears after its first note is not looked at.
    pub fn auxiliaries(&self, tone: &Tone) -> Vec<KeyNumber> {
        let note = self.note(tone.head());
        let event = self.event_of(note);
        let mut pitches: Vec<Pitch> = Vec::new();
        if event.notes().last() == Some(&note.id) {
            for mark in &event.marks {
                let (above, below) = match mark {
                    EventMark::Trill | EventMark::InvertedMordent => (true, false),
                    EventMark::Mordent => (false, true),
                    EventMark::Turn | EventMark::InvertedTurn => (true, true),
                    _ => (false, false),
                };
                pitches.extend(above.then(|| self.neighbour(note, 1)));
                pitches.extend(below.then(|| self.neighbour(note, -1)));
            }
        }
        if event.notes().len() == 1 {
            pitches.extend(event.graces.iter().map(|grace| grace.pitch));
        }
        let mut keys: Vec<KeyNumber> = pitches
            .into_iter()
            .filter(|pitch| (1..=NEAR).contains(&note.pitch.semitones_to(*pitch).abs()))
            .map(Pitch::key_number)
            .collect();
        keys.sort_unstable();
        keys.dedup();
        keys
    }

    /// The pitch so many steps away as the signature has it.
    pub fn neighbour(&self, note: &Note, steps: i32) -> Pitch {
        let signature = self.bar(note.bar).signature;
        let staff_step = note.pitch.staff_step() + steps;
        let step = Step::from_index(staff_step.rem_euclid(7));
        NoteName::new(step, signature.alter(step)).in_octave(staff_step.div_euclid(7) as i8)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart, Grace, PartIndex};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Metre, NoteValue};

    fn keys(pitches: &[&str], marks: &[EventMark], graces: &[&str], fifths: i32) -> Vec<Vec<i16>> {
        let pitches: Vec<Pitch> = pitches.iter().map(|p| p.parse().unwrap()).collect();
        let mut event = DraftEvent::notes(NoteValue::plain(Base::Quarter), &pitches);
        event.marks.extend_from_slice(marks);
        event
            .graces
            .extend(graces.iter().map(|p| Grace { pitch: p.parse().unwrap(), slashed: true }));
        let signature = KeySignature::new(fifths).unwrap();
        let bars = vec![DraftBar::new(1, Metre::new(1, 4), signature)];
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![event]]);
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        let tones = score.tones(PartIndex(0));
        let of = |tone| score.auxiliaries(tone).iter().map(|key| key.0).collect();
        tones.as_slice().iter().map(of).collect()
    }

    /// Common practice, no source: ornaments keep to the scale of the signature.
    #[test]
    fn ornaments_go_to_the_steps_of_the_signature() {
        assert_eq!(keys(&["E4"], &[EventMark::Trill], &[], 0), [[65]]);
        assert_eq!(keys(&["E4"], &[EventMark::Trill], &[], 2), [[66]]);
        assert_eq!(keys(&["C4"], &[EventMark::Mordent], &[], 0), [[59]]);
        assert_eq!(keys(&["B3"], &[EventMark::InvertedMordent], &[], 0), [[60]]);
        assert_eq!(keys(&["A3"], &[EventMark::Turn], &[], -1), [[55, 58]]);
    }

    #[test]
    fn the_highest_note_of_a_chord_bears_the_ornament() {
        assert_eq!(keys(&["C4", "E4"], &[EventMark::Trill], &[], 0), [vec![], vec![65]]);
    }

    #[test]
    fn grace_notes_count_near_a_single_note() {
        assert_eq!(keys(&["C4"], &[], &["D4", "B3"], 0), [[59, 62]]);
        assert_eq!(keys(&["C4"], &[], &["C5", "C4"], 0), [Vec::<i16>::new()]);
        assert_eq!(keys(&["C4", "E4"], &[], &["F4"], 0), [Vec::<i16>::new(), vec![]]);
    }
}

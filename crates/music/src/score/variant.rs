//! Scores made from another without a change to its rhythm: with other words,
//! in another key, or with a note in another octave. Each is a revision of its own, and its notes keep their
//! numbers.

use std::hash::Hash;

use siphasher::sip128::{Hasher128, SipHasher13};

use super::{Content, Heading, NoteId, Revision, Score, Tempo};
use crate::interval::Interval;
use crate::key::KeySignature;
use crate::pitch::Pitch;

impl Score {
    /// The same score with a metronome mark at its beginning, in place of one
    /// that may stand there.
    #[must_use]
    pub fn with_tempo(&self, tempo: Tempo) -> Self {
        let mut score = self.clone();
        if let Some(bar) = score.bars.first_mut() {
            bar.tempo = Some(tempo);
        }
        score.revised(("tempo", tempo))
    }

    /// The same score with another heading.
    #[must_use]
    pub fn with_heading(&self, heading: Heading) -> Self {
        let mut score = self.clone();
        score.heading = heading;
        let heading = score.heading.clone();
        score.revised(("heading", heading))
    }

    /// The same score with names for its parts, from the first on; an empty
    /// name changes nothing.
    #[must_use]
    pub fn with_part_names(&self, names: &[String]) -> Self {
        let mut score = self.clone();
        for (part, name) in score.parts.iter_mut().zip(names) {
            if !name.is_empty() {
                part.name.clone_from(name);
            }
        }
        score.revised(("names", names))
    }

    /// The same score moved by an interval, its signatures, grace notes, cues and
    /// ossias with it. `None` if a signature would need more than seven sharps or flats, or a
    /// note more than a triple one.
    #[must_use]
    pub fn transposed(&self, by: Interval) -> Option<Self> {
        let mut score = self.clone();
        for bar in &mut score.bars {
            bar.signature = KeySignature::new(bar.signature.fifths() + by.fifths())?;
        }
        for note in &mut score.notes {
            note.pitch = by.above(note.pitch)?;
        }
        let voices = score.parts.iter_mut().flat_map(|part| &mut part.voices);
        let events = voices.flat_map(|voice| voice.bars.iter_mut().flatten());
        for grace in events.flat_map(|event| &mut event.graces) {
            grace.pitch = by.above(grace.pitch)?;
        }
        for cue in score.parts.iter_mut().flat_map(|part| &mut part.cues) {
            *cue.music = cue.music.transposed(by)?;
        }
        for ossia in score.parts.iter_mut().filter_map(|part| part.ossia.as_mut()) {
            **ossia = ossia.transposed(by)?;
        }
        Some(score.revised(("transposed", by)))
    }

    /// The same score moved by semitones (down if negative), spelled so that
    /// its signatures need as few sharps or flats as can be. `None` as for
    /// [`Score::transposed`].
    #[must_use]
    pub fn moved(&self, semitones: i8) -> Option<Self> {
        // Spellings of one distance lie twelve fifths apart.
        let near = (i32::from(semitones) * 7 + 6).rem_euclid(12) - 6;
        let widest = |fifths: i32| {
            let signatures = self.bars.iter().map(|bar| bar.signature.fifths());
            signatures.map(|signature| (signature + fifths).abs()).max().unwrap_or(0)
        };
        let fifths = [near, near - 12, near + 12].into_iter().min_by_key(|f| widest(*f))?;
        self.transposed(Interval::of_fifths(fifths, semitones)?)
    }

    /// The same score with some notes written an octave higher; the grace notes of
    /// an event of one note go with it. Give whole chains of tied notes. `None` if
    /// that would write one pitch twice in an event.
    #[must_use]
    pub fn octave_up(&self, notes: &[NoteId]) -> Option<Self> {
        let mut score = self.clone();
        for note in notes {
            let note = &mut score.notes[note.0 as usize];
            note.pitch = note.pitch.up_octaves(1);
        }
        for note in notes {
            let at = score.note(*note);
            let (part, voice, bar, event) = (at.part, at.voice, at.bar, at.event);
            let part = &mut score.parts[usize::from(part.0)];
            let voice = part.voices.iter_mut().find(|other| other.number == voice)?;
            let event = &mut voice.bars[bar.0 as usize][event as usize];
            let Content::Notes(struck) = &mut event.content else { return None };
            struck.sort_by_key(|note| score.notes[note.0 as usize].pitch);
            let pitches: Vec<Pitch> =
                struck.iter().map(|note| score.notes[note.0 as usize].pitch).collect();
            if pitches.windows(2).any(|pair| pair[0] == pair[1]) {
                return None;
            }
            if struck.len() == 1 {
                for grace in &mut event.graces {
                    grace.pitch = grace.pitch.up_octaves(1);
                }
            }
        }
        Some(score.revised(("octave up", notes.iter().map(|note| note.0).collect::<Vec<_>>())))
    }

    pub(super) fn revised(mut self, change: impl Hash) -> Self {
        let mut hasher = SipHasher13::new();
        (self.revision, change).hash(&mut hasher);
        self.revision = Revision(hasher.finish128().as_u128());
        self
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, Dynamic, DynamicMark, Expression, Grace,
        Hairpin, HairpinKind, Heading, KeySignature, Metre, Moment, NoteValue, Score, StaffSide,
        Tempo,
    };

    fn tune(fifths: i32, pitches: &[&str]) -> Score {
        let mut part = DraftPart::guitar(String::new());
        let bar = pitches.iter().map(|pitch| {
            DraftEvent::notes(NoteValue::plain(Base::Quarter), &[pitch.parse().unwrap()])
        });
        part.voices.push(vec![bar.collect()]);
        let signature = KeySignature::new(fifths).unwrap();
        let bars = vec![DraftBar::new(1, Metre::new(pitches.len() as u8, 4), signature)];
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
    }

    fn spelled(score: &Score) -> Vec<String> {
        let sharps_and_flats = |text: String| text.replace('♯', "#").replace('♭', "b");
        score.notes().iter().map(|note| sharps_and_flats(note.pitch.to_string())).collect()
    }

    /// Common practice, no source: the notes of a key become those of the new
    /// one, by the same degrees.
    #[test]
    fn a_move_takes_the_signature_along() {
        let tune = tune(1, &["G3", "F#4", "C4", "C#4"]);
        for (semitones, fifths, notes) in [
            (2, 3, ["A3", "G#4", "D4", "D#4"]),
            (-2, -1, ["F3", "E4", "Bb3", "B3"]),
            (12, 1, ["G4", "F#5", "C5", "C#5"]),
            (-1, 6, ["F#3", "E#4", "B3", "B#3"]),
            (1, -4, ["Ab3", "G4", "Db4", "D4"]),
        ] {
            let moved = tune.moved(semitones).unwrap();
            assert_eq!(moved.bars()[0].signature.fifths(), fifths, "{semitones}");
            assert_eq!(spelled(&moved), notes, "{semitones}");
            assert_ne!(moved.revision(), tune.revision());
            assert_eq!(spelled(&moved.moved(-semitones).unwrap()), spelled(&tune));
        }
    }

    fn graced(pitch: &str, grace: &str) -> Score {
        let mut event =
            DraftEvent::notes(NoteValue::plain(Base::Quarter), &[pitch.parse().unwrap()]);
        event.graces.push(Grace { pitch: grace.parse().unwrap(), slashed: false });
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![event]]);
        let bars = vec![DraftBar::new(1, Metre::new(1, 4), KeySignature::NONE)];
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
    }

    #[test]
    fn grace_notes_move_with_their_notes() {
        let grace = |score: &Score| score.parts()[0].voices[0].bars[0][0].graces[0];
        let moved = graced("G3", "F#3").moved(2).unwrap();
        assert_eq!(grace(&moved), Grace { pitch: "G#3".parse().unwrap(), slashed: false });
        assert!(graced("C4", "B##3").transposed("A2".parse().unwrap()).is_none());
    }

    #[test]
    fn a_note_goes_up_an_octave_and_its_chord_stays_in_order() {
        let chord = ["C3", "E3", "G3"].map(|pitch| pitch.parse().unwrap());
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![DraftEvent::notes(NoteValue::plain(Base::Quarter), &chord)]]);
        let bars = vec![DraftBar::new(1, Metre::new(1, 4), KeySignature::NONE)];
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        let bass = score.notes()[0].id;
        let raised = score.octave_up(&[bass]).unwrap();
        assert_ne!(raised.revision(), score.revision());
        assert_eq!(spelled(&raised), ["C4", "E3", "G3"]);
        let event = &raised.parts()[0].voices[0].bars[0][0];
        let order: Vec<String> =
            event.notes().iter().map(|note| raised.note(*note).pitch.to_string()).collect();
        assert_eq!(order, ["E3", "G3", "C4"]);
        let same = tune(0, &["C4"]);
        let graced = graced("G3", "F#3").octave_up(&[same.notes()[0].id]).unwrap();
        assert_eq!(graced.parts()[0].voices[0].bars[0][0].graces[0].pitch, "F#4".parse().unwrap());
        let octave = ["C3", "C4"].map(|pitch| pitch.parse().unwrap());
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![DraftEvent::notes(NoteValue::plain(Base::Quarter), &octave)]]);
        let bars = vec![DraftBar::new(1, Metre::new(1, 4), KeySignature::NONE)];
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        assert!(score.octave_up(&[score.notes()[0].id]).is_none());
    }

    #[test]
    fn what_cannot_be_spelled_is_not_moved() {
        let tune = tune(0, &["C##4"]);
        assert!(tune.transposed("A2".parse().unwrap()).is_none());
        assert!(tune.transposed("A1".parse().unwrap()).is_some_and(|s| spelled(&s) == ["C###4"]));
        assert!(tune.moved(i8::MAX).is_some());
        assert!(tune.moved(i8::MIN).is_some());
    }

    #[test]
    fn variants_keep_dynamics_hairpins_and_words() {
        let mut part = DraftPart::guitar(String::new());
        let quarter = NoteValue::plain(Base::Quarter);
        part.voices.push(vec![vec![DraftEvent::notes(quarter, &["G3".parse().unwrap()])]]);
        let (from, until) = (Moment::START, Moment::START + quarter.duration());
        part.dynamics.push(DynamicMark { at: from, dynamic: Dynamic::Mf });
        part.hairpins.push(Hairpin { from, until, kind: HairpinKind::Fades });
        let text = "dolce".to_owned();
        part.words.push(Expression { at: from, side: StaffSide::Above, text, until: None });
        let bars = vec![DraftBar::new(1, Metre::new(1, 4), KeySignature::NONE)];
        let draft = Draft { bars, parts: vec![part], ..Draft::default() };
        let score = Score::assemble(draft).unwrap();
        let note = score.notes()[0].id;
        let variants = [
            score.with_tempo(Tempo { value: quarter, per_minute: 60 }),
            score.with_heading(Heading::default()),
            score.with_part_names(&["Student".to_owned()]),
            score.moved(2).unwrap(),
            score.octave_up(&[note]).unwrap(),
        ];
        let [own] = score.parts() else { panic!("one part") };
        assert_eq!((own.dynamics.len(), own.hairpins.len(), own.words.len()), (1, 1, 1));
        for variant in variants {
            assert_ne!(variant.revision(), score.revision());
            assert_eq!(variant.parts()[0].dynamics, own.dynamics);
            assert_eq!(variant.parts()[0].hairpins, own.hairpins);
            assert_eq!(variant.parts()[0].words, own.words);
        }
    }

    #[test]
    fn variants_are_revisions_of_their_own() {
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![DraftEvent::bar_rest()]]);
        let bars = vec![DraftBar::new(1, Metre::COMMON, KeySignature::NONE)];
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        let quarter = NoteValue::plain(Base::Quarter);
        let variants = [
            score.with_tempo(Tempo { value: quarter, per_minute: 60 }),
            score.with_tempo(Tempo { value: quarter, per_minute: 61 }),
            score.with_heading(Heading { title: "T".to_owned(), ..Heading::default() }),
            score.with_part_names(&["Student".to_owned()]),
        ];
        assert_eq!(variants[3].parts()[0].name, "Student");
        assert_eq!(variants[1].bars()[0].tempo.unwrap().per_minute, 61);
        let mut revisions: Vec<_> = variants.iter().map(Score::revision).collect();
        revisions.push(score.revision());
        revisions.sort();
        revisions.dedup();
        assert_eq!(revisions.len(), 5);
    }
}

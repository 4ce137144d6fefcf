//! One part of a score as a score of its own.

use super::{Content, NoteId, PartIndex, Revision, Score};

impl Score {
    /// The notes of a part, as a range of their numbers: parts are numbered one
    /// after another.
    #[must_use]
    pub fn notes_of(&self, part: PartIndex) -> std::ops::Range<usize> {
        let first = self.notes.partition_point(|note| note.part < part);
        let end = self.notes.partition_point(|note| note.part <= part);
        first..end
    }

    /// A part alone, with the bars, repeats, tempo and words of the whole, and with cues
    /// from other parts before it enters after a long silence. The
    /// note numbered `n` is here numbered `n` less the first of
    /// [`notes_of`](Self::notes_of) it.
    ///
    /// # Panics
    /// If the index is of another score.
    #[must_use]
    pub fn part_alone(&self, index: PartIndex) -> Self {
        let range = self.notes_of(index);
        let first = range.start as u32;
        let renumbered = |id: NoteId| NoteId(id.0 - first);
        let mut part = self.part(index).clone();
        part.cues = self.cues_for(index);
        for event in part.voices.iter_mut().flat_map(|voice| voice.bars.iter_mut().flatten()) {
            if let Content::Notes(notes) = &mut event.content {
                notes.iter_mut().for_each(|id| *id = renumbered(*id));
            }
        }
        let mut notes = self.notes[range].to_vec();
        for note in &mut notes {
            note.id = renumbered(note.id);
            note.part = PartIndex(0);
            note.tied_from = note.tied_from.map(renumbered);
            note.tied_to = note.tied_to.map(renumbered);
        }
        let alone = Self {
            heading: self.heading.clone(),
            bars: self.bars.clone(),
            parts: vec![part],
            notes,
            revision: Revision(self.revision.0),
        };
        alone.revised(("alone", index))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::KeySignature;
    use crate::pitch::Pitch;
    use crate::rhythm::{Base, Metre, NoteValue};
    use crate::score::{Draft, DraftBar, DraftEvent, DraftPart};

    fn part(name: &str, pitches: &[&str]) -> DraftPart {
        let event = |pitch: &&str| {
            let pitch: Pitch = pitch.parse().expect("a pitch");
            DraftEvent::notes(NoteValue::plain(Base::Half), &[pitch])
        };
        let mut part = DraftPart::guitar(name.to_owned());
        part.voices = vec![vec![pitches.iter().map(event).collect()]];
        part
    }

    #[test]
    fn a_part_alone_has_its_own_notes_under_new_numbers() {
        let bar = DraftBar::new(1, Metre::COMMON, KeySignature::new(0).expect("no sharps"));
        let parts = vec![part("Upper", &["E4", "G4"]), part("Lower", &["C3", "D3"])];
        let draft = Draft { bars: vec![bar], parts, ..Draft::default() };
        let score = Score::assemble(draft).expect("a score");
        let lower = score.part_alone(PartIndex(1));
        assert_eq!(score.notes_of(PartIndex(1)), 2..4);
        assert_eq!(lower.parts().len(), 1);
        assert_eq!(lower.parts()[0].name, "Lower");
        let names: Vec<String> = lower.notes().iter().map(|n| n.pitch.to_string()).collect();
        assert_eq!(names, ["C3", "D3"]);
        assert_ne!(lower.revision(), score.revision());
        for (index, note) in lower.notes().iter().enumerate() {
            assert_eq!(note.id, NoteId(index as u32));
            assert!(lower.event_of(note).notes().contains(&note.id));
        }
    }
}

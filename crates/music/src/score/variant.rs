//! Scores that differ from another in what is said of them, not in their
//! notes. Each is a revision of its own.

use std::hash::Hash;

use siphasher::sip128::{Hasher128, SipHasher13};

use super::{Heading, Revision, Score, Tempo};

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

    fn revised(mut self, change: impl Hash) -> Self {
        let mut hasher = SipHasher13::new();
        (self.revision, change).hash(&mut hasher);
        self.revision = Revision(hasher.finish128().as_u128());
        self
    }
}

#[cfg(test)]
mod tests {
    use crate::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, Heading, KeySignature, Metre, NoteValue,
        Score, Tempo,
    };

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

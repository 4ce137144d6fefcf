//! Ossias: what may be played instead of some bars, on a small staff above a part.

use super::{Bar, Clef, Draft, DraftBar, DraftEvent, DraftPart, Event, Part, Score, ScoreError};

/// The ossias of a part: a score with its bars and one part, empty outside of the ossias.
/// `None` where no voice has a note. They are no notes of the score: they are neither
/// fingered nor played.
///
/// # Errors
/// As for any score.
pub(super) fn assembled(
    voices: Vec<Vec<Vec<DraftEvent>>>,
    clef: Clef,
    bars: &[Bar],
) -> Result<Option<Box<Score>>, ScoreError> {
    let mut events = voices.iter().flatten().flatten();
    if events.all(|event| event.notes.is_empty()) {
        return Ok(None);
    }
    let grid = bars.iter().map(DraftBar::like);
    let part = DraftPart { clef, voices, ..DraftPart::guitar(String::new()) };
    let draft = Draft { bars: grid.collect(), parts: vec![part], ..Draft::default() };
    Ok(Some(Box::new(Score::assemble(draft)?)))
}

impl Part {
    /// Whether there is an ossia to a bar, by its index.
    #[must_use]
    pub fn has_ossia(&self, bar: usize) -> bool {
        let voices = self.ossia.iter().flat_map(|score| &score.parts[0].voices);
        let mut events = voices.filter_map(|voice| voice.bars.get(bar)).flatten();
        events.any(|event: &Event| !event.is_rest())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Metre, NoteValue};
    use crate::score::PartIndex;

    fn whole(pitch: &str) -> Vec<DraftEvent> {
        vec![DraftEvent::notes(NoteValue::plain(Base::Whole), &[pitch.parse().unwrap()])]
    }

    fn draft(ossia: Vec<Vec<DraftEvent>>) -> Draft {
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![whole("C4"), whole("D4"), whole("E4")]);
        part.ossia = vec![ossia];
        let bars = (1..=3).map(|n| DraftBar::new(n, Metre::COMMON, KeySignature::NONE)).collect();
        Draft { bars, parts: vec![part], ..Draft::default() }
    }

    #[test]
    fn an_ossia_has_bars_and_no_notes_of_the_score() {
        let score = Score::assemble(draft(vec![vec![], whole("F4")])).unwrap();
        let part = score.part(PartIndex(0));
        assert_eq!([0, 1, 2].map(|bar| part.has_ossia(bar)), [false, true, false]);
        assert_eq!(score.notes().len(), 3);
        let moved = score.moved(2).unwrap();
        let ossia = moved.part(PartIndex(0)).ossia.as_ref().unwrap();
        assert_eq!(ossia.notes()[0].pitch.to_string(), "G4");
        assert_eq!(ossia.notes()[0].onset, score.notes()[1].onset);
    }

    #[test]
    fn what_has_no_notes_is_none_and_what_does_not_fill_its_bar_is_a_fault() {
        let score = Score::assemble(draft(vec![vec![DraftEvent::bar_rest()]])).unwrap();
        assert_eq!(score.part(PartIndex(0)).ossia, None);
        let half = DraftEvent::notes(NoteValue::plain(Base::Half), &["C4".parse().unwrap()]);
        let found = Score::assemble(draft(vec![vec![half]]));
        assert!(matches!(found, Err(ScoreError::BarLength { .. })));
    }
}

//! Wavy lines over notes: vibrato, and how long a trill lasts.

use super::{Event, EventMark, Score, Voice};
use crate::rhythm::Moment;

/// What a wavy line says.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum WavyKind {
    /// The note is played with vibrato.
    Vibrato,
    /// Its trill lasts so long.
    Trill,
}

/// A wavy line over an event or over a chain of tied ones.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct WavyLine {
    /// What it says.
    pub kind: WavyKind,
    /// Onset of the first event under it.
    pub from: Moment,
    /// Onset of the last.
    pub to: Moment,
}

impl Score {
    /// The wavy lines of a voice of this score, in the order of time: one line over events
    /// with the mark that are tied to one another.
    #[must_use]
    pub fn wavy_lines(&self, voice: &Voice) -> Vec<WavyLine> {
        let mut lines: Vec<WavyLine> = Vec::new();
        // Whether the event before has the mark, and whether it is trilled.
        let (mut marked, mut trilled) = (false, false);
        for event in voice.bars.iter().flatten() {
            let tied = self.is_tied_from(event);
            trilled = event.marks.contains(&EventMark::Trill) || tied && trilled;
            let here = event.marks.contains(&EventMark::WavyLine) && !event.is_rest();
            let kind = if trilled { WavyKind::Trill } else { WavyKind::Vibrato };
            match lines.last_mut() {
                Some(line) if here && tied && marked && line.kind == kind => line.to = event.onset,
                _ if here => lines.push(WavyLine { kind, from: event.onset, to: event.onset }),
                _ => {}
            }
            marked = here;
        }
        lines
    }

    fn is_tied_from(&self, event: &Event) -> bool {
        event.notes().iter().any(|id| self.note(*id).tied_from.is_some())
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Duration, Metre, NoteValue};

    /// Quarters of one pitch: `w` has the mark, `t` a trill, `~` is tied on.
    fn lines(text: &str) -> Vec<(WavyKind, Moment, Moment)> {
        let mut events = Vec::new();
        for word in text.split_whitespace() {
            let pitches = if word.starts_with('r') { vec![] } else { vec!["C4".parse().unwrap()] };
            let mut event = DraftEvent::notes(NoteValue::plain(Base::Quarter), &pitches);
            event.marks.extend(word.contains('w').then_some(EventMark::WavyLine));
            event.marks.extend(word.contains('t').then_some(EventMark::Trill));
            for note in &mut event.notes {
                note.tied = word.contains('~');
            }
            events.push(event);
        }
        let bars = vec![DraftBar::new(1, Metre::new(events.len() as u8, 4), KeySignature::NONE)];
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![events]);
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        let lines = score.wavy_lines(&score.parts()[0].voices[0]);
        lines.into_iter().map(|line| (line.kind, line.from, line.to)).collect()
    }

    fn at(quarters: i64) -> Moment {
        Moment::after_start(Duration::new(quarters, 4))
    }

    #[test]
    fn tied_notes_have_one_line_and_others_their_own() {
        use WavyKind::{Trill, Vibrato};
        assert_eq!(lines("cw c cw cw"), [0, 2, 3].map(|q| (Vibrato, at(q), at(q))));
        assert_eq!(lines("cw~ cw~ cw c"), [(Vibrato, at(0), at(2))]);
        assert_eq!(lines("cw~ c~ cw"), [(Vibrato, at(0), at(0)), (Vibrato, at(2), at(2))]);
        assert_eq!(lines("ctw~ cw~ cw cw"), [(Trill, at(0), at(2)), (Vibrato, at(3), at(3))]);
        assert_eq!(lines("ct~ cw"), [(Trill, at(1), at(1))]);
        assert_eq!(lines("cw~ ctw"), [(Vibrato, at(0), at(0)), (Trill, at(1), at(1))]);
        assert_eq!(lines("rw c"), []);
    }
}

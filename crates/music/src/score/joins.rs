//! Tones that the left hand joins: technical slurs and glissandi.

use super::{Event, EventMark, PartIndex, Score, ToneId, Tones, Voice};
use crate::pitch::KeyNumber;

/// How a tone is reached from the one before it without being plucked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum JoinKind {
    /// Hammered on or pulled off under a technical slur.
    Slur,
    /// A finger glides along the string.
    Glide,
}

/// Two successive tones of a voice that the left hand is to join.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Join {
    /// The tone that is plucked.
    pub from: ToneId,
    /// The tone that follows from it.
    pub to: ToneId,
    /// By what.
    pub kind: JoinKind,
}

impl Score {
    /// The joins of a part, in the order of the tones they lead to.
    ///
    /// Two events of a voice are joined if the second begins where the first
    /// ends, each has one note, their keys differ, and both are under one
    /// technical slur or one glissando. Of slurs that overlap, the last begun
    /// ends first. A glissando outranks a slur.
    pub fn joins(&self, part: PartIndex) -> Vec<Join> {
        let tones = self.tones(part);
        let mut joins: Vec<Join> =
            self.part(part).voices.iter().flat_map(|voice| self.of_voice(voice, &tones)).collect();
        joins.sort_by_key(|join| join.to);
        joins
    }

    fn of_voice(&self, voice: &Voice, tones: &Tones) -> Vec<Join> {
        let events: Vec<&Event> = voice.bars.iter().flatten().collect();
        let mut open = Open::default();
        let mut joins = Vec::new();
        let mut before: Option<&Event> = None;
        for event in events {
            // What is open before this event's own starts spans it and the
            // event before.
            let kind = open.kind();
            if let (Some(kind), Some(before)) = (kind, before)
                && let Some((from, to)) = self.single_tones(before, event, tones)
            {
                joins.push(Join { from, to, kind });
            }
            open.go_past(event);
            before = Some(event);
        }
        joins
    }

    fn single_tones(
        &self,
        first: &Event,
        second: &Event,
        tones: &Tones,
    ) -> Option<(ToneId, ToneId)> {
        let ([a], [b]) = (first.notes(), second.notes()) else { return None };
        let key = |note| -> KeyNumber { self.note(note).pitch.key_number() };
        let tied = self.note(*b).tied_from.is_some();
        if first.end() != second.onset || key(*a) == key(*b) || tied {
            return None;
        }
        Some((tones.of_note(*a)?, tones.of_note(*b)?))
    }
}

/// Slurs and glissandi begun and not ended.
#[derive(Default)]
struct Open {
    /// Whether each is technical, the last begun last.
    slurs: Vec<bool>,
    glides: usize,
}

impl Open {
    fn kind(&self) -> Option<JoinKind> {
        if self.glides > 0 {
            Some(JoinKind::Glide)
        } else {
            self.slurs.contains(&true).then_some(JoinKind::Slur)
        }
    }

    fn go_past(&mut self, event: &Event) {
        // A slur that ends here does not begin here.
        for mark in &event.marks {
            match mark {
                EventMark::SlurEnd => drop(self.slurs.pop()),
                EventMark::GlideEnd => self.glides = self.glides.saturating_sub(1),
                _ => {}
            }
        }
        for mark in &event.marks {
            match mark {
                EventMark::SlurStart { technical } => self.slurs.push(*technical),
                EventMark::GlideStart => self.glides += 1,
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Metre, NoteValue};

    /// Quarter notes; `(` and `)` around them are a technical slur, `[` and `]`
    /// a phrase, `<` and `>` a glissando.
    fn joins(text: &str) -> Vec<(u32, u32, JoinKind)> {
        let mut events: Vec<DraftEvent> = Vec::new();
        for word in text.split_whitespace() {
            let name = word.trim_matches(|c| "()[]<>".contains(c));
            let pitches: Vec<_> =
                name.split('+').filter(|n| *n != "r").map(|n| n.parse().unwrap()).collect();
            let mut event = DraftEvent::notes(NoteValue::plain(Base::Quarter), &pitches);
            for sign in word.chars() {
                event.marks.extend(match sign {
                    '(' => Some(EventMark::SlurStart { technical: true }),
                    '[' => Some(EventMark::SlurStart { technical: false }),
                    ')' | ']' => Some(EventMark::SlurEnd),
                    '<' => Some(EventMark::GlideStart),
                    '>' => Some(EventMark::GlideEnd),
                    _ => None,
                });
            }
            events.push(event);
        }
        let metre = Metre::new(events.len() as u8, 4);
        let bars = vec![DraftBar::new(1, metre, KeySignature::NONE)];
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![events]);
        let score = Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap();
        score.joins(PartIndex(0)).iter().map(|j| (j.from.0, j.to.0, j.kind)).collect()
    }

    #[test]
    fn every_pair_under_a_technical_slur_is_joined() {
        use JoinKind::{Glide, Slur};
        assert_eq!(joins("(C4 D4) E4"), [(0, 1, Slur)]);
        assert_eq!(joins("(C4 D4 C4) E4"), [(0, 1, Slur), (1, 2, Slur)]);
        assert_eq!(joins("[C4 D4] <E4 G4>"), [(2, 3, Glide)]);
        assert_eq!(joins("(C4 D4) (E4 F4)"), [(0, 1, Slur), (2, 3, Slur)]);
        assert_eq!(joins("[C4 (D4 E4) F4]"), [(1, 2, Slur)]);
    }

    #[test]
    fn chords_rests_and_repeated_notes_are_not_joined() {
        assert_eq!(joins("(C4 r D4)"), []);
        assert_eq!(joins("(C4 C4)"), []);
        assert_eq!(joins("(C4+E4 D4)"), []);
    }
}

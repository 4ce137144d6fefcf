//! Bars that are the same as the ones before them.

use super::{BarIndex, Event, EventMark, PartIndex, Score};

impl Score {
    /// Whether a bar of a part has notes and is played exactly as the one before: the
    /// same notes, marks and grace notes in the same rhythm, no ties, slurs or
    /// glissandi over its barlines, and nothing sung.
    ///
    /// # Panics
    /// If the part or the bar is of another score.
    #[must_use]
    pub fn plays_again(&self, part: PartIndex, bar: BarIndex) -> bool {
        let at = bar.0 as usize;
        let Some(before) = at.checked_sub(1) else { return false };
        let (last, own) = (&self.bars[before], &self.bars[at]);
        let grid =
            last.metre == own.metre && last.length == own.length && last.signature == own.signature;
        let voices = &self.part(part).voices;
        let any = voices.iter().flat_map(|voice| &voice.bars[at]).any(|event| !event.is_rest());
        grid && any
            && voices.iter().all(|voice| {
                let (last, own) = (&voice.bars[before], &voice.bars[at]);
                last.len() == own.len()
                    && last.iter().zip(own).all(|(last, own)| self.alike(last, own))
                    && own.iter().all(|event| self.within(event, bar))
                    && closed(own)
            })
    }

    /// Whether two events are the same but for when they are.
    fn alike(&self, one: &Event, other: &Event) -> bool {
        let heads = |event: &Event| -> Vec<_> {
            let notes = event.notes().iter().map(|id| self.note(*id));
            notes.map(|n| (n.pitch, n.tied_from.is_some(), n.tied_to.is_some())).collect()
        };
        one.duration == other.duration
            && one.value == other.value
            && one.tuplet == other.tuplet
            && one.is_rest() == other.is_rest()
            && (!one.is_rest() || one.content == other.content)
            && one.marks == other.marks
            && one.graces == other.graces
            && one.lyrics.is_empty()
            && other.lyrics.is_empty()
            && heads(one) == heads(other)
    }

    /// Whether no tie of an event leads out of its bar.
    fn within(&self, event: &Event, bar: BarIndex) -> bool {
        let mut notes = event.notes().iter().map(|id| self.note(*id));
        notes.all(|note| {
            let mut ends = [note.tied_from, note.tied_to].into_iter().flatten();
            ends.all(|end| self.note(end).bar == bar)
        })
    }
}

/// Whether the slurs and glissandi of a bar end in it.
fn closed(events: &[Event]) -> bool {
    let marks = || events.iter().flat_map(|event| &event.marks);
    let count = |wanted: fn(&EventMark) -> bool| marks().filter(|mark| wanted(mark)).count();
    let slurs = count(|mark| matches!(mark, EventMark::SlurStart { .. }));
    let glides = count(|mark| *mark == EventMark::GlideStart);
    slurs == count(|mark| *mark == EventMark::SlurEnd)
        && glides == count(|mark| *mark == EventMark::GlideEnd)
}

#[cfg(test)]
mod tests {
    use super::super::{Draft, DraftBar, DraftEvent, DraftPart, Lyric, Sung, Verse};
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Metre, NoteValue};

    /// Three bars of two halves, the second and third after the first.
    fn draft() -> Draft {
        let half = |pitch: &str| {
            DraftEvent::notes(NoteValue::plain(Base::Half), &[pitch.parse().unwrap()])
        };
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(vec![vec![half("C4"), half("E4")]; 3]);
        let bars = (1..=3).map(|n| DraftBar::new(n, Metre::COMMON, KeySignature::NONE)).collect();
        Draft { bars, parts: vec![part], ..Draft::default() }
    }

    fn again(draft: Draft) -> [bool; 3] {
        let score = Score::assemble(draft).unwrap();
        [0, 1, 2].map(|bar| score.plays_again(PartIndex(0), BarIndex(bar)))
    }

    #[test]
    fn a_bar_is_played_again_where_it_is_the_same() {
        assert_eq!(again(draft()), [false, true, true]);
    }

    #[test]
    fn what_differs_is_not_played_again() {
        type Change = fn(&mut Draft);
        let changes: [Change; 7] = [
            |d| d.parts[0].voices[0][1][0].notes[0].pitch = "D4".parse().unwrap(),
            |d| d.parts[0].voices[0][1][0].marks.push(EventMark::Accent),
            |d| d.parts[0].voices[0][1][1].lyrics.push(Lyric { verse: Verse(1), sung: Sung::Held }),
            |d| d.parts[0].voices[0][1] = vec![DraftEvent::bar_rest()],
            |d| d.parts[0].voices.push(vec![vec![], vec![DraftEvent::bar_rest()], vec![]]),
            |d| {
                for bar in 0..3 {
                    d.parts[0].voices[0][bar][1]
                        .marks
                        .push(EventMark::SlurStart { technical: false });
                }
            },
            |d| d.bars[1].signature = KeySignature::new(1).unwrap(),
        ];
        for (number, change) in changes.into_iter().enumerate() {
            let mut other = draft();
            change(&mut other);
            assert!(!again(other)[1], "{number}");
        }
        // A tie over the barline.
        let mut tied = draft();
        for bar in 0..3 {
            tied.parts[0].voices[0][bar][1] = tied.parts[0].voices[0][bar][0].clone();
        }
        assert_eq!(again(tied.clone()), [false, true, true]);
        tied.parts[0].voices[0][0][1].notes[0].tied = true;
        assert_eq!(again(tied), [false, false, false]);
        let rests = vec![vec![DraftEvent::bar_rest()]; 3];
        let mut silent = draft();
        silent.parts[0].voices[0] = rests;
        assert_eq!(again(silent), [false; 3]);
    }
}

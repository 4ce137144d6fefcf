//! Cues: small notes of another part before an entry, to be read and not played.

use super::{
    Bar, BarIndex, Content, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Event, Note, Part,
    PartIndex, Score, ScoreError,
};

/// Small notes in a bar in which a part rests. They are no notes of the score: they have no
/// number in it and are neither fingered nor played.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cue {
    /// The bar they stand in.
    pub bar: BarIndex,
    /// Whose they are; may be empty.
    pub name: String,
    /// What they are: a score of that one bar, of one part with one voice, in the clef of the
    /// part that they are shown to.
    pub music: Box<Score>,
}

/// A cue in the making.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct DraftCue {
    /// The bar they stand in.
    pub bar: BarIndex,
    /// Whose they are; may be empty.
    pub name: String,
    /// Notes and rests that fill the bar; their marks, grace notes and lyrics are left out.
    pub events: Vec<DraftEvent>,
}

/// A part rests so many bars before it is helped by a cue. House.
const LONG_SILENCE: usize = 3;

/// Puts the cues of a part in order and checks them.
///
/// # Errors
/// If a cue stands outside of the score, has no note, does not fill its bar, or if two of
/// them, or one and notes of the part, stand in one bar.
pub(super) fn ordered(
    mut cues: Vec<DraftCue>,
    (index, part): (PartIndex, &Part),
    bars: &[Bar],
) -> Result<Vec<Cue>, ScoreError> {
    cues.sort_by_key(|cue| cue.bar);
    let number = index.0 + 1;
    let mut done: Vec<Cue> = Vec::with_capacity(cues.len());
    for DraftCue { bar, name, events } in cues {
        let Some(grid) = bars.get(bar.0 as usize) else {
            return Err(ScoreError::CueOutside { part: number, bar: bar.0 + 1 });
        };
        let free = rests(part, bar) && done.last().is_none_or(|before| before.bar != bar);
        if !free || events.iter().all(|event| event.notes.is_empty()) {
            return Err(ScoreError::IdleCue { part: number, bar: grid.number });
        }
        let plain = |event: DraftEvent| DraftEvent {
            marks: Vec::new(),
            graces: Vec::new(),
            lyrics: Vec::new(),
            ..event
        };
        let events = events.into_iter().map(plain).collect();
        let clef = part.clef;
        let voices = vec![vec![events]];
        let parts = vec![DraftPart { clef, voices, ..DraftPart::guitar(name.clone()) }];
        let draft = Draft { bars: vec![DraftBar::like(grid)], parts, ..Draft::default() };
        let music = Box::new(Score::assemble(draft)?);
        done.push(Cue { bar, name, music });
    }
    Ok(done)
}

/// Whether a part is silent in a bar.
fn rests(part: &Part, bar: BarIndex) -> bool {
    part.voices.iter().all(|voice| voice.bars[bar.0 as usize].iter().all(Event::is_rest))
}

impl Score {
    /// The cues that a part needs when it is printed alone: before it enters after three
    /// silent bars or more, the last of them as the nearest part has it that plays there. A
    /// bar that has a cue keeps it.
    pub(super) fn cues_for(&self, index: PartIndex) -> Vec<Cue> {
        let part = self.part(index);
        let mut cues = part.cues.clone();
        let mut silent = 0;
        for bar in (0..self.bars.len()).map(|bar| BarIndex(bar as u32)) {
            let resting = rests(part, bar);
            let last = bar.0.checked_sub(1).map(BarIndex);
            if let (false, true, Some(last)) = (resting, silent >= LONG_SILENCE, last)
                && part.cues.iter().all(|cue| cue.bar != last)
            {
                cues.extend(self.cue_from_others(index, last));
            }
            silent = if resting { silent + 1 } else { 0 };
        }
        cues.sort_by_key(|cue| cue.bar);
        cues
    }

    fn cue_from_others(&self, index: PartIndex, bar: BarIndex) -> Option<Cue> {
        let mut others: Vec<PartIndex> =
            self.part_indices().filter(|other| *other != index).collect();
        others.sort_by_key(|other| (other.0.abs_diff(index.0), *other));
        others.into_iter().find_map(|other| {
            let from = self.part(other);
            let mut voices = from.voices.iter().map(|voice| &voice.bars[bar.0 as usize]);
            let events = voices.find(|events| events.iter().any(|e| !e.is_rest()))?;
            let events = events
                .iter()
                .enumerate()
                .map(|(at, event)| self.as_draft(event, events.get(at + 1)));
            let cue = DraftCue { bar, name: from.name.clone(), events: events.collect() };
            let cue = ordered(vec![cue], (index, self.part(index)), &self.bars);
            cue.ok()?.pop()
        })
    }

    /// An event of a bar, tied on only to the next one of it.
    fn as_draft(&self, event: &Event, next: Option<&Event>) -> DraftEvent {
        let goes_on = |note: &Note| {
            note.tied_to.is_some_and(|to| next.is_some_and(|next| next.notes().contains(&to)))
        };
        let note = |note: &Note| DraftNote { tied: goes_on(note), ..DraftNote::new(note.pitch) };
        DraftEvent {
            tuplet: event.tuplet,
            notes: event.notes().iter().map(|id| note(self.note(*id))).collect(),
            hidden: event.content == Content::Rest { hidden: true },
            ..DraftEvent::rest(event.value)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::{Base, Metre, NoteValue};

    fn half(pitch: &str) -> DraftEvent {
        let mut event = DraftEvent::notes(NoteValue::plain(Base::Half), &[pitch.parse().unwrap()]);
        event.notes[0].tied = false;
        event
    }

    /// Bars of two halves: of one pitch where a letter stands, silent where a dot does.
    fn part(name: &str, bars: &str) -> DraftPart {
        let mut part = DraftPart::guitar(name.to_owned());
        let bar = |letter: char| match letter {
            '.' => vec![DraftEvent::bar_rest()],
            letter => vec![half(&format!("{letter}4")), half(&format!("{letter}4"))],
        };
        part.voices.push(bars.chars().map(bar).collect());
        part
    }

    fn draft(parts: Vec<DraftPart>) -> Draft {
        let count = parts[0].voices[0].len() as u32;
        let bars = (1..=count).map(|n| DraftBar::new(n, Metre::COMMON, KeySignature::NONE));
        Draft { bars: bars.collect(), parts, ..Draft::default() }
    }

    fn cues(parts: Vec<DraftPart>) -> Vec<(u32, String, Vec<String>)> {
        let score = Score::assemble(draft(parts)).unwrap();
        let alone = score.part_alone(PartIndex(0));
        assert_eq!(alone.notes().len(), score.notes_of(PartIndex(0)).len());
        let pitches = |cue: &Cue| cue.music.notes().iter().map(|n| n.pitch.to_string()).collect();
        let cues = &alone.parts()[0].cues;
        cues.iter().map(|cue| (cue.bar.0, cue.name.clone(), pitches(cue))).collect()
    }

    #[test]
    fn a_part_alone_has_a_cue_before_it_enters_after_three_bars() {
        let of = |own, other| cues(vec![part("Pupil", own), part("Teacher", other)]);
        let notes = |pitch: &str| vec![pitch.to_owned(), pitch.to_owned()];
        let cue = |bar, pitch| (bar, "Teacher".to_owned(), notes(pitch));
        assert_eq!(of("...C", "CDEF"), [cue(2, "E4")]);
        assert_eq!(of("A....C", "CDEFGA"), [cue(4, "G4")]);
        assert_eq!(of("A...C...A", "CDEFGABCD"), [cue(3, "F4"), cue(7, "C4")]);
        assert_eq!(of("C..A", "CDEF"), []);
        assert_eq!(of("C....", "CDEFG"), []);
        assert_eq!(of("...C", "CD.F"), []);
    }

    #[test]
    fn the_nearest_part_that_plays_gives_the_cue() {
        let parts = vec![part("First", "...C"), part("Second", "CD.F"), part("Third", "GGGG")];
        assert_eq!(cues(parts)[0].1, "Third");
    }

    #[test]
    fn a_cue_fills_a_bar_in_which_its_part_rests() {
        let with = |bar: u32, events: Vec<DraftEvent>, own: &str| {
            let mut part = part("", own);
            part.cues.push(DraftCue { bar: BarIndex(bar), name: String::new(), events });
            Score::assemble(draft(vec![part])).map(|score| score.parts()[0].cues.len())
        };
        assert_eq!(with(1, vec![half("C4"), half("D4")], "C.C"), Ok(1));
        let idle = Err(ScoreError::IdleCue { part: 1, bar: 1 });
        assert_eq!(with(0, vec![half("C4"), half("D4")], "C.C"), idle);
        let idle = Err(ScoreError::IdleCue { part: 1, bar: 2 });
        assert_eq!(with(1, vec![DraftEvent::bar_rest()], "C.C"), idle);
        let outside = Err(ScoreError::CueOutside { part: 1, bar: 4 });
        assert_eq!(with(3, vec![half("C4"), half("D4")], "C.C"), outside);
        assert!(matches!(with(1, vec![half("C4")], "C.C"), Err(ScoreError::BarLength { .. })));
    }

    #[test]
    fn cues_are_moved_with_their_score() {
        let parts = vec![part("", "...C"), part("", "CDEF")];
        let alone = Score::assemble(draft(parts)).unwrap().part_alone(PartIndex(0));
        let moved = alone.moved(2).unwrap();
        let pitch = |score: &Score| score.parts()[0].cues[0].music.notes()[0].pitch;
        assert_eq!(pitch(&alone).semitones_to(pitch(&moved)), 2);
    }
}

//! From a draft to a checked score.

use std::hash::{Hash, Hasher};

use siphasher::sip128::{Hasher128, SipHasher13};

use super::{
    Bar, BarIndex, Content, Draft, DraftBar, DraftEvent, DraftPart, Dynamic, Event, Note, NoteId,
    Part, PartIndex, Revision, Score, Voice, VoiceNumber, cue, dynamics, expression, lyrics, ossia,
};
use crate::pitch::Pitch;
use crate::rhythm::{Base, Duration, Moment, NoteValue};

/// Why a draft is not a score.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum ScoreError {
    /// The events of a voice do not add up to their bar.
    #[error(
        "bar {bar}, part {part}, voice {voice}: the notes and rests last {found} of a whole note, the bar {wanted}; add or remove what is missing"
    )]
    BarLength { bar: u32, part: u16, voice: u8, found: Duration, wanted: Duration },
    /// A tie whose next event does not have the pitch.
    #[error(
        "bar {bar}, part {part}, voice {voice}: the tie from {pitch} leads to no {pitch} in the next event of the voice; remove the tie or add the note"
    )]
    LooseTie { bar: u32, part: u16, voice: u8, pitch: Pitch },
    /// The same pitch twice in one event.
    #[error("bar {bar}, part {part}, voice {voice}: {pitch} stands twice in one chord; remove one")]
    DoubledPitch { bar: u32, part: u16, voice: u8, pitch: Pitch },
    /// A grace note before a rest.
    #[error(
        "bar {bar}, part {part}, voice {voice}: the grace note {pitch} stands before a rest; remove it or add its note"
    )]
    LooseGrace { bar: u32, part: u16, voice: u8, pitch: Pitch },
    /// A lyric at a rest.
    #[error(
        "bar {bar}, part {part}, voice {voice}: there is a lyric at a rest; remove it or add its note"
    )]
    LyricAtRest { bar: u32, part: u16, voice: u8 },
    /// Two lyrics of one verse at an event.
    #[error(
        "bar {bar}, part {part}, voice {voice}: verse {verse} has two syllables at one note; remove one"
    )]
    DoubledLyric { bar: u32, part: u16, voice: u8, verse: u8 },
    /// A lyric that says nothing.
    #[error(
        "bar {bar}, part {part}, voice {voice}: a syllable of verse {verse} is blank; remove it"
    )]
    BlankLyric { bar: u32, part: u16, voice: u8, verse: u8 },
    /// A voice has more bars than the score.
    #[error("part {part}, voice {voice}: {found} bars in a score of {wanted}")]
    TooManyBars { part: u16, voice: u8, found: usize, wanted: usize },
    /// A bar without length.
    #[error("bar {bar} has no length")]
    EmptyBar { bar: u32 },
    /// A dynamic before the beginning or after the end.
    #[error(
        "part {part}: {dynamic} stands at {} of a whole note, outside the piece; move or remove it",
        at.since_start()
    )]
    DynamicOutside { part: u16, dynamic: Dynamic, at: Moment },
    /// Two dynamics at one moment.
    #[error("bar {bar}, part {part}: {first} and {second} stand at one moment; remove one")]
    DoubledDynamic { bar: u32, part: u16, first: Dynamic, second: Dynamic },
    /// A hairpin that begins or ends outside the piece.
    #[error(
        "part {part}: the hairpin from {} to {} of a whole note leads outside the piece; shorten or remove it",
        from.since_start(),
        until.since_start()
    )]
    HairpinOutside { part: u16, from: Moment, until: Moment },
    /// A hairpin that ends no later than it begins.
    #[error("bar {bar}, part {part}: a hairpin has no length; move its end or remove it")]
    EmptyHairpin { bar: u32, part: u16 },
    /// A hairpin begins before another is over.
    #[error(
        "bar {bar}, part {part}: a hairpin begins before another is over; shorten or remove one"
    )]
    HairpinsOverlap { bar: u32, part: u16 },
    /// Words before the beginning or after the end.
    #[error(
        "part {part}: “{text}” stands at {} of a whole note, outside the piece; move or remove it",
        at.since_start()
    )]
    WordsOutside { part: u16, text: String, at: Moment },
    /// Words that are over no later than they begin, or after the end.
    #[error(
        "part {part}: the dashes after “{text}” end at {} of a whole note, outside the piece or before they begin; move their end or remove them",
        until.since_start()
    )]
    WordsEnd { part: u16, text: String, until: Moment },
    /// A cue in no bar.
    #[error("part {part}: there is no bar {bar} for its cue; remove the cue")]
    CueOutside { part: u16, bar: u32 },
    /// A cue without notes, or not alone in its bar.
    #[error(
        "bar {bar}, part {part}: a cue has no notes, or stands where the part plays or has another cue; remove it"
    )]
    IdleCue { part: u16, bar: u32 },
    /// A sign for the bar before stands in no bar, or there is none before.
    #[error("part {part}: there is no bar {bar} with one before it to repeat; remove the sign")]
    NothingToRepeat { part: u16, bar: u32 },
    /// Words that say nothing.
    #[error(
        "part {part}: blank words stand at {} of a whole note; remove them",
        at.since_start()
    )]
    BlankWords { part: u16, at: Moment },
}

impl Score {
    /// Checks a draft and numbers its notes.
    ///
    /// # Errors
    /// The first fault found, in the order of part, bar and voice.
    pub fn assemble(draft: Draft) -> Result<Self, ScoreError> {
        let revision = revision_of(&draft);
        let bars = grid(&draft.bars)?;
        let events = draft.parts.iter().flat_map(|part| part.voices.iter().flatten().flatten());
        let mut notes = Vec::with_capacity(events.map(|event| event.notes.len()).sum());
        let mut parts = Vec::with_capacity(draft.parts.len());
        for (index, part) in draft.parts.into_iter().enumerate() {
            parts.push(assemble_part(part, PartIndex(index as u16), &bars, &mut notes)?);
        }
        Ok(Self { heading: draft.heading, bars, parts, notes, revision })
    }
}

fn revision_of(draft: &Draft) -> Revision {
    let mut hasher = SipHasher13::new();
    draft.hash(&mut hasher);
    hasher.write_u8(0);
    Revision(hasher.finish128().as_u128())
}

fn grid(drafts: &[DraftBar]) -> Result<Vec<Bar>, ScoreError> {
    let mut start = Moment::START;
    drafts
        .iter()
        .map(|draft| {
            let length = draft.length.unwrap_or_else(|| draft.metre.bar());
            if length <= Duration::ZERO {
                return Err(ScoreError::EmptyBar { bar: draft.number });
            }
            let bar = Bar {
                number: draft.number,
                start,
                length,
                metre: draft.metre,
                signature: draft.signature,
                repeat_start: draft.repeat_start,
                repeat_end: draft.repeat_end,
                ending: draft.ending.clone(),
                end: draft.end,
                tempo: draft.tempo,
                words: draft.words.clone(),
                long_rest: draft.long_rest,
                rehearsal: draft.rehearsal.clone(),
                landmark: draft.landmark,
                exit: draft.exit,
                jump: draft.jump,
            };
            start += length;
            Ok(bar)
        })
        .collect()
}

/// Note ids run bar by bar through the voices, so the voices of a part are
/// assembled side by side.
fn assemble_part(
    draft: DraftPart,
    part: PartIndex,
    bars: &[Bar],
    notes: &mut Vec<Note>,
) -> Result<Part, ScoreError> {
    let mut voices: Vec<Voice> = Vec::with_capacity(draft.voices.len());
    let mut sources = Vec::with_capacity(draft.voices.len());
    for (index, voice_bars) in draft.voices.into_iter().enumerate() {
        let number = VoiceNumber(index as u8 + 1);
        if voice_bars.len() > bars.len() {
            return Err(ScoreError::TooManyBars {
                part: part.0 + 1,
                voice: number.0,
                found: voice_bars.len(),
                wanted: bars.len(),
            });
        }
        voices.push(Voice { number, bars: Vec::with_capacity(bars.len()) });
        sources.push((voice_bars.into_iter(), Vec::<NoteId>::new()));
    }
    for (index, bar) in bars.iter().enumerate() {
        for (voice, (source, open_ties)) in voices.iter_mut().zip(&mut sources) {
            let place = Place { part, bar: BarIndex(index as u32), voice: voice.number, grid: bar };
            let events = source.next().unwrap_or_default();
            voice.bars.push(place.assemble_bar(events, open_ties, notes)?);
        }
    }
    for (_, open_ties) in sources {
        if let Some(id) = open_ties.first() {
            return Err(loose_tie(&notes[id.0 as usize], bars));
        }
    }
    let (dynamics, hairpins) = dynamics::ordered(draft.dynamics, draft.hairpins, part, bars)?;
    let words = expression::ordered(draft.words, part, bars)?;
    let mut bar_repeats = draft.bar_repeats;
    bar_repeats.sort_unstable();
    bar_repeats.dedup();
    let real = |bar: &BarIndex| (1..bars.len()).contains(&(bar.0 as usize));
    if let Some(bar) = bar_repeats.iter().find(|bar| !real(bar)) {
        let (part, bar) = (part.0 + 1, bar.0 + 1);
        return Err(ScoreError::NothingToRepeat { part, bar });
    }
    let (name, clef) = (draft.name, draft.clef);
    let (cues, ossia) = (Vec::new(), ossia::assembled(draft.ossia, clef, bars)?);
    let mut done = Part { name, clef, voices, dynamics, hairpins, words, bar_repeats, cues, ossia };
    done.cues = cue::ordered(draft.cues, (part, &done), bars)?;
    Ok(done)
}

fn loose_tie(note: &Note, bars: &[Bar]) -> ScoreError {
    ScoreError::LooseTie {
        bar: bars[note.bar.0 as usize].number,
        part: note.part.0 + 1,
        voice: note.voice.0,
        pitch: note.pitch,
    }
}

/// A voice's bar under assembly.
struct Place<'a> {
    part: PartIndex,
    bar: BarIndex,
    voice: VoiceNumber,
    grid: &'a Bar,
}

impl Place<'_> {
    fn assemble_bar(
        &self,
        drafts: Vec<DraftEvent>,
        open_ties: &mut Vec<NoteId>,
        notes: &mut Vec<Note>,
    ) -> Result<Vec<Event>, ScoreError> {
        if drafts.is_empty() {
            return match open_ties.first() {
                Some(id) => Err(ScoreError::LooseTie {
                    bar: self.grid.number,
                    part: self.part.0 + 1,
                    voice: self.voice.0,
                    pitch: notes[id.0 as usize].pitch,
                }),
                None => Ok(Vec::new()),
            };
        }
        let mut offset = Duration::ZERO;
        let mut events = Vec::with_capacity(drafts.len());
        for draft in drafts {
            let onset = self.grid.start + offset;
            let event = self.event(draft, events.len() as u32, onset, open_ties, notes)?;
            offset += event.duration;
            events.push(event);
        }
        if offset != self.grid.length {
            return Err(ScoreError::BarLength {
                bar: self.grid.number,
                part: self.part.0 + 1,
                voice: self.voice.0,
                found: offset,
                wanted: self.grid.length,
            });
        }
        Ok(events)
    }

    const fn lyric(&self, fault: lyrics::Fault) -> ScoreError {
        let (bar, part, voice) = (self.grid.number, self.part.0 + 1, self.voice.0);
        match fault {
            lyrics::Fault::OnRest => ScoreError::LyricAtRest { bar, part, voice },
            lyrics::Fault::Doubled(verse) => {
                ScoreError::DoubledLyric { bar, part, voice, verse: verse.0 }
            }
            lyrics::Fault::Blank(verse) => {
                ScoreError::BlankLyric { bar, part, voice, verse: verse.0 }
            }
        }
    }

    fn event(
        &self,
        mut draft: DraftEvent,
        index: u32,
        onset: Moment,
        open_ties: &mut Vec<NoteId>,
        notes: &mut Vec<Note>,
    ) -> Result<Event, ScoreError> {
        let whole_bar = draft.whole_bar && draft.notes.is_empty();
        let duration = if whole_bar {
            self.grid.length
        } else {
            let written = draft.value.duration();
            draft.tuplet.map_or(written, |tuplet| written.scaled(tuplet.ratio()))
        };
        let value = if whole_bar { NoteValue::plain(Base::Whole) } else { draft.value };
        draft.notes.sort_by_key(|note| note.pitch);
        let arriving = std::mem::take(open_ties);
        let mut ids = Vec::with_capacity(draft.notes.len());
        for (at, note) in draft.notes.iter().enumerate() {
            if at > 0 && draft.notes[at - 1].pitch == note.pitch {
                return Err(ScoreError::DoubledPitch {
                    bar: self.grid.number,
                    part: self.part.0 + 1,
                    voice: self.voice.0,
                    pitch: note.pitch,
                });
            }
            let id = NoteId(notes.len() as u32);
            let from = arriving.iter().copied().find(|f| notes[f.0 as usize].pitch == note.pitch);
            if let Some(from) = from {
                notes[from.0 as usize].tied_to = Some(id);
            }
            notes.push(Note {
                id,
                pitch: note.pitch,
                part: self.part,
                bar: self.bar,
                voice: self.voice,
                event: index,
                onset,
                duration,
                tied_from: from,
                tied_to: None,
                source_id: note.source_id.clone(),
            });
            if note.tied {
                open_ties.push(id);
            }
            ids.push(id);
        }
        if let Some(loose) = arriving.iter().find(|f| notes[f.0 as usize].tied_to.is_none()) {
            let loose = &notes[loose.0 as usize];
            return Err(ScoreError::LooseTie {
                bar: self.grid.number,
                part: self.part.0 + 1,
                voice: self.voice.0,
                pitch: loose.pitch,
            });
        }
        if let (Some(grace), true) = (draft.graces.first(), ids.is_empty()) {
            return Err(ScoreError::LooseGrace {
                bar: self.grid.number,
                part: self.part.0 + 1,
                voice: self.voice.0,
                pitch: grace.pitch,
            });
        }
        let lyrics = lyrics::ordered(draft.lyrics, ids.is_empty()).map_err(|f| self.lyric(f))?;
        let content = if ids.is_empty() {
            Content::Rest { hidden: draft.hidden }
        } else {
            Content::Notes(ids)
        };
        Ok(Event {
            onset,
            duration,
            value,
            tuplet: draft.tuplet,
            content,
            marks: draft.marks,
            graces: draft.graces,
            lyrics,
            origin: draft.origin,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::{
        DraftNote, DynamicMark, EventMark, Exit, Expression, Grace, Hairpin, HairpinKind, Heading,
        Landmark, Lyric, StaffSide, Sung, Verse,
    };
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::Metre;

    const FORTE: DynamicMark = DynamicMark { at: Moment::START, dynamic: Dynamic::F };
    const GROWING: Hairpin = Hairpin {
        from: Moment::START,
        until: Moment::after_start(Duration::QUARTER),
        kind: HairpinKind::Grows,
    };

    fn dolce() -> Expression {
        Expression {
            at: Moment::START,
            side: StaffSide::Above,
            text: "dolce".to_owned(),
            until: None,
        }
    }

    fn note(text: &str, base: Base, tied: bool) -> DraftEvent {
        let mut event = DraftEvent::rest(NoteValue::plain(base));
        event.notes.push(DraftNote { tied, ..DraftNote::new(text.parse().unwrap()) });
        event
    }

    fn grace(text: &str) -> Grace {
        Grace { pitch: text.parse().unwrap(), slashed: true }
    }

    fn event_of(draft: &mut Draft) -> &mut DraftEvent {
        &mut draft.parts[0].voices[0][0][0]
    }

    fn draft(bars: Vec<Vec<DraftEvent>>) -> Draft {
        let grid = (1..=bars.len() as u32)
            .map(|number| DraftBar::new(number, Metre::new(2, 4), KeySignature::NONE))
            .collect();
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(bars);
        Draft { heading: Heading::default(), bars: grid, parts: vec![part] }
    }

    #[test]
    fn ties_join_notes_over_the_barline() {
        let score = Score::assemble(draft(vec![
            vec![note("C4", Base::Quarter, false), note("D4", Base::Quarter, true)],
            vec![note("D4", Base::Half, false)],
        ]))
        .unwrap();
        let tones = score.tones(PartIndex(0));
        assert_eq!(tones.len(), 2);
        let tied = &tones.as_slice()[1];
        assert_eq!(tied.notes, [NoteId(1), NoteId(2)]);
        assert_eq!(tied.duration(), Duration::new(3, 4));
    }

    #[test]
    fn faults_are_named_with_bar_and_voice() {
        let short = Score::assemble(draft(vec![vec![note("C4", Base::Quarter, false)]]));
        assert!(matches!(short, Err(ScoreError::BarLength { bar: 1, voice: 1, .. })));
        let loose = Score::assemble(draft(vec![
            vec![note("C4", Base::Half, true)],
            vec![note("D4", Base::Half, false)],
        ]));
        assert!(matches!(loose, Err(ScoreError::LooseTie { .. })));
        let open = Score::assemble(draft(vec![vec![note("C4", Base::Half, true)]]));
        assert!(matches!(open, Err(ScoreError::LooseTie { bar: 1, .. })));
        let mut rest = DraftEvent::bar_rest();
        rest.graces.push(grace("B3"));
        let before_rest = Score::assemble(draft(vec![vec![rest]]));
        let mut rest = DraftEvent::bar_rest();
        rest.lyrics.push(Lyric { verse: Verse(1), sung: Sung::Held });
        let at_rest = Score::assemble(draft(vec![vec![rest]]));
        assert!(matches!(at_rest, Err(ScoreError::LyricAtRest { bar: 1, voice: 1, .. })));
        assert!(matches!(before_rest, Err(ScoreError::LooseGrace { bar: 1, voice: 1, .. })));
    }

    #[test]
    fn revision_tells_contents_apart() {
        let one = Score::assemble(draft(vec![vec![note("C4", Base::Half, false)]])).unwrap();
        let same = Score::assemble(draft(vec![vec![note("C4", Base::Half, false)]])).unwrap();
        assert_eq!(one.revision(), same.revision());
        type Change = fn(&mut Draft);
        let changes: [Change; 13] = [
            |draft| event_of(draft).notes[0].pitch = "D4".parse().unwrap(),
            |draft| event_of(draft).graces.push(grace("D4")),
            |draft| event_of(draft).graces.push(Grace { slashed: false, ..grace("D4") }),
            |draft| event_of(draft).lyrics.push(Lyric { verse: Verse(1), sung: Sung::Held }),
            |draft| event_of(draft).marks.push(EventMark::NaturalHarmonic),
            |draft| event_of(draft).marks.push(EventMark::Trill),
            |draft| draft.bars[0].landmark = Some(Landmark::Segno),
            |draft| draft.bars[0].exit = Some(Exit::Fine),
            |draft| draft.bars[0].long_rest = Some(2),
            |draft| draft.bars[0].rehearsal = "A".to_owned(),
            |draft| draft.parts[0].dynamics.push(FORTE),
            |draft| draft.parts[0].hairpins.push(GROWING),
            |draft| draft.parts[0].words.push(dolce()),
        ];
        let mut revisions = vec![one.revision()];
        for change in changes {
            let mut other = draft(vec![vec![note("C4", Base::Half, false)]]);
            change(&mut other);
            revisions.push(Score::assemble(other).unwrap().revision());
        }
        revisions.sort();
        revisions.dedup();
        assert_eq!(revisions.len(), changes.len() + 1);
    }
}

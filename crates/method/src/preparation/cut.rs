//! Bars cut out of a score, with the fingering that they have in it as pins.

use std::collections::HashSet;

use apoyando_fingering::{
    FretSet, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, PositionSet, RightFingerSet, Scope,
    StringSet,
};
use apoyando_music::{
    BarIndex, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Event, EventMark,
    Heading, Moment, NoteId, NoteValue, Score, Tempo, ToneId,
};

use super::reading::Reading;

/// A bar to be cut out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Measure {
    pub(super) bar: BarIndex,
    /// Only what is struck at its beginning, then rests.
    pub(super) landing: bool,
}

/// Bars cut out.
pub(super) struct Cutting {
    pub(super) score: Score,
    /// By tone of the new score, the tone that it is of the old one.
    pub(super) sources: Vec<ToneId>,
    pub(super) pins: Pins,
}

/// Cuts bars out and puts them one after another, with repeat signs about them
/// if they are to go round. `None` if a landing cannot be written.
pub(super) fn cut(reading: &Reading<'_>, measures: &[Measure], round: bool) -> Option<Cutting> {
    let score = reading.score();
    let part = score.part(reading.problem.part);
    let mut grid: Vec<DraftBar> =
        measures.iter().map(|m| DraftBar::like(score.bar(m.bar))).collect();
    if let Some(first) = grid.first_mut() {
        first.tempo = tempo_at(score, measures[0].bar);
        first.repeat_start = round;
    }
    if let Some(last) = grid.last_mut() {
        last.repeat_end = round.then_some(2);
    }
    let mut voices: Vec<Vec<Vec<DraftEvent>>> = vec![Vec::new(); part.voices.len()];
    let mut heads: Vec<NoteId> = Vec::new();
    for (index, measure) in measures.iter().enumerate() {
        // What is tied over into these bars and let go before them is silent.
        let start = first_of_run(score, measures, index);
        for (voice, drafts) in part.voices.iter().zip(&mut voices) {
            let events = voice.bars.get(measure.bar.0 as usize).map_or(&[][..], Vec::as_slice);
            let cutter = Cutter { reading, measures, index, start };
            drafts.push(if measure.landing {
                cutter.landing(events, &mut heads)?
            } else {
                cutter.whole(events, &mut heads)
            });
        }
    }
    let cut_part = DraftPart { clef: part.clef, voices, ..DraftPart::guitar(String::new()) };
    let number = score.bar(measures.first()?.bar).number;
    let heading = Heading { title: format!("Bar {number}"), ..Heading::default() };
    let cut = Score::assemble(Draft { heading, bars: grid, parts: vec![cut_part] }).ok()?;
    let tones = cut.tones(apoyando_music::PartIndex(0));
    let sources: Vec<ToneId> = tones
        .as_slice()
        .iter()
        .map(|tone| reading.tones.of_note(*heads.get(tone.head().0 as usize)?))
        .collect::<Option<_>>()?;
    let pins = pins(reading, measures, &cut, &sources);
    Some(Cutting { score: cut, sources, pins })
}

/// The metronome mark in force.
pub(super) fn tempo_at(score: &Score, bar: BarIndex) -> Option<Tempo> {
    score.bars()[..=bar.0 as usize].iter().rev().find_map(|bar| bar.tempo)
}

/// Beginning of the first bar of those that follow one another as in the score.
fn first_of_run(score: &Score, measures: &[Measure], index: usize) -> Moment {
    let mut first = index;
    while first > 0 && follows(measures, first) {
        first -= 1;
    }
    score.bar(measures[first].bar).start
}

/// Whether a measure comes after the one before it as in the score.
fn follows(measures: &[Measure], index: usize) -> bool {
    index > 0
        && !measures[index - 1].landing
        && measures[index].bar.0 == measures[index - 1].bar.0 + 1
}

struct Cutter<'a> {
    reading: &'a Reading<'a>,
    measures: &'a [Measure],
    index: usize,
    start: Moment,
}

impl Cutter<'_> {
    fn whole(&self, events: &[Event], heads: &mut Vec<NoteId>) -> Vec<DraftEvent> {
        let whole = self.whole_spans(events);
        let mut drafts = Vec::with_capacity(events.len());
        for (at, event) in events.iter().enumerate() {
            let mut draft = self.event(event, heads);
            if !draft.notes.is_empty() {
                let marks = event.marks.iter().enumerate();
                let kept = marks.filter(|(index, mark)| {
                    let spans = SPANS.iter().any(|(begins, ends)| begins(mark) || ends(mark));
                    !spans || whole.contains(&(at, *index))
                });
                draft.marks = kept.map(|(_, mark)| *mark).collect();
            }
            drafts.push(draft);
        }
        drafts
    }

    /// The first notes of a bar for a beat at most, then rests.
    fn landing(&self, events: &[Event], heads: &mut Vec<NoteId>) -> Option<Vec<DraftEvent>> {
        let Some(first) = events.first() else { return Some(Vec::new()) };
        let bar = self.reading.score().bar(self.measures[self.index].bar);
        if first.is_rest() {
            return Some(vec![DraftEvent::bar_rest()]);
        }
        let beat = bar.metre.beat();
        let value = if first.duration > beat { NoteValue::of(beat)? } else { first.value };
        if first.tuplet.is_some() || value.duration() >= bar.length {
            return None;
        }
        let mut draft = self.event(first, heads);
        draft.value = value;
        if !draft.notes.is_empty() {
            draft.marks = first.marks.iter().copied().filter(|mark| is_of_notes(*mark)).collect();
        }
        for note in &mut draft.notes {
            note.tied = false;
        }
        let mut landing = vec![draft];
        landing.extend(rests(value.duration(), bar.length, beat)?);
        Some(landing)
    }

    fn event(&self, event: &Event, heads: &mut Vec<NoteId>) -> DraftEvent {
        let score = self.reading.score();
        let mut draft = DraftEvent::rest(event.value);
        draft.tuplet = event.tuplet;
        draft.origin = event.origin.clone();
        for id in event.notes().iter().filter(|id| self.sounds(**id)) {
            let note = score.note(*id);
            let tied = note.tied_to.is_some_and(|next| self.is_kept(next));
            draft.notes.push(DraftNote { pitch: note.pitch, tied, source_id: None });
            heads.push(*id);
        }
        if !draft.notes.is_empty() {
            draft.graces.clone_from(&event.graces);
        }
        if event.is_rest() {
            draft.hidden = event.content == apoyando_music::Content::Rest { hidden: true };
            let bar = score.bar(self.measures[self.index].bar);
            draft.whole_bar = event.duration == bar.length
                && event.tuplet.is_none()
                && event.value.duration() != event.duration;
        }
        draft
    }

    /// The marks of slurs and glissandi that begin and end among these events, by
    /// event and number of the mark.
    fn whole_spans(&self, events: &[Event]) -> HashSet<(usize, usize)> {
        let mut whole = HashSet::new();
        for (begins, ends) in SPANS {
            let mut open: Vec<(usize, usize)> = Vec::new();
            for (at, event) in events.iter().enumerate() {
                // What is silent here has no marks.
                if !event.notes().iter().any(|note| self.sounds(*note)) {
                    continue;
                }
                let of = |kind: fn(&EventMark) -> bool| {
                    let marks = event.marks.iter().enumerate();
                    marks.filter(move |(_, mark)| kind(mark)).map(|(index, _)| index)
                };
                // One slur may end where the next begins.
                for mark in of(ends) {
                    if let Some(begin) = open.pop() {
                        whole.extend([begin, (at, mark)]);
                    }
                }
                open.extend(of(begins).map(|mark| (at, mark)));
            }
        }
        whole
    }

    /// Whether a note is heard in these bars at all.
    fn sounds(&self, note: NoteId) -> bool {
        let Some(tone) = self.reading.tones.of_note(note) else { return false };
        self.reading.tones.get(tone).onset >= self.start
            || self.reading.fingering.tone(tone).sounds_until > self.start
    }

    /// Whether the note that one is tied to is cut out with it.
    fn is_kept(&self, next: NoteId) -> bool {
        let next = self.reading.score().note(next);
        let here = self.measures[self.index];
        if next.bar == here.bar {
            return !here.landing;
        }
        self.index + 1 < self.measures.len()
            && follows(self.measures, self.index + 1)
            && self.measures[self.index + 1].bar == next.bar
    }
}

/// Marks that span several notes: what begins such a one and what ends it.
type Span = (fn(&EventMark) -> bool, fn(&EventMark) -> bool);

const SPANS: [Span; 2] = [
    (|mark| matches!(mark, EventMark::SlurStart { .. }), |mark| matches!(mark, EventMark::SlurEnd)),
    (|mark| matches!(mark, EventMark::GlideStart), |mark| matches!(mark, EventMark::GlideEnd)),
];

/// Whether a mark says what is played at its onset, not how long or how loud.
const fn is_of_notes(mark: EventMark) -> bool {
    match mark {
        EventMark::NaturalHarmonic
        | EventMark::ArtificialHarmonic
        | EventMark::Trill
        | EventMark::Mordent
        | EventMark::InvertedMordent
        | EventMark::Turn
        | EventMark::InvertedTurn => true,
        EventMark::SlurStart { .. }
        | EventMark::SlurEnd
        | EventMark::GlideStart
        | EventMark::GlideEnd
        | EventMark::Fermata
        | EventMark::Staccato
        | EventMark::Tenuto
        | EventMark::Accent
        | EventMark::Arpeggio(_)
        | EventMark::Strum(_)
        | EventMark::Together
        | EventMark::Breath
        | EventMark::Caesura
        | EventMark::WavyLine
        | EventMark::LetRing => false,
    }
}

/// Rests from one point of a bar to another: up to the beat first, then the
/// longest that fit. `None` if they cannot be written.
fn rests(from: Duration, to: Duration, beat: Duration) -> Option<Vec<DraftEvent>> {
    let mut rests = Vec::new();
    let mut at = from;
    while at < to {
        let over = at.ratio() % beat.ratio();
        let to_beat = if over == Duration::ZERO.ratio() {
            to - at
        } else {
            (beat - Duration::ZERO.max(remainder(at, beat))).min(to - at)
        };
        let value = apoyando_music::Base::ALL
            .into_iter()
            .map(NoteValue::plain)
            .find(|value| value.duration() <= to_beat)?;
        rests.push(DraftEvent::rest(value));
        at += value.duration();
    }
    Some(rests)
}

fn remainder(of: Duration, by: Duration) -> Duration {
    let over = of.ratio() % by.ratio();
    Duration::new(*over.numer(), *over.denom())
}

/// The placements, fingers of both hands and positions of the piece.
fn pins(reading: &Reading<'_>, measures: &[Measure], cut: &Score, sources: &[ToneId]) -> Pins {
    let tones = cut.tones(apoyando_music::PartIndex(0));
    let mut pins = Vec::new();
    for (tone, source) in tones.as_slice().iter().zip(sources) {
        let mut pin = |rule| {
            pins.push(Pin { scope: Scope::Tone(tone.id), rule, author: PinAuthor::Author });
        };
        let played = reading.fingering.tone(*source);
        if let Some(left) = played.left {
            pin(PinRule::Strings(StringSet::NONE.with(left.place.string)));
            pin(PinRule::Frets(FretSet::NONE.with(left.place.fret)));
            pin(PinRule::LeftFingers(LeftFingerSet::NONE.with(left.finger)));
        }
        if let Some(second) = played.second {
            let finger = LeftFingerSet::NONE.with(Some(second.finger));
            pin(PinRule::SecondFingers(finger));
        }
        if let Some(right) = played.right {
            pin(PinRule::RightFingers(RightFingerSet::NONE.with(right)));
        }
        let bar = cut.bar_at(tone.onset);
        let at = bar.and_then(|bar| {
            let own = cut.bar(bar).start;
            let old = reading.score().bar(measures.get(bar.0 as usize)?.bar).start;
            Some(old + (tone.onset - own))
        });
        let posture = at.and_then(|at| reading.posture(at));
        if let Some(position) = posture.filter(|p| !p.idle).and_then(|p| p.away.or(p.position)) {
            pin(PinRule::Positions(PositionSet::NONE.with(position)));
        }
    }
    Pins(pins)
}

#[cfg(test)]
mod tests;

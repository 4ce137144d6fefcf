//! Voices as stated, into voices whose events follow one another.

use apoyando_fingering::Severity;
use apoyando_music::{DraftEvent, DraftNote, EventMark, Origin, Tuplet};

use super::{Lane, Placed, PlacedBar, lyrics};
use crate::ReadError;
use crate::report::Report;
use crate::rough::{RoughBar, RoughEvent, RoughRest};
use crate::time::{LONGEST_BAR, Time, Written, add, spell, zero};

/// A rhythm that cannot be written.
pub(super) struct Fault {
    bar: usize,
    what: String,
}

impl Fault {
    pub(super) fn at(self, file: &str, bars: &[RoughBar]) -> ReadError {
        let number = bars.get(self.bar).and_then(|bar| bar.number);
        ReadError::Rhythm {
            file: file.to_owned(),
            bar: number.unwrap_or(self.bar as u32 + 1),
            what: self.what,
        }
    }
}

/// Most overlapping notes of one voice.
const MOST_LANES: usize = 8;

/// Lengths that cannot be written are rounded to multiples of this.
const SHORTEST: Time = Time::new_raw(1, 128);

/// Distributes the events of a voice over as many lanes as its overlaps need;
/// the first holds the voice itself.
pub(super) fn lanes(
    voice: Vec<Vec<RoughEvent>>,
    number: usize,
    report: &mut Report,
) -> Result<Vec<Lane>, Fault> {
    let bars = voice.len();
    let mut lanes: Vec<Lane> = vec![Vec::with_capacity(bars)];
    for (index, mut events) in voice.into_iter().enumerate() {
        report.bar = Some(index);
        events.sort_by_key(|event| event.onset);
        let alone = events.len() == 1;
        let mut placed: Vec<PlacedBar> = vec![Vec::new()];
        let mut off_grid = false;
        for mut event in merged(events, report) {
            report.line = Some(event.line);
            report.onset = Some(event.onset);
            // After a rounded length the next onset need not fit exactly.
            if off_grid {
                event.slack = event.slack.max(SHORTEST);
            }
            off_grid |= event.value.is_none() && spell(event.length, event.tuplet).is_none();
            let lane = placed.iter().position(|lane| fits(lane, &event)).unwrap_or(placed.len());
            if lane == MOST_LANES {
                report.add(
                    Severity::Error,
                    "overlap",
                    format!("more than {MOST_LANES} notes of voice {number} overlap; the others are left out"),
                    None,
                );
                continue;
            }
            if lane == placed.len() {
                placed.push(Vec::new());
            }
            if lane > 0 {
                report.add(
                    Severity::Warning,
                    "overlap",
                    format!("notes of voice {number} overlap; the later ones get their own voice"),
                    None,
                );
            }
            place(&mut placed[lane], event, alone, report)
                .map_err(|what| Fault { bar: index, what })?;
        }
        report.onset = None;
        while lanes.len() < placed.len() {
            lanes.push((0..index).map(|_| Vec::new()).collect());
        }
        let mut placed = placed.into_iter();
        for lane in &mut lanes {
            lane.push(placed.next().unwrap_or_default());
        }
    }
    Ok(lanes)
}

fn fits(lane: &[Placed], event: &RoughEvent) -> bool {
    lane.last().is_none_or(|last| last.end() <= event.onset + event.slack)
}

/// Notes of one voice at one onset with one length are one chord.
fn merged(events: Vec<RoughEvent>, report: &mut Report) -> Vec<RoughEvent> {
    let mut merged: Vec<RoughEvent> = Vec::with_capacity(events.len());
    for event in events {
        match merged.last_mut() {
            Some(last)
                if last.onset == event.onset
                    && last.length == event.length
                    && last.tuplet.map(|t| (t.actual, t.normal))
                        == event.tuplet.map(|t| (t.actual, t.normal))
                    && !last.notes.is_empty()
                    && !event.notes.is_empty()
                    && harmonic(&last.marks) == harmonic(&event.marks) =>
            {
                last.notes.extend(event.notes);
                last.marks.extend(event.marks);
                last.graces.extend(event.graces);
                last.lyrics.extend(event.lyrics);
            }
            _ => merged.push(event),
        }
    }
    for event in &mut merged {
        single_marks(&mut event.marks);
        let mut kept: Vec<crate::rough::RoughNote> = Vec::with_capacity(event.notes.len());
        for note in std::mem::take(&mut event.notes) {
            match kept.iter_mut().find(|k| k.pitch == note.pitch) {
                Some(twin) => {
                    twin.tied |= note.tied;
                    report.line = Some(event.line);
                    report.onset = Some(event.onset);
                    report.add(
                        Severity::Warning,
                        "doubled-pitch",
                        format!("{} stands twice in one chord; it is read once", note.pitch),
                        None,
                    );
                }
                None => kept.push(note),
            }
        }
        event.notes = kept;
    }
    merged
}

/// The mark that all notes of an event share if they are harmonics.
fn harmonic(marks: &[EventMark]) -> Option<EventMark> {
    let is_harmonic =
        |m: &EventMark| matches!(m, EventMark::NaturalHarmonic | EventMark::ArtificialHarmonic);
    marks.iter().copied().find(is_harmonic)
}

/// All marks but slurs count once for an event.
fn single_marks(marks: &mut Vec<EventMark>) {
    // A file may say the way at one note of the chord alone.
    if marks.iter().any(|mark| matches!(mark, EventMark::Arpeggio(Some(_)))) {
        marks.retain(|mark| *mark != EventMark::Arpeggio(None));
    }
    let mut seen: Vec<EventMark> = Vec::new();
    marks.retain(|mark| {
        let slur = matches!(mark, EventMark::SlurStart { .. } | EventMark::SlurEnd);
        let new = slur || !seen.contains(mark);
        seen.push(*mark);
        new
    });
}

fn place(
    lane: &mut PlacedBar,
    event: RoughEvent,
    alone: bool,
    report: &mut Report,
) -> Result<(), String> {
    let position = lane.last().map_or_else(zero, Placed::end);
    let origin =
        Origin::Source { file: report.file().to_owned(), line: event.line, column: event.column };
    let fills = matches!(event.rest, RoughRest::WholeBar | RoughRest::HiddenBar);
    if event.notes.is_empty() && fills && alone {
        let mut rest = DraftEvent::bar_rest().from_origin(origin);
        rest.hidden = event.rest == RoughRest::HiddenBar;
        rest.marks = event.marks;
        let event = rest;
        lane.push(Placed { onset: zero(), length: zero(), event, hands: Vec::new() });
        return Ok(());
    }
    if event.length <= zero() {
        report.add(
            Severity::Warning,
            "no-length",
            "a note or rest without length is left out".to_owned(),
            None,
        );
        return Ok(());
    }
    let off = if event.onset > position { event.onset - position } else { position - event.onset };
    if event.onset > position && off > event.slack {
        rests(lane, event.onset - position)?;
    }
    let written = match event.value {
        Some(value) => vec![Written { value, tuplet: event.tuplet }],
        None => match spell(event.length, event.tuplet).or_else(|| spell(event.length, None)) {
            Some(written) => written,
            None => rounded(&event, report)?,
        },
    };
    let last = written.len() - 1;
    let lyrics = lyrics::of_event(&event, report);
    for (index, Written { value, tuplet }) in written.into_iter().enumerate() {
        let mut draft = DraftEvent::rest(value).from_origin(origin.clone());
        draft.tuplet = tuplet;
        let hidden = matches!(event.rest, RoughRest::Hidden | RoughRest::HiddenBar);
        draft.hidden = event.notes.is_empty() && hidden;
        draft.notes = event
            .notes
            .iter()
            .map(|note| DraftNote {
                pitch: note.pitch,
                tied: note.tied || index < last,
                source_id: note.source_id.clone().filter(|_| index == 0),
            })
            .collect();
        // A split note is one sound: what ends on it ends at its end, and it
        // glides away or rings on from its end. Harmonics remain what they are.
        draft.marks = event
            .marks
            .iter()
            .copied()
            .filter(|mark| match mark {
                EventMark::SlurEnd | EventMark::GlideStart | EventMark::LetRing => index == last,
                EventMark::NaturalHarmonic | EventMark::ArtificialHarmonic => true,
                _ => index == 0,
            })
            .collect();
        if index == 0 {
            draft.graces.clone_from(&event.graces);
            draft.lyrics.clone_from(&lyrics);
        }
        let hands = event.notes.iter().filter(|note| !note.hand.is_empty());
        let hands = hands.map(|note| (note.pitch, note.hand)).collect();
        push(lane, draft, if index == 0 { hands } else { Vec::new() })?;
    }
    Ok(())
}

/// The nearest length that can be written, for one that cannot.
fn rounded(event: &RoughEvent, report: &mut Report) -> Result<Vec<Written>, String> {
    let count = (event.length * SHORTEST.recip()).round();
    let near = SHORTEST * count;
    let written = spell(near, None).ok_or_else(|| {
        format!("no written values last {} of a whole note; check the note's length", event.length)
    })?;
    report.add(
        Severity::Warning,
        "length-rounded",
        format!("no written values last {} of a whole note; {near} is read", event.length),
        Some("check the note's length"),
    );
    Ok(written)
}

fn push(
    lane: &mut PlacedBar,
    event: DraftEvent,
    hands: Vec<(apoyando_music::Pitch, crate::rough::HandMarks)>,
) -> Result<(), String> {
    let onset = lane.last().map_or_else(zero, Placed::end);
    let ratio = event.tuplet.map_or(Time::from_integer(1), |tuplet| tuplet.ratio());
    let length = event.value.duration().ratio() * ratio;
    let end = add(onset, length).filter(|end| *end <= Time::from_integer(LONGEST_BAR));
    if end.is_none() {
        return Err("the bar is too long or its rhythm too fine to count".to_owned());
    }
    lane.push(Placed { onset, length, event, hands });
    Ok(())
}

/// Hidden rests of a length.
fn rests(lane: &mut PlacedBar, length: Time) -> Result<(), String> {
    let values = spell(length, None)
        .or_else(|| fine_rests(length))
        .ok_or_else(|| format!("no rests last {length} of a whole note; check the onsets"))?;
    for Written { value, tuplet } in values {
        let mut rest = DraftEvent::gap(value);
        rest.tuplet = tuplet;
        push(lane, rest, Vec::new())?;
    }
    Ok(())
}

/// Values for a length finer than the shortest written one: as nobody sees
/// these rests, they may stand in tuplets nobody would write.
fn fine_rests(length: Time) -> Option<Vec<Written>> {
    let odd = length.denom() >> length.denom().trailing_zeros();
    let odd = u8::try_from(odd).ok()?;
    let times = (0..8).map_while(|power| odd.checked_mul(1 << power)).collect::<Vec<u8>>();
    times.into_iter().find_map(|actual| {
        let tuplet = Tuplet { actual, normal: 1, first: false, last: false };
        spell(length, Some(tuplet)).filter(|_| actual > 1)
    })
}

/// Fills a bar of a lane to its length, unless the lane is silent in it.
/// `None` if no rests can.
pub(super) fn fill(events: &mut PlacedBar, length: Time) -> Option<()> {
    match events.as_slice() {
        [] => Some(()),
        [only] if only.event.whole_bar => {
            events[0].length = length;
            Some(())
        }
        [.., last] if last.end() < length => rests(events, length - last.end()).ok(),
        _ => Some(()),
    }
}

//! What of a bar is written: chords of the voices that go together, rests, beams, tuplets.

use apoyando_music::{BarIndex, Content, PartIndex, Pitch, Score};

use super::{Chord, Head, StaffBar, TupletSpan, beams, graces, heads, joined, loudness, rests};
use super::{sides, step_of};
use crate::geometry::Side;
use crate::style::Style;

/// The bare chords and rests of a bar.
pub fn collect(
    score: &Score,
    part: PartIndex,
    bar: BarIndex,
    order: &[usize],
    style: &Style,
) -> StaffBar {
    let clef = score.part(part).clef;
    let (sides, written) = sides::decide(score.part(part), order, bar);
    let shared = written.len() > 1;
    let mut out = StaffBar { shared, sides, ..StaffBar::default() };
    let step_of = |pitch: Pitch| step_of(pitch, clef);
    let voices = &score.part(part).voices;
    let empty = Vec::new();
    let bar_events = |voice: usize| voices[voice].bars.get(bar.0 as usize).unwrap_or(&empty);
    out.loudness = loudness::Rooms::of(score.part(part), score.bar(bar), style);
    for together in &written {
        let (voice, events) = (&voices[together[0]], bar_events(together[0]));
        let mut open: Option<TupletSpan> = None;
        for (event_index, event) in events.iter().enumerate() {
            let (chord, rest) = (out.chords.len(), out.rests.len());
            match &event.content {
                Content::Rest { hidden: true } => out.gaps.push((event.onset, event.duration)),
                Content::Rest { hidden: false } => {
                    let whole_bar = events.len() == 1;
                    out.rests.push(rests::bare(event, voice.number, whole_bar));
                }
                Content::Notes(_) => {
                    let notes = together.iter().flat_map(|v| bar_events(*v)[event_index].notes());
                    let heads = notes
                        .map(|id| {
                            let note = score.note(*id);
                            Head {
                                note: *id,
                                step: step_of(note.pitch),
                                glyph: heads::glyph_of(event.value.base),
                                x: 0.0,
                                drawn: true,
                                accidental: None,
                                dot_step: None,
                                tied_from: note.tied_from,
                                tied_to: note.tied_to,
                            }
                        })
                        .collect();
                    let mut chord = Chord {
                        voice: voice.number,
                        event: event_index,
                        onset: event.onset,
                        duration: event.duration,
                        value: event.value,
                        in_tuplet: event.tuplet.is_some(),
                        marks: event.marks.clone(),
                        graces: graces::written(&event.graces, step_of),
                        up: out.sides.of(voice.number) != Some(Side::Lower),
                        heads,
                        shift: 0.0,
                        dots_x: 0.0,
                        beam: None,
                    };
                    chord.heads.sort_by_key(|head| head.step);
                    out.chords.push(chord);
                }
            }
            if let Some(tuplet) = event.tuplet {
                if tuplet.first || open.is_none() {
                    out.tuplets.extend(open.take());
                    open = Some(TupletSpan {
                        voice: voice.number,
                        figure: tuplet.actual,
                        chords: Vec::new(),
                        rests: Vec::new(),
                        under_one_beam: false,
                    });
                }
                if let Some(span) = &mut open {
                    span.chords.extend(chord..out.chords.len());
                    span.rests.extend(rest..out.rests.len());
                }
                if tuplet.last {
                    out.tuplets.extend(open.take());
                }
            } else {
                out.tuplets.extend(open.take());
            }
        }
        out.tuplets.extend(open);
        let start = &score.bars()[bar.0 as usize];
        beams::group(&mut out, start, bar, voice.number);
    }
    joined::join(&mut out);
    out.tuplets.retain(|t| !t.chords.is_empty() || !t.rests.is_empty());
    for tuplet in &mut out.tuplets {
        tuplet.under_one_beam = tuplet.rests.is_empty() && out.beams.contains(&tuplet.chords);
    }
    out
}

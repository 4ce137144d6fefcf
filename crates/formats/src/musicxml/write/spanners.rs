//! Slurs and glissandi, which have numbers so that each end finds its other.

use apoyando_music::{Event, EventMark};

use super::bar::BarWriter;

/// What is under way in a voice, the innermost last.
#[derive(Default)]
pub(super) struct Spanners {
    /// Numbers with the left-hand technique that each slur stands for.
    slurs: Vec<(u8, Option<&'static str>)>,
    glides: Vec<u8>,
}

/// What the end of a slur or glissando at an event looks like.
#[derive(Clone, Copy)]
pub(super) struct SpannerSign {
    /// The element that shows it.
    pub element: &'static str,
    pub number: u8,
    pub start: bool,
    /// The left-hand technique it stands for.
    pub technique: Option<&'static str>,
}

impl SpannerSign {
    pub(super) const fn kind(&self) -> &'static str {
        if self.start { "start" } else { "stop" }
    }
}

/// A line along the string. MusicXML 4.0: a `slide` is drawn as a plain line, a
/// `glissando` as a wavy one.
const GLIDE: &str = "slide";

/// Follows the slurs and glissandi of a voice through an event.
pub(super) fn signs(writer: &mut BarWriter<'_>, event: &Event, voice: usize) -> Vec<SpannerSign> {
    let mut signs = Vec::new();
    for mark in &event.marks {
        let spanners = &mut writer.spanners[voice];
        match mark {
            EventMark::SlurEnd => signs.extend(spanners.slurs.pop().map(|(number, technique)| {
                SpannerSign { element: "slur", number, start: false, technique }
            })),
            EventMark::GlideEnd => signs.extend(spanners.glides.pop().map(|number| SpannerSign {
                element: GLIDE,
                number,
                start: false,
                technique: None,
            })),
            _ => {}
        }
    }
    // Numbers tell those of all voices apart; the schema has sixteen.
    let free = |taken: Vec<u8>| (1..=16).find(|number| !taken.contains(number)).unwrap_or(16);
    for mark in &event.marks {
        match mark {
            EventMark::SlurStart { technical } => {
                let all = writer.spanners.iter().flat_map(|spanners| &spanners.slurs);
                let number = free(all.map(|(number, _)| *number).collect());
                let technique = technical.then(|| technique(writer, event, voice));
                writer.spanners[voice].slurs.push((number, technique));
                signs.push(SpannerSign { element: "slur", number, start: true, technique });
            }
            EventMark::GlideStart => {
                let all = writer.spanners.iter().flat_map(|spanners| &spanners.glides);
                let number = free(all.copied().collect());
                writer.spanners[voice].glides.push(number);
                let element = GLIDE;
                signs.push(SpannerSign { element, number, start: true, technique: None });
            }
            _ => {}
        }
    }
    signs
}

/// A hammer-on leads up, a pull-off down.
fn technique(writer: &BarWriter<'_>, event: &Event, voice: usize) -> &'static str {
    let top = |event: &Event| event.notes().last().map(|id| writer.score.note(*id).pitch);
    let events = writer.part.voices[voice].bars.iter().flatten();
    let next =
        events.filter(|next| next.onset > event.onset && !next.is_rest()).min_by_key(|e| e.onset);
    if next.and_then(top) < top(event) { "pull-off" } else { "hammer-on" }
}

//! Ornaments, articulations and the other marks of an event.

use apoyando_music::{EventMark, Sweep};

use super::xml::Xml;

/// MusicXML 4.0: `mordent` is the sign with the vertical line, to the step
/// below, `inverted-mordent` the one without.
const fn ornament(mark: EventMark) -> Option<&'static str> {
    Some(match mark {
        EventMark::Trill => "trill-mark",
        EventMark::Mordent => "mordent",
        EventMark::InvertedMordent => "inverted-mordent",
        EventMark::Turn => "turn",
        EventMark::InvertedTurn => "inverted-turn",
        _ => return None,
    })
}

const fn articulation(mark: EventMark) -> Option<&'static str> {
    match mark {
        EventMark::Staccato => Some("staccato"),
        EventMark::Tenuto => Some("tenuto"),
        EventMark::Accent => Some("accent"),
        EventMark::Breath => Some("breath-mark"),
        EventMark::Caesura => Some("caesura"),
        _ => None,
    }
}

/// At which notes of a chord a mark is written.
pub(super) enum MarkPlace {
    EveryNote,
    /// The lowest and the highest.
    Ends,
    /// The lowest, which comes first.
    First,
    /// The highest, over which an ornament stands.
    Last,
    /// At none: it spans several events.
    Nowhere,
}

pub(super) const fn place(mark: EventMark) -> MarkPlace {
    match mark {
        EventMark::Together => MarkPlace::Ends,
        EventMark::Arpeggio(_)
        | EventMark::LetRing
        | EventMark::NaturalHarmonic
        | EventMark::ArtificialHarmonic => MarkPlace::EveryNote,
        EventMark::WavyLine => MarkPlace::Nowhere,
        mark if ornament(mark).is_some() => MarkPlace::Last,
        _ => MarkPlace::First,
    }
}

/// Whether a mark is written among the techniques.
pub(super) const fn is_technical(mark: EventMark) -> bool {
    matches!(mark, EventMark::NaturalHarmonic | EventMark::ArtificialHarmonic | EventMark::Strum(_))
}

/// Up and down the page.
const fn up_down(sweep: Sweep) -> &'static str {
    match sweep {
        Sweep::ToTreble => "up",
        Sweep::ToBass => "down",
    }
}

/// Writes the arrows of strums among the marks.
pub(super) fn strums(xml: &mut Xml, marks: &[EventMark]) {
    for mark in marks {
        if let EventMark::Strum(sweep) = mark {
            xml.open("arrow", &[]);
            xml.text("arrow-direction", &[], up_down(*sweep));
            xml.close();
        }
    }
}

/// Whether a mark is one end of something that spans several events.
pub(super) const fn is_spanner(mark: EventMark) -> bool {
    matches!(
        mark,
        EventMark::SlurStart { .. }
            | EventMark::SlurEnd
            | EventMark::GlideStart
            | EventMark::GlideEnd
    )
}

/// Writes the harmonics among the marks; the note has the pitch that sounds.
pub(super) fn harmonics(xml: &mut Xml, marks: &[EventMark]) {
    for mark in marks {
        let kind = match mark {
            EventMark::NaturalHarmonic => "natural",
            EventMark::ArtificialHarmonic => "artificial",
            _ => continue,
        };
        xml.open("harmonic", &[]);
        xml.empty(kind, &[]);
        xml.empty("sounding-pitch", &[]);
        xml.close();
    }
}

/// The ends of wavy lines at an event, with the number of its voice.
#[derive(Clone, Copy, Default)]
pub(super) struct WavyEnds {
    pub starts: bool,
    pub stops: bool,
    pub number: u8,
}

/// Writes ornaments, then wavy lines.
pub(super) fn ornaments(xml: &mut Xml, marks: &[EventMark], wavy: WavyEnds) {
    let signs: Vec<&str> = marks.iter().copied().filter_map(ornament).collect();
    if signs.is_empty() && !wavy.starts && !wavy.stops {
        return;
    }
    xml.open("ornaments", &[]);
    signs.into_iter().for_each(|sign| xml.empty(sign, &[]));
    // The schema has sixteen numbers.
    let number = wavy.number.clamp(1, 16).to_string();
    for (here, kind) in [(wavy.starts, "start"), (wavy.stops, "stop")] {
        if here {
            xml.empty("wavy-line", &[("type", kind), ("number", &number)]);
        }
    }
    xml.close();
}

/// Writes articulations, then fermatas and the signs before a chord; a bracket goes from
/// the lowest note, which is the `first`, to the `last`.
pub(super) fn articulations(xml: &mut Xml, marks: &[EventMark], (first, last): (bool, bool)) {
    group(xml, "articulations", marks.iter().copied().filter_map(articulation));
    for mark in marks {
        match mark {
            EventMark::Fermata => xml.empty("fermata", &[]),
            EventMark::Arpeggio(None) => xml.empty("arpeggiate", &[]),
            EventMark::Arpeggio(Some(sweep)) => {
                xml.empty("arpeggiate", &[("direction", up_down(*sweep))]);
            }
            EventMark::Together => {
                for (here, side) in [(first, "bottom"), (last, "top")] {
                    if here {
                        xml.empty("non-arpeggiate", &[("type", side)]);
                    }
                }
            }
            _ => {}
        }
    }
}

fn group(xml: &mut Xml, name: &'static str, elements: impl Iterator<Item = &'static str>) {
    let mut elements = elements.peekable();
    if elements.peek().is_some() {
        xml.open(name, &[]);
        elements.for_each(|element| xml.empty(element, &[]));
        xml.close();
    }
}

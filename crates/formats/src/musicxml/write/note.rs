//! Notes, chords and rests.

use apoyando_music::{Base, Content, Event, EventMark, Grace, Note, NoteValue, Pitch};

use super::accidentals::{Accidentals, Head};
use super::bar::{BarWriter, base};
use super::hand::Technical;
use super::marks::{self, MarkPlace, WavyEnds};
use super::spanners::{self, SpannerSign};
use super::xml::Xml;

/// Where a note stands in its chord, from low to high.
#[derive(Clone, Copy)]
struct InChord {
    first: bool,
    last: bool,
}

impl InChord {
    const ALONE: Self = Self { first: true, last: true };
}

/// Writes an event; `voice` is its index and number.
pub(super) fn event(
    writer: &mut BarWriter<'_>,
    xml: &mut Xml,
    event: &Event,
    voice: (usize, u8),
    alone: bool,
    accidentals: &Accidentals,
) {
    let spanners = spanners::signs(writer, event, voice.0);
    match &event.content {
        Content::Rest { hidden } => {
            let printed: &[_] = if *hidden { &[("print-object", "no")] } else { &[] };
            xml.open("note", printed);
            let whole_bar = alone && fills_bar(writer, event);
            if whole_bar {
                xml.empty("rest", &[("measure", "yes")]);
            } else {
                xml.empty("rest", &[]);
            }
            xml.text("duration", &[], &writer.ticks(event.duration));
            xml.text("voice", &[], &voice.1.to_string());
            if !whole_bar {
                value(xml, event, None);
            }
            writer.name_staff(xml);
            let none = (Technical::default(), Technical::default());
            let ends = (&spanners[..], WavyEnds::default());
            notations(xml, event, None, ends, none, InChord::ALONE);
            xml.close();
        }
        Content::Notes(ids) => {
            for (index, grace) in event.graces.iter().enumerate() {
                let head = ids.first().map(|id| Head::Grace(*id, index));
                let accidental = head.and_then(|head| accidentals.get(&head).copied());
                let alone = event.graces.len() == 1;
                self::grace(xml, grace, alone, (voice.1, writer.staff), accidental);
            }
            for (index, id) in ids.iter().enumerate() {
                let score = writer.score;
                let note = score.note(*id);
                let accidental = accidentals.get(&Head::Note(*id)).copied();
                let place = InChord { first: index == 0, last: index + 1 == ids.len() };
                single(writer, xml, (event, note), place, voice, accidental, &spanners);
            }
        }
    }
}

/// A whole rest as long as its bar is the sign for a bar of rest.
fn fills_bar(writer: &BarWriter<'_>, event: &Event) -> bool {
    let bar = writer.score.bar_at(event.onset).map(|bar| writer.score.bar(bar).length);
    event.value == NoteValue::plain(Base::Whole)
        && event.tuplet.is_none()
        && bar == Some(event.duration)
}

fn single(
    writer: &mut BarWriter<'_>,
    xml: &mut Xml,
    (event, note): (&Event, &Note),
    place: InChord,
    voice: (usize, u8),
    accidental: Option<&str>,
    spanners: &[SpannerSign],
) {
    let id = note.source_id.as_deref().filter(|id| is_name(id));
    let id = id.filter(|id| writer.ids.insert((*id).to_owned()));
    match id {
        Some(id) => xml.open("note", &[("id", id)]),
        None => xml.open("note", &[]),
    }
    if !place.first {
        xml.empty("chord", &[]);
    }
    pitch(xml, note.pitch);
    xml.text("duration", &[], &writer.ticks(event.duration));
    if note.tied_from.is_some() {
        xml.empty("tie", &[("type", "stop")]);
    }
    if note.tied_to.is_some() {
        xml.empty("tie", &[("type", "start")]);
    }
    xml.text("voice", &[], &voice.1.to_string());
    value(xml, event, accidental);
    writer.name_staff(xml);
    let hand = writer.hands.as_ref().map(|hands| hands.of(note.id)).unwrap_or_default();
    let wavy = writer.wavy_ends(voice, event);
    notations(xml, event, Some(note), (spanners, wavy), hand, place);
    if place.first {
        let part = writer.part;
        writer.words[voice.0].write(xml, &part.voices[voice.0], event);
    }
    xml.close();
}

/// A grace note: an eighth if it is alone, else sixteenths. Common practice, no
/// source.
fn grace(
    xml: &mut Xml,
    grace: &Grace,
    alone: bool,
    (voice, staff): (u8, Option<&str>),
    accidental: Option<&str>,
) {
    xml.open("note", &[]);
    // MusicXML 4.0 does not say what it means if nothing is said.
    let slash = if grace.slashed { "yes" } else { "no" };
    xml.empty("grace", &[("slash", slash)]);
    pitch(xml, grace.pitch);
    xml.text("voice", &[], &voice.to_string());
    xml.text("type", &[], base(if alone { Base::Eighth } else { Base::N16 }));
    if let Some(accidental) = accidental {
        xml.text("accidental", &[], accidental);
    }
    if let Some(staff) = staff {
        xml.text("staff", &[], staff);
    }
    xml.close();
}

pub(super) fn pitch(xml: &mut Xml, pitch: Pitch) {
    xml.open("pitch", &[]);
    xml.text("step", &[], &pitch.step.to_string());
    if pitch.alter.semitones() != 0 {
        xml.text("alter", &[], &pitch.alter.semitones().to_string());
    }
    xml.text("octave", &[], &pitch.octave.to_string());
    xml.close();
}

/// Whether a text can be an XML identifier; a cautious subset.
fn is_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(|c| c.is_ascii_alphabetic() || c == '_')
        && chars.all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.'))
}

pub(super) fn value(xml: &mut Xml, event: &Event, accidental: Option<&str>) {
    xml.text("type", &[], base(event.value.base));
    for _ in 0..event.value.dots {
        xml.empty("dot", &[]);
    }
    if let Some(accidental) = accidental {
        xml.text("accidental", &[], accidental);
    }
    if let Some(tuplet) = event.tuplet {
        xml.open("time-modification", &[]);
        xml.text("actual-notes", &[], &tuplet.actual.to_string());
        xml.text("normal-notes", &[], &tuplet.normal.to_string());
        xml.close();
    }
}

fn notations(
    xml: &mut Xml,
    event: &Event,
    note: Option<&Note>,
    (spanners, wavy): (&[SpannerSign], WavyEnds),
    (printed, kept): (Technical, Technical),
    place: InChord,
) {
    let first = place.first;
    let tied_from = note.is_some_and(|note| note.tied_from.is_some());
    let tied_to = note.is_some_and(|note| note.tied_to.is_some());
    let tuplet = event.tuplet.filter(|tuplet| first && (tuplet.first || tuplet.last));
    let own: Vec<EventMark> = event
        .marks
        .iter()
        .copied()
        .filter(|mark| !marks::is_spanner(*mark))
        .filter(|mark| match marks::place(*mark) {
            MarkPlace::EveryNote => note.is_some(),
            MarkPlace::Ends => first || place.last,
            MarkPlace::First => first,
            MarkPlace::Last => place.last,
            MarkPlace::Nowhere => false,
        })
        .collect();
    let spanners = if first { spanners } else { &[] };
    let wavy = if place.last { wavy } else { WavyEnds::default() };
    let any = tied_from
        || tied_to
        || tuplet.is_some()
        || !own.is_empty()
        || wavy.starts
        || wavy.stops
        || !spanners.is_empty()
        || !printed.is_empty();
    if any {
        xml.open("notations", &[]);
        if tied_from {
            xml.empty("tied", &[("type", "stop")]);
        }
        if tied_to {
            xml.empty("tied", &[("type", "start")]);
        }
        if own.contains(&EventMark::LetRing) {
            xml.empty("tied", &[("type", "let-ring")]);
        }
        for sign in spanners {
            let number = sign.number.to_string();
            xml.empty(sign.element, &[("type", sign.kind()), ("number", &number)]);
        }
        if tuplet.is_some_and(|tuplet| tuplet.first) {
            xml.empty("tuplet", &[("type", "start")]);
        }
        if tuplet.is_some_and(|tuplet| tuplet.last) {
            xml.empty("tuplet", &[("type", "stop")]);
        }
        marks::ornaments(xml, &own, wavy);
        technical(xml, &printed, spanners, &own);
        marks::articulations(xml, &own, (place.first, place.last));
        xml.close();
    }
    if !kept.is_empty() {
        xml.open("notations", &[("print-object", "no")]);
        xml.open("technical", &[]);
        kept.write(xml);
        xml.close();
        xml.close();
    }
}

fn technical(xml: &mut Xml, printed: &Technical, spanners: &[SpannerSign], own: &[EventMark]) {
    let slurs = || spanners.iter().filter_map(|sign| Some((sign.technique?, sign)));
    let others = own.iter().any(|mark| marks::is_technical(*mark));
    if printed.is_empty() && slurs().next().is_none() && !others {
        return;
    }
    xml.open("technical", &[]);
    printed.write(xml);
    marks::harmonics(xml, own);
    marks::strums(xml, own);
    for (name, sign) in slurs() {
        let number = sign.number.to_string();
        xml.text(name, &[("type", sign.kind()), ("number", &number)], "");
    }
    xml.close();
}

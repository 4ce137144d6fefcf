//! Notes, chords and rests.

use std::collections::BTreeMap;

use apoyando_music::{Base, Content, Event, EventMark, Note, NoteId, NoteValue};

use super::bar::{BarWriter, base};
use super::hand::Technical;
use super::xml::Xml;

/// Numbers of the slurs under way in a voice, the innermost last.
#[derive(Default)]
pub(super) struct Slurs(Vec<(u8, Option<&'static str>)>);

/// What a slur's end at an event looks like.
struct SlurSign {
    number: u8,
    start: bool,
    /// The left-hand technique it stands for.
    technique: Option<&'static str>,
}

/// Writes an event; `voice` is its index and number.
pub(super) fn event(
    writer: &mut BarWriter<'_>,
    xml: &mut Xml,
    event: &Event,
    voice: (usize, u8),
    alone: bool,
    accidentals: &BTreeMap<NoteId, &'static str>,
) {
    let slurs = slur_signs(writer, event, voice.0);
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
            let none = (Technical::default(), Technical::default());
            notations(xml, event, None, &slurs, none, true);
            xml.close();
        }
        Content::Notes(ids) => {
            for (index, id) in ids.iter().enumerate() {
                let score = writer.score;
                let note = score.note(*id);
                let accidental = accidentals.get(id).copied();
                single(writer, xml, (event, note), index == 0, voice.1, accidental, &slurs);
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
    first: bool,
    voice: u8,
    accidental: Option<&str>,
    slurs: &[SlurSign],
) {
    let id = note.source_id.as_deref().filter(|id| is_name(id));
    let id = id.filter(|id| writer.ids.insert((*id).to_owned()));
    match id {
        Some(id) => xml.open("note", &[("id", id)]),
        None => xml.open("note", &[]),
    }
    if !first {
        xml.empty("chord", &[]);
    }
    xml.open("pitch", &[]);
    xml.text("step", &[], &note.pitch.step.to_string());
    if note.pitch.alter.semitones() != 0 {
        xml.text("alter", &[], &note.pitch.alter.semitones().to_string());
    }
    xml.text("octave", &[], &note.pitch.octave.to_string());
    xml.close();
    xml.text("duration", &[], &writer.ticks(event.duration));
    if note.tied_from.is_some() {
        xml.empty("tie", &[("type", "stop")]);
    }
    if note.tied_to.is_some() {
        xml.empty("tie", &[("type", "start")]);
    }
    xml.text("voice", &[], &voice.to_string());
    value(xml, event, accidental);
    let hand = writer.hands.as_ref().map(|hands| hands.of(note.id)).unwrap_or_default();
    notations(xml, event, Some(note), slurs, hand, first);
    xml.close();
}

/// Whether a text can be an XML identifier; a cautious subset.
fn is_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(|c| c.is_ascii_alphabetic() || c == '_')
        && chars.all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.'))
}

fn value(xml: &mut Xml, event: &Event, accidental: Option<&str>) {
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

/// Follows the slurs of a voice through an event.
fn slur_signs(writer: &mut BarWriter<'_>, event: &Event, voice: usize) -> Vec<SlurSign> {
    let mut signs = Vec::new();
    let ends = event.marks.iter().filter(|mark| **mark == EventMark::SlurEnd).count();
    for _ in 0..ends {
        if let Some((number, technique)) = writer.slurs[voice].0.pop() {
            signs.push(SlurSign { number, start: false, technique });
        }
    }
    for mark in &event.marks {
        let EventMark::SlurStart { technical } = mark else { continue };
        // Numbers tell slurs of all voices apart; the schema has sixteen.
        let taken = |number: u8| writer.slurs.iter().flat_map(|s| &s.0).any(|(n, _)| *n == number);
        let number = (1..=16).find(|number| !taken(*number)).unwrap_or(16);
        let technique = technical.then(|| technique(writer, event, voice));
        writer.slurs[voice].0.push((number, technique));
        signs.push(SlurSign { number, start: true, technique });
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

fn notations(
    xml: &mut Xml,
    event: &Event,
    note: Option<&Note>,
    slurs: &[SlurSign],
    (mut printed, kept): (Technical, Technical),
    first: bool,
) {
    let tied_from = note.is_some_and(|note| note.tied_from.is_some());
    let tied_to = note.is_some_and(|note| note.tied_to.is_some());
    let tuplet = event.tuplet.filter(|tuplet| first && (tuplet.first || tuplet.last));
    let marks: Vec<EventMark> = event
        .marks
        .iter()
        .copied()
        .filter(|mark| match mark {
            EventMark::SlurStart { .. } | EventMark::SlurEnd => false,
            EventMark::Arpeggio => note.is_some(),
            _ => first,
        })
        .collect();
    let slurs = if first { slurs } else { &[] };
    let mut techniques: Vec<(&'static str, u8, bool)> = Vec::new();
    techniques.extend(slurs.iter().filter_map(|s| Some((s.technique?, s.number, s.start))));
    let any = tied_from
        || tied_to
        || tuplet.is_some()
        || !marks.is_empty()
        || !slurs.is_empty()
        || !printed.is_empty();
    if any {
        xml.open("notations", &[]);
        if tied_from {
            xml.empty("tied", &[("type", "stop")]);
        }
        if tied_to {
            xml.empty("tied", &[("type", "start")]);
        }
        for slur in slurs {
            let kind = if slur.start { "start" } else { "stop" };
            xml.empty("slur", &[("type", kind), ("number", &slur.number.to_string())]);
        }
        if tuplet.is_some_and(|tuplet| tuplet.first) {
            xml.empty("tuplet", &[("type", "start")]);
        }
        if tuplet.is_some_and(|tuplet| tuplet.last) {
            xml.empty("tuplet", &[("type", "stop")]);
        }
        technical(xml, &mut printed, &techniques);
        articulations(xml, &marks);
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

fn technical(xml: &mut Xml, printed: &mut Technical, techniques: &[(&'static str, u8, bool)]) {
    if printed.is_empty() && techniques.is_empty() {
        return;
    }
    xml.open("technical", &[]);
    printed.write(xml);
    for (name, number, start) in techniques {
        let kind = if *start { "start" } else { "stop" };
        xml.text(name, &[("type", kind), ("number", &number.to_string())], "");
    }
    xml.close();
}

fn articulations(xml: &mut Xml, marks: &[EventMark]) {
    let articulated =
        marks.iter().any(|mark| matches!(mark, EventMark::Staccato | EventMark::Accent));
    if articulated {
        xml.open("articulations", &[]);
        for mark in marks {
            match mark {
                EventMark::Accent => xml.empty("accent", &[]),
                EventMark::Staccato => xml.empty("staccato", &[]),
                _ => {}
            }
        }
        xml.close();
    }
    for mark in marks {
        match mark {
            EventMark::Fermata => xml.empty("fermata", &[]),
            EventMark::Arpeggio => xml.empty("arpeggiate", &[]),
            _ => {}
        }
    }
}

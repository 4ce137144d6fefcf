//! Notes and rests.

use apoyando_fingering::Severity;
use apoyando_music::{Alter, Base, NoteValue, Pitch, Step, Tuplet};
use roxmltree::Node;

use super::grace::{self, Graces};
use super::number::{decimal, whole};
use super::part::{PartReader, VoiceKey};
use super::{child, child_text, cue, elements, lyric, notations, text, wavy};
use crate::ReadError;
use crate::rough::{Loudness, RoughEvent, RoughNote, RoughRest};
use crate::time::{Time, add, zero};

/// Most staves of a part.
const MOST_STAVES: u16 = 8;

/// The written value with a name.
pub(super) fn base(name: &str) -> Option<Base> {
    Some(match name {
        "breve" => Base::Breve,
        "whole" => Base::Whole,
        "half" => Base::Half,
        "quarter" => Base::Quarter,
        "eighth" => Base::Eighth,
        "16th" => Base::N16,
        "32nd" => Base::N32,
        "64th" => Base::N64,
        "128th" => Base::N128,
        _ => return None,
    })
}

/// Reads a note, rest or note of a chord.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Result<(), ReadError> {
    if child(node, "grace").is_some() {
        return grace::read(reader, node);
    }
    report_children(reader, node);
    let length = reader.duration(node)?;
    let in_chord = child(node, "chord").is_some();
    let is_cue = child(node, "cue").is_some();
    let (line, column) = reader.source.place(node);
    let hidden = node.attribute("print-object") == Some("no");
    let mut rest = if hidden { RoughRest::Hidden } else { RoughRest::Printed };
    let mut pitch = None;
    if let Some(item) = child(node, "pitch") {
        pitch = Some(read_pitch(reader, item)?);
    }
    if let Some(what) = unread_kind(node) {
        reader.report.not_read(what);
        pitch = None;
        rest = RoughRest::Hidden;
    } else if pitch.is_none() && child(node, "rest").is_none() {
        return Err(reader.source.error(node, "it has no <pitch>, <rest> or <unpitched>"));
    }

    let notation = notations::read(reader, node);
    let starts_tie = elements(node, "tie").any(|tie| tie.attribute("type") == Some("start"));
    let note = pitch.map(|pitch| RoughNote {
        pitch,
        tied: starts_tie || notation.tied,
        source_id: node.attribute("id").map(str::to_owned),
        hand: notation.hand,
        harmonic: notation.harmonic,
    });

    if !notation.dynamics.is_empty() && !is_cue {
        let begun = if in_chord { reader.last_event().map(|event| event.onset) } else { None };
        let at = begun.unwrap_or(reader.cursor);
        let staff = voice_of(reader, node)?.0;
        for dynamic in notation.dynamics {
            reader.loudness(staff, at, Loudness::Dynamic(dynamic));
        }
    }
    let lyrics = lyric::read(reader, node);
    if in_chord {
        if let Some(event) = reader.last_event() {
            event.lyrics.extend(lyrics);
        }
        chord_note(reader, note, length, notation.marks);
        if !is_cue {
            wavy::follow(reader, &notation.wavy_ends);
        }
        return Ok(());
    }
    let mut event = RoughEvent {
        notes: note.into_iter().collect(),
        marks: notation.marks,
        lyrics,
        line,
        column,
        ..reader.rest(length, rest, line)
    };
    let tuplet = tuplet(reader, node, notation.tuplet_first, notation.tuplet_last);
    written(reader, node, &mut event, tuplet);
    let voice = voice_of(reader, node)?;
    if is_cue {
        let begun = event.onset;
        reader.cursor = add(begun, length)
            .ok_or_else(|| reader.source.error(node, "the bar is too long to count"))?;
        cue::push(reader, voice.0, event);
        return Ok(());
    }
    reader.upright = None;
    event.graces = Graces::before(reader, &voice, &event);
    reader.cursor = add(reader.cursor, length)
        .ok_or_else(|| reader.source.error(node, "the bar is too long to count"))?;
    reader.push(voice, event);
    wavy::follow(reader, &notation.wavy_ends);
    Ok(())
}

/// What a note is that is not read.
pub(super) fn unread_kind(node: Node<'_, '_>) -> Option<&'static str> {
    if child(node, "unpitched").is_some() {
        Some("unpitched note")
    } else if node.attribute("print-object") == Some("no") && child(node, "pitch").is_some() {
        Some("note that is not printed")
    } else {
        None
    }
}

/// The staff and the voice of a note.
pub(super) fn voice_of(
    reader: &PartReader<'_, '_>,
    node: Node<'_, '_>,
) -> Result<(u16, VoiceKey), ReadError> {
    let staff = whole(child_text(node, "staff")).unwrap_or(1);
    let staff =
        u16::try_from(staff).ok().filter(|staff| *staff <= MOST_STAVES).ok_or_else(|| {
            reader.source.error(node, format!("a part has at most {MOST_STAVES} staves"))
        })?;
    let name = child_text(node, "voice");
    let name = if name.is_empty() { "1" } else { name };
    Ok((staff, (name.parse().unwrap_or(u32::MAX), name.to_owned())))
}

fn chord_note(
    reader: &mut PartReader<'_, '_>,
    note: Option<RoughNote>,
    length: Time,
    marks: Vec<apoyando_music::EventMark>,
) {
    let Some(note) = note else { return };
    let Some(event) = reader.last_event() else {
        reader.report.not_read("note of a chord that has no first note");
        return;
    };
    let stands_alone = event.notes.is_empty();
    let tick = event.slack;
    let differs = length > event.length + tick || event.length > length + tick;
    event.notes.push(note);
    event.marks.extend(marks);
    if stands_alone {
        reader.report.add(
            Severity::Warning,
            "chord-on-rest",
            "a note is chorded with a rest or an unread note; it is read in its place".to_owned(),
            None,
        );
    }
    if differs {
        reader.report.add(
            Severity::Warning,
            "chord-lengths-differ",
            "the notes of a chord have different lengths; the first one holds".to_owned(),
            Some("write them in separate voices"),
        );
    }
}

/// Names what a note has besides what is read here.
pub(super) fn report_children(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "pitch" | "rest" | "unpitched" | "chord" | "cue" | "grace" | "duration" | "tie"
            | "voice" | "type" | "dot" | "time-modification" | "staff" | "notations" => {}
            // Drawn anew from the music, or not music.
            "accidental" | "stem" | "beam" | "instrument" | "play" | "listen" | "footnote"
            | "level" => {}
            "notehead" if matches!(text(item), "normal" | "") => {}
            "lyric" if child(node, "grace").is_some() => {
                reader.report.not_read("lyric of a grace note");
            }
            "lyric" => {}
            name => reader.report.not_read(&format!("<{name}>")),
        }
    }
}

pub(super) fn read_pitch(
    reader: &mut PartReader<'_, '_>,
    node: Node<'_, '_>,
) -> Result<Pitch, ReadError> {
    let name = child_text(node, "step");
    let mut letters = name.chars();
    let (Some(step), None) = (letters.next().and_then(Step::from_letter), letters.next()) else {
        return Err(reader.source.error(node, format!("“{name}” is no step from A to G")));
    };
    let octave = whole(child_text(node, "octave"))
        .filter(|octave| (-1..=12).contains(octave))
        .ok_or_else(|| reader.source.error(node, "an <octave> from 0 to 9 is needed"))?;
    let alter = match child(node, "alter") {
        None => Alter::NATURAL,
        Some(item) => {
            let stated = decimal(text(item)).ok_or_else(|| {
                reader.source.error(item, format!("“{}” is no alteration", text(item)))
            })?;
            if !stated.is_integer() {
                reader.report.not_read("quarter tone");
            }
            i32::try_from(stated.to_integer()).ok().and_then(Alter::new).ok_or_else(|| {
                reader.source.error(item, "an alteration is at most three semitones")
            })?
        }
    };
    let written = Pitch { step, alter, octave: octave as i8 };
    match reader.transposition {
        None => Ok(written),
        Some(transposition) => transposition
            .interval
            .above(written)
            .map(|pitch| pitch.up_octaves(transposition.octaves))
            .ok_or_else(|| {
                reader.source.error(node, "transposed, the note has more than three accidentals")
            }),
    }
}

fn tuplet(
    reader: &mut PartReader<'_, '_>,
    node: Node<'_, '_>,
    first: bool,
    last: bool,
) -> Option<Tuplet> {
    let item = child(node, "time-modification")?;
    let number =
        |name: &'static str| child_text(item, name).parse::<u8>().ok().filter(|number| *number > 0);
    let (Some(actual), Some(normal)) = (number("actual-notes"), number("normal-notes")) else {
        reader.report.not_read("tuplet without its two numbers");
        return None;
    };
    (actual != normal).then_some(Tuplet { actual, normal, first, last })
}

/// Sets the written value, if it agrees with the length.
fn written(
    reader: &mut PartReader<'_, '_>,
    node: Node<'_, '_>,
    event: &mut RoughEvent,
    tuplet: Option<Tuplet>,
) {
    let bar = reader.bar.metre.map(|metre| metre.bar().ratio());
    let name = child_text(node, "type");
    if let Some(rest) = child(node, "rest") {
        let fills = bar == Some(event.length) && event.onset == zero();
        let unlike = base(name).is_none_or(|base| base.duration().ratio() != event.length);
        let whole = matches!(name, "" | "whole");
        if rest.attribute("measure") == Some("yes") || (fills && whole && unlike) {
            event.rest = match event.rest {
                RoughRest::Hidden => RoughRest::HiddenBar,
                _ => RoughRest::WholeBar,
            };
            reader.bar.rest_length = reader.bar.rest_length.max(Some(event.length));
            return;
        }
    }
    event.tuplet = tuplet;
    let dots = elements(node, "dot").count();
    let Some(base) = base(name) else {
        if !name.is_empty() {
            reader.report.not_read(&format!("note value “{name}”"));
        }
        return;
    };
    if dots > 3 {
        reader.report.not_read("more than three dots");
        return;
    }
    let value = NoteValue { base, dots: dots as u8 };
    let ratio = tuplet.map_or(Time::from_integer(1), Tuplet::ratio);
    let exact = value.duration().ratio() * ratio;
    let off = if exact > event.length { exact - event.length } else { event.length - exact };
    let tick = reader.length(Time::from_integer(1)).unwrap_or_else(zero);
    if off > zero() && off < tick && off * 8 < exact {
        // The file's ticks are too coarse for this tuplet.
        reader.rounded = true;
    } else if off > zero() {
        reader.report.add(
            Severity::Warning,
            "value-disagrees",
            format!(
                "a note written as {} of a whole note lasts {}; the latter is read",
                exact, event.length
            ),
            None,
        );
        return;
    }
    event.value = Some(value);
    event.length = exact;
    if reader.rounded {
        event.slack = (tick * 3).min(exact / 2);
    }
}

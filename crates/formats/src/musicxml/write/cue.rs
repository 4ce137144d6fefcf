//! Cues: small notes in a voice of their own behind those of their part.

use apoyando_music::{BarIndex, Content, Cue, Duration, Event, Note, Part, PartIndex, Score};

use super::accidentals;
use super::note::{pitch, value};
use super::xml::Xml;

/// The cue of a bar of a part.
pub(super) fn of(part: &Part, bar: usize) -> Option<&Cue> {
    part.cues.iter().find(|cue| cue.bar == BarIndex(bar as u32))
}

/// Writes a cue after the name of its part; `ticks` counts a length in divisions.
pub(super) fn write(
    xml: &mut Xml,
    cue: &Cue,
    voice: (usize, Option<&str>),
    ticks: impl Fn(Duration) -> String,
) {
    let score = &cue.music;
    if !cue.name.is_empty() {
        xml.open("direction", &[("placement", "above")]);
        xml.open("direction-type", &[]);
        // An upright face tells it from words of expression and of tempo.
        let face = [("font-style", "normal"), ("font-weight", "normal")];
        xml.text("words", &face, &cue.name);
        xml.close();
        if let Some(staff) = voice.1 {
            xml.text("staff", &[], staff);
        }
        xml.close();
    }
    let part = score.part(PartIndex(0));
    let signature = score.bars().first().map(|bar| bar.signature).unwrap_or_default();
    let shown = accidentals::of_bar(score, part, 0, signature);
    for event in part.voices.iter().flat_map(|voice| voice.bars.iter().flatten()) {
        if let Content::Rest { hidden } = event.content {
            let printed: &[_] = if hidden { &[("print-object", "no")] } else { &[] };
            xml.open("note", printed);
            xml.empty("cue", &[]);
            xml.empty("rest", &[]);
            finish(xml, event, None, (voice, &ticks));
        }
        for (at, note) in event.notes().iter().map(|id| score.note(*id)).enumerate() {
            xml.open("note", &[]);
            xml.empty("cue", &[]);
            if at > 0 {
                xml.empty("chord", &[]);
            }
            pitch(xml, note.pitch);
            let accidental = shown.get(&accidentals::Head::Note(note.id)).copied();
            finish(xml, event, Some((note, accidental, at == 0)), (voice, &ticks));
        }
    }
}

/// What follows the pitch or the rest. A cue note has no `tie`: it does not sound.
fn finish(
    xml: &mut Xml,
    event: &Event,
    note: Option<(&Note, Option<&str>, bool)>,
    ((voice, staff), ticks): ((usize, Option<&str>), &impl Fn(Duration) -> String),
) {
    xml.text("duration", &[], &ticks(event.duration));
    xml.text("voice", &[], &voice.to_string());
    value(xml, event, note.and_then(|(_, accidental, _)| accidental));
    if let Some(staff) = staff {
        xml.text("staff", &[], staff);
    }
    let ends = [
        ("stop", note.is_some_and(|(note, ..)| note.tied_from.is_some())),
        ("start", note.is_some_and(|(note, ..)| note.tied_to.is_some())),
    ];
    let first = note.is_none_or(|(.., first)| first);
    let tuplet = event.tuplet.filter(|tuplet| first && (tuplet.first || tuplet.last));
    if tuplet.is_some() || ends.iter().any(|(_, here)| *here) {
        xml.open("notations", &[]);
        for (kind, _) in ends.iter().filter(|(_, here)| *here) {
            xml.empty("tied", &[("type", kind)]);
        }
        for (kind, here) in
            [("start", tuplet.is_some_and(|t| t.first)), ("stop", tuplet.is_some_and(|t| t.last))]
        {
            if here {
                xml.empty("tuplet", &[("type", kind)]);
            }
        }
        xml.close();
    }
    xml.close();
}

/// The lengths of everything in the cues and ossias of a score.
pub(super) fn lengths(score: &Score) -> impl Iterator<Item = Duration> + '_ {
    let cues = score.parts().iter().flat_map(|part| &part.cues).map(|cue| &*cue.music);
    let ossias = score.parts().iter().filter_map(|part| part.ossia.as_deref());
    let voices = cues.chain(ossias).flat_map(|music| &music.part(PartIndex(0)).voices);
    voices.flat_map(|voice| voice.bars.iter().flatten()).map(|event| event.duration)
}

//! Wavy lines: over which notes of their voice they lie.

use std::collections::BTreeMap;

use apoyando_fingering::Severity;
use apoyando_music::EventMark;
use roxmltree::Node;

use super::part::{PartReader, VoiceKey};

/// The events under each line that is under way, by staff, voice and number: their bars and
/// places in these.
#[derive(Debug, Default)]
pub(super) struct WavyLines(BTreeMap<(u16, VoiceKey, u8), Vec<(usize, usize)>>);

/// An end of a wavy line at a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct WavyEnd {
    starts: bool,
    number: u8,
}

/// The end of a wavy line that an element is; `None` if it only goes on.
pub(super) fn end(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Option<WavyEnd> {
    let number = node.attribute("number").and_then(|n| n.trim().parse().ok()).unwrap_or(1);
    match node.attribute("type") {
        Some("start") => Some(WavyEnd { starts: true, number }),
        Some("stop") => Some(WavyEnd { starts: false, number }),
        Some("continue") => None,
        _ => {
            reader.report.not_read("<wavy-line> without its type");
            None
        }
    }
}

/// Follows the lines through the note that was read last. The notes at which one starts and
/// stops are both under it.
pub(super) fn follow(reader: &mut PartReader<'_, '_>, ends: &[WavyEnd]) {
    if ends.is_empty() && reader.wavy_lines.0.is_empty() {
        return;
    }
    let Some((staff, voice)) = reader.last_voice.clone() else { return };
    let bar = reader.bars.len();
    let events = reader.voices.get(&(staff, voice.clone())).and_then(|bars| bars.get(bar));
    let Some(place) = events.and_then(|events| events.len().checked_sub(1)) else { return };
    let key = |number: u8| (staff, voice.clone(), number);
    for end in ends.iter().filter(|end| end.starts) {
        if let Some(before) = reader.wavy_lines.0.insert(key(end.number), Vec::new()) {
            loose(reader, (staff, &voice), &before);
        }
    }
    for ((of, name, _), under) in &mut reader.wavy_lines.0 {
        if *of == staff && *name == voice && under.last() != Some(&(bar, place)) {
            under.push((bar, place));
        }
    }
    for end in ends.iter().filter(|end| !end.starts) {
        match reader.wavy_lines.0.remove(&key(end.number)) {
            Some(under) => mark(reader, (staff, &voice), &under),
            None => reader.report.not_read("end of a wavy line that begins nowhere"),
        }
    }
}

/// What has not ended with the part lies over its first note.
pub(super) fn finish(reader: &mut PartReader<'_, '_>) {
    for ((staff, voice, _), under) in std::mem::take(&mut reader.wavy_lines.0) {
        loose(reader, (staff, &voice), &under);
    }
}

fn loose(reader: &mut PartReader<'_, '_>, voice: (u16, &VoiceKey), under: &[(usize, usize)]) {
    let Some(first) = under.first() else { return };
    mark(reader, voice, &[*first]);
    let here = reader.report.bar.replace(first.0);
    let line = reader.report.line.take();
    let message = "a wavy line begins here but ends nowhere; it is read over its note".to_owned();
    reader.report.add(Severity::Warning, "loose-wavy-line", message, None);
    (reader.report.bar, reader.report.line) = (here, line);
}

/// Gives events the mark; rests have none.
fn mark(
    reader: &mut PartReader<'_, '_>,
    (staff, voice): (u16, &VoiceKey),
    under: &[(usize, usize)],
) {
    let Some(bars) = reader.voices.get_mut(&(staff, voice.clone())) else { return };
    for (bar, place) in under {
        let event = bars.get_mut(*bar).and_then(|events| events.get_mut(*place));
        if let Some(event) = event.filter(|event| !event.notes.is_empty()) {
            event.marks.push(EventMark::WavyLine);
        }
    }
}

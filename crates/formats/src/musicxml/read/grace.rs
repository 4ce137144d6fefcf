//! Grace notes, which wait for the note they stand before.

use std::collections::{BTreeMap, BTreeSet};

use apoyando_music::Grace;
use roxmltree::Node;

use super::note::{read_pitch, report_children, unread_kind, voice_of};
use super::part::{PartReader, VoiceKey};
use super::{child, elements};
use crate::ReadError;
use crate::rough::RoughEvent;
use crate::time::Time;

/// Grace notes under way.
#[derive(Default)]
pub(super) struct Graces {
    /// Per staff and voice, where they stand and what they are.
    waiting: BTreeMap<(u16, VoiceKey), (Time, Vec<Grace>)>,
    /// Slurs and the like that begin at a grace note: element and number. Their
    /// ends belong to none of the notes that are read.
    begun: BTreeSet<(String, String)>,
}

/// Reads a grace note.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Result<(), ReadError> {
    report_children(reader, node);
    notations(reader, node);
    if child(node, "cue").is_some() {
        reader.report.not_read("grace note among cue notes");
        return Ok(());
    }
    let voice = voice_of(reader, node)?;
    let Some(pitch) = child(node, "pitch") else {
        reader.report.not_read(unread_kind(node).unwrap_or("rest among grace notes"));
        return Ok(());
    };
    let pitch = read_pitch(reader, pitch)?;
    if let Some(what) = unread_kind(node) {
        reader.report.not_read(what);
        return Ok(());
    }
    if child(node, "chord").is_some() {
        reader.report.not_read("chord of grace notes, but for its first note,");
        return Ok(());
    }
    let slashed = child(node, "grace").and_then(|g| g.attribute("slash")) == Some("yes");
    let at = reader.cursor;
    let (_, waiting) = reader.graces.waiting.entry(voice).or_insert_with(|| (at, Vec::new()));
    waiting.push(Grace { pitch, slashed });
    Ok(())
}

/// What stands at a grace note has no place in a score.
fn notations(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let groups = elements(node, "notations").flat_map(|notations| notations.children());
    for item in groups.filter(Node::is_element) {
        match item.tag_name().name() {
            "slur" | "glissando" | "slide" => spanner(reader, item),
            "technical" => {
                for mark in item.children().filter(Node::is_element) {
                    match mark.tag_name().name() {
                        "hammer-on" | "pull-off" => spanner(reader, mark),
                        name => reader.report.not_read(&format!("<{name}> of a grace note")),
                    }
                }
            }
            name => reader.report.not_read(&format!("<{name}> of a grace note")),
        }
    }
}

/// A slur from a grace note to its note goes without saying.
fn spanner(reader: &mut PartReader<'_, '_>, item: Node<'_, '_>) {
    let key = key(item);
    match (key.0.as_str(), item.attribute("type")) {
        (name, Some("start")) => {
            if name == "slur" {
                reader.report.not_read_anywhere("slur from a grace note");
            } else {
                reader.report.not_read(&format!("<{name}> from a grace note"));
            }
            reader.graces.begun.insert(key);
        }
        (name, _) => {
            let among_graces = reader.graces.begun.remove(&key);
            if !among_graces {
                reader.report.not_read(&format!("<{name}> to a grace note"));
            }
        }
    }
}

fn key(item: Node<'_, '_>) -> (String, String) {
    let number = item.attribute("number").unwrap_or("1");
    (item.tag_name().name().to_owned(), number.to_owned())
}

impl Graces {
    /// The grace notes before an event of a voice; those that cannot be attached
    /// to it are reported.
    pub(super) fn before(
        reader: &mut PartReader<'_, '_>,
        voice: &(u16, VoiceKey),
        event: &RoughEvent,
    ) -> Vec<Grace> {
        let Some((at, graces)) = reader.graces.waiting.remove(voice) else { return Vec::new() };
        if at != event.onset {
            reader.report.not_read("grace note before a gap");
        } else if event.notes.is_empty() {
            reader.report.not_read("grace note before a rest");
        } else {
            return graces;
        }
        Vec::new()
    }

    /// At the end of a bar no note follows any more.
    pub(super) fn end_bar(reader: &mut PartReader<'_, '_>) {
        if !std::mem::take(&mut reader.graces.waiting).is_empty() {
            reader.report.not_read("grace note at the end of the bar");
        }
    }

    /// Whether a slur or the like that ends at a note began at a grace note. One
    /// that begins takes its number over.
    pub(super) fn ends(reader: &mut PartReader<'_, '_>, item: Node<'_, '_>) -> bool {
        if reader.graces.begun.is_empty() {
            return false;
        }
        let was_begun = reader.graces.begun.remove(&key(item));
        was_begun && item.attribute("type") == Some("stop")
    }
}

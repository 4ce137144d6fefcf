//! Tempo, words and what else stands over the staff.

use apoyando_music::{Base, NoteValue, Tempo};
use num_traits::Zero;
use roxmltree::Node;

use super::note::base;
use super::number::{decimal, first_number};
use super::part::PartReader;
use super::{child, child_text, elements, text};
use crate::time::add;

/// Reads a direction at the cursor.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let offset = child(node, "offset")
        .and_then(|offset| decimal(text(offset)))
        .and_then(|offset| reader.length(offset))
        .unwrap_or_default();
    let at = add(reader.cursor, offset).unwrap_or(reader.cursor);
    let at_start = at <= crate::time::zero();
    for kind in elements(node, "direction-type").flat_map(|kind| kind.children()) {
        if !kind.is_element() {
            continue;
        }
        match kind.tag_name().name() {
            "metronome" => metronome(reader, kind, at_start),
            "words" => words(reader, text(kind), at_start),
            name => reader.report.not_read(&format!("<{name}>")),
        }
    }
    if let Some(node) = child(node, "sound") {
        sound(reader, node, at_start);
    }
}

/// Reads the playing instructions of a `sound` element.
pub(super) fn sound(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>, at_start: bool) {
    for jump in ["dacapo", "dalsegno", "tocoda", "fine", "segno", "coda"] {
        if node.attribute(jump).is_some() {
            reader.report.not_read(&format!("jump “{jump}”"));
        }
    }
    let Some(tempo) = node.attribute("tempo").and_then(decimal) else { return };
    let per_minute = tempo.round().to_integer();
    let Ok(per_minute) = u16::try_from(per_minute) else { return };
    if per_minute == 0 || reader.bar.tempo.is_some() {
        return;
    }
    if at_start {
        let value = NoteValue::plain(Base::Quarter);
        reader.bar.tempo = Some(Tempo { value, per_minute });
    } else if !reader.metronome_in_bar {
        reader.report.not_read("tempo in mid-bar");
    }
}

fn metronome(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>, at_start: bool) {
    reader.metronome_in_bar = true;
    let units = elements(node, "beat-unit").count();
    let dots = elements(node, "beat-unit-dot").count().min(3) as u8;
    let value = base(child_text(node, "beat-unit")).map(|base| NoteValue { base, dots });
    let count = first_number(child_text(node, "per-minute")).and_then(|n| u16::try_from(n).ok());
    match (value, count.filter(|count| !count.is_zero())) {
        (Some(value), Some(per_minute)) if units == 1 && at_start => {
            reader.bar.tempo = Some(Tempo { value, per_minute });
        }
        (Some(_), Some(_)) if units == 1 => reader.report.not_read("metronome mark in mid-bar"),
        _ => reader.report.not_read("metronome mark without a number per minute"),
    }
}

fn words(reader: &mut PartReader<'_, '_>, words: &str, at_start: bool) {
    if words.is_empty() {
        return;
    }
    if is_position_mark(words) {
        reader.report.not_read(&format!("position or barre mark “{words}”"));
    } else if !at_start || !(reader.bar.words.is_empty() || reader.bar.words == words) {
        reader.report.not_read(&format!("word “{words}”"));
    } else {
        words.clone_into(&mut reader.bar.words);
    }
}

/// A roman numeral, alone or after the letter and fraction of a barre.
fn is_position_mark(words: &str) -> bool {
    let numeral = words.trim_start_matches([
        '½', 'C', 'B', '⅓', '⅔', '¾', '⅙', '⅚', ' ', '.', '/', '1', '2', '3', '4', '5', '6',
    ]);
    (!numeral.is_empty() && numeral.chars().all(|c| matches!(c, 'I' | 'V' | 'X')) || words == "C")
        && words.len() < 16
}

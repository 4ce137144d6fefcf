//! Dashes after words: to which words they belong, and where they end.

use std::collections::BTreeMap;

use apoyando_fingering::Severity;
use roxmltree::Node;

use super::part::PartReader;
use crate::rough::RoughMoment;
use crate::time::Time;

/// Dashes under way by staff and number: the index of their words, or `None` where these
/// are not read.
#[derive(Debug, Default)]
pub(super) struct Dashes(BTreeMap<(u16, u8), Option<usize>>);

/// Whose dashes those are that begin in a direction.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum After {
    /// None so far stand in it.
    Nothing,
    /// Those of this index.
    Words(usize),
    /// Words that are not read, and have been reported.
    Unread,
}

/// Reads one end of dashes in a direction.
pub(super) fn read(
    reader: &mut PartReader<'_, '_>,
    node: Node<'_, '_>,
    staff: u16,
    at: Time,
    after: After,
) {
    let number = node.attribute("number").and_then(|n| n.trim().parse().ok()).unwrap_or(1);
    match node.attribute("type") {
        Some("start") => {
            let words = match after {
                After::Words(index) => Some(index),
                After::Unread => None,
                After::Nothing => {
                    // They may stand in a direction of their own.
                    let before = reader.words.iter().rposition(|(of, words)| {
                        *of == staff && (words.bar, words.at) == (reader.bars.len(), at)
                    });
                    if before.is_none() {
                        reader.report.not_read("dashes without words");
                    }
                    before
                }
            };
            if let Some(Some(before)) = reader.dashes.0.insert((staff, number), words) {
                loose(reader, before);
            }
        }
        Some("stop") => match reader.dashes.0.remove(&(staff, number)) {
            Some(Some(index)) => {
                let (bar, slack) = (reader.bars.len(), reader.slack());
                reader.words[index].1.until = Some(RoughMoment { bar, at, slack });
            }
            Some(None) => {}
            None => reader.report.not_read("end of dashes that begin nowhere"),
        },
        Some("continue") => {}
        _ => reader.report.not_read("<dashes> without its type"),
    }
}

/// Reports what has not ended with the part.
pub(super) fn finish(reader: &mut PartReader<'_, '_>) {
    for index in std::mem::take(&mut reader.dashes.0).into_values().flatten() {
        loose(reader, index);
    }
}

fn loose(reader: &mut PartReader<'_, '_>, index: usize) {
    let words = &reader.words[index].1;
    let message = format!("the dashes after “{}” end nowhere; they are left out", words.text);
    reader.report.bar = Some(words.bar);
    reader.report.line = Some(words.line);
    reader.report.add(Severity::Warning, "loose-dashes", message, None);
    reader.report.bar = Some(reader.bars.len());
}

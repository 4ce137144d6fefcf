//! Tempo, words, rehearsal letters, signs of the playing order, dynamics and what else stands over
//! or under the staff.

use apoyando_music::{Base, Exit, HairpinKind, Jump, JumpTo, NoteValue, StaffSide, Tempo, Until};
use num_traits::Zero;
use roxmltree::Node;

use super::cue::Upright;
use super::dashes::{self, After};
use super::notations::dynamics;
use super::note::base;
use super::number::{decimal, first_number, whole};
use super::part::PartReader;
use super::{child, child_text, elements, text};
use crate::expression;
use crate::rough::{Loudness, RoughRehearsal};
use crate::sign::{self, Sign};
use crate::time::{Time, add, zero};

/// Reads a direction at the cursor.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let offset = child(node, "offset")
        .and_then(|offset| decimal(text(offset)))
        .and_then(|offset| reader.length(offset))
        .unwrap_or_default();
    let at = add(reader.cursor, offset).unwrap_or(reader.cursor).max(zero());
    let kinds = || {
        let types = elements(node, "direction-type").flat_map(|kind| kind.children());
        types.filter(Node::is_element)
    };
    let heard = child(node, "sound");
    // Words may go on in a sign: “D.S. al”, then the sign of the coda.
    let whole: String = kinds()
        .filter_map(|kind| match kind.tag_name().name() {
            "words" => Some(text(kind)),
            name @ ("segno" | "coda") => Some(name),
            _ => None,
        })
        .collect();
    let whole = sign::of_words(&whole);
    if let Some(sign) = whole {
        reader.sign(sign, Some(at));
    }
    let dashed =
        kinds().any(|kind| kind.has_tag_name("dashes") && kind.attribute("type") == Some("start"));
    let mut after = After::Nothing;
    reader.upright = None;
    for kind in kinds() {
        match kind.tag_name().name() {
            "metronome" => metronome(reader, kind, at <= zero()),
            "dynamics" => {
                for dynamic in dynamics(reader, kind) {
                    reader.loudness(staff(node), at, Loudness::Dynamic(dynamic));
                }
            }
            "rehearsal" => rehearsal(reader, text(kind), at),
            "wedge" => wedge(reader, kind, staff(node), at),
            "dashes" => dashes::read(reader, kind, staff(node), at, after),
            "words" | "segno" | "coda" if whole.is_some() => after = After::Unread,
            "segno" => reader.sign(Sign::Segno, Some(at)),
            "coda" => reader.sign(Sign::RingAndCross, Some(at)),
            "words" => match sign::of_words(text(kind)) {
                Some(sign) => {
                    reader.sign(sign, Some(at));
                    after = After::Unread;
                }
                // Words about a jump are no tempo.
                None if heard.is_some_and(|node| signs(node).next().is_some()) => {
                    reader.report.not_read(&format!("word “{}”", text(kind)));
                    after = After::Unread;
                }
                None => after = words(reader, node, kind, at, dashed),
            },
            name => reader.report.not_read(&format!("<{name}>")),
        }
    }
    if let Some(node) = heard {
        sound(reader, node, at);
    }
}

/// The staff a direction belongs to.
fn staff(node: Node<'_, '_>) -> u16 {
    whole(child_text(node, "staff")).and_then(|staff| u16::try_from(staff).ok()).unwrap_or(1)
}

fn rehearsal(reader: &mut PartReader<'_, '_>, text: &str, at: Time) {
    let line = reader.report.line.unwrap_or(reader.bar.line);
    let text = text.to_owned();
    let known = reader.bar.rehearsals.iter().any(|known| known.text == text);
    if !text.is_empty() && !known {
        reader.bar.rehearsals.push(RoughRehearsal { text, at, line });
    }
}

fn wedge(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>, staff: u16, at: Time) {
    let number = node.attribute("number").and_then(|n| n.trim().parse().ok()).unwrap_or(1);
    let start = |kind| Loudness::HairpinStart { kind, number };
    let loudness = match node.attribute("type") {
        Some("crescendo") => start(HairpinKind::Grows),
        Some("diminuendo") => start(HairpinKind::Fades),
        Some("stop") => Loudness::HairpinEnd { number },
        Some("continue") => return,
        _ => return reader.report.not_read("<wedge> without its type"),
    };
    reader.loudness(staff, at, loudness);
}

/// The signs of the playing order that a `sound` element stands for.
fn signs(node: Node<'_, '_>) -> impl Iterator<Item = Sign> {
    let back = |to| Sign::Jump(Jump { to, until: Until::End });
    [
        ("segno", Sign::Segno),
        ("coda", Sign::Coda),
        ("fine", Sign::Exit(Exit::Fine)),
        ("tocoda", Sign::Exit(Exit::ToCoda)),
        ("dalsegno", back(JumpTo::Segno)),
        ("dacapo", back(JumpTo::Capo)),
    ]
    .into_iter()
    .filter(move |(name, _)| node.attribute(*name).is_some_and(|value| value != "no"))
    .map(|(_, sign)| sign)
}

/// Reads the playing instructions of a `sound` element.
pub(super) fn sound(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>, at: Time) {
    labels(reader, node);
    for sign in signs(node) {
        reader.sign(sign, Some(at));
        if node.attribute("time-only").is_some() {
            reader.report.not_read("number of the pass in which a jump is made");
        }
    }
    let at_start = at <= zero();
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

/// Jumps go to the nearest sign. Reports labels that say otherwise.
fn labels(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let label = |name| node.attribute(name).map(str::to_owned);
    reader.segno_labels.extend(label("segno"));
    if let Some(wanted) = label("dalsegno") {
        let (last, all) = (reader.segno_labels.last(), &reader.segno_labels);
        if last != Some(&wanted) && all.contains(&wanted) {
            reader.report.not_read("D.S. to another segno than the nearest before it");
        }
    }
    if let Some(coda) = label("coda") {
        let wanted = reader.coda_wanted.take();
        if wanted.is_some_and(|wanted| wanted != coda) {
            reader.report.not_read("To Coda to another coda than the next");
        }
    }
    if let Some(wanted) = label("tocoda") {
        reader.coda_wanted = Some(wanted);
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

/// Reads words; those that dashes follow hold to their end and are no tempo.
fn words(
    reader: &mut PartReader<'_, '_>,
    direction: Node<'_, '_>,
    item: Node<'_, '_>,
    at: Time,
    dashed: bool,
) -> After {
    let words = text(item);
    if words.is_empty() {
        return After::Nothing;
    }
    let side = match direction.attribute("placement") {
        Some("above") => Some(StaffSide::Above),
        Some("below") => Some(StaffSide::Below),
        _ => None,
    };
    let plain = |name: &str| matches!(item.attribute(name), None | Some("normal"));
    let upright = plain("font-style") && plain("font-weight") && side != Some(StaffSide::Below);
    let upright = upright && !dashed && at == reader.cursor;
    let at_start = at <= zero();
    let free = reader.bar.words.is_empty() || reader.bar.words == words;
    if is_digit(words) && has_bracket(direction) {
        reader.report.not_read(&format!("hold line of finger {words}"));
        After::Unread
    } else if is_position_mark(words) {
        reader.report.not_read(&format!("position or barre mark “{words}”"));
        After::Unread
    } else if at_start && free && !dashed && is_tempo(words, direction, item) {
        let alone = reader.bar.words.is_empty();
        words.clone_into(&mut reader.bar.words);
        reader.upright = (upright && alone).then_some((at, Upright::Tempo));
        After::Unread
    } else {
        let side = side.unwrap_or_else(|| expression::usual_side(words));
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let index = reader.words(staff(direction), at, side, words);
        reader.upright = upright.then_some((at, Upright::Expression(index)));
        After::Words(index)
    }
}

/// Whether words at the beginning of a bar are about its tempo: unless they stand
/// below the staff, are in italics or say something else.
fn is_tempo(words: &str, direction: Node<'_, '_>, item: Node<'_, '_>) -> bool {
    let counted = elements(direction, "direction-type")
        .any(|kind| child(kind, "metronome").is_some())
        || child(direction, "sound").is_some_and(|sound| sound.has_attribute("tempo"));
    let bold = item.attribute("font-weight") == Some("bold");
    let italic = item.attribute("font-style") == Some("italic");
    let below = direction.attribute("placement") == Some("below");
    counted || bold || !(below || italic || expression::is_expression(words))
}

/// A digit of a finger.
fn is_digit(words: &str) -> bool {
    matches!(words, "1" | "2" | "3" | "4")
}

/// Whether a bracket begins in a direction.
fn has_bracket(direction: Node<'_, '_>) -> bool {
    let mut kinds = elements(direction, "direction-type").flat_map(|kind| kind.children());
    kinds.any(|kind| kind.has_tag_name("bracket") && kind.attribute("type") == Some("start"))
}

/// A roman numeral, alone or after the letter and fraction of a barre.
fn is_position_mark(words: &str) -> bool {
    let numeral = words.trim_start_matches([
        '½', 'C', 'B', '⅓', '⅔', '¾', '⅙', '⅚', ' ', '.', '/', '1', '2', '3', '4', '5', '6',
    ]);
    (!numeral.is_empty() && numeral.chars().all(|c| matches!(c, 'I' | 'V' | 'X')) || words == "C")
        && words.len() < 16
}

//! Left-hand digits that read as another note's.

use apoyando_music::{Note, Score};

use super::Fault;
use super::scan::{Item, items, note_of};
use crate::drawing::{Drawing, Kind};

/// A digit's own note is nearer than any other by this much [house value].
const NEARER: f64 = 0.3;
/// A digit is no farther than this from its note [house value].
const FARTHEST: f64 = 2.5;
/// A digit no farther than this from the middle of its head stands over or
/// under it.
const OVER: f64 = 0.6;
/// Digits no farther apart than this side by side and over one another are a
/// column.
const COLUMN: (f64, f64) = (0.4, 5.0);
/// Digits of a level row within this distance read along the row.
const ROW: f64 = 12.0;

/// How far the digits of a drawing are from their notes.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct DigitDistances {
    /// Half of them are nearer than this.
    pub median: f64,
    /// None is farther.
    pub greatest: f64,
}

/// A digit with its head.
struct Read<'a> {
    digit: &'a Item,
    /// The digit, and the dash and the finger that takes over after it.
    signs: Vec<&'a Item>,
    head: &'a Item,
    note: &'a Note,
    /// To the nearest ink of its note or chord: head, accidental, ledger line or
    /// stem.
    distance: f64,
}

/// Whether two notes are struck together on one staff.
fn together(one: &Note, other: &Note) -> bool {
    one.part == other.part && one.onset == other.onset
}

fn read<'a>(items: &'a [Item], score: &'a Score) -> Vec<Read<'a>> {
    items
        .iter()
        .filter(|item| item.kind == Kind::LeftDigit)
        .filter_map(|digit| {
            let note = note_of(digit, score)?;
            let own = |item: &&Item| item.kind == Kind::Head && item.owner == digit.owner;
            let head = items.iter().find(own)?;
            // A finger that takes over is of the same sign.
            let second =
                |item: &&Item| item.kind == Kind::SecondFinger && item.owner == digit.owner;
            let signs: Vec<&Item> =
                std::iter::once(digit).chain(items.iter().filter(second)).collect();
            // The digits of a chord stand by the chord: its nearest ink counts.
            let distance = items
                .iter()
                .filter(|item| {
                    let notes = [Kind::Head, Kind::Accidental, Kind::Stem, Kind::LedgerLine];
                    let of = || note_of(item, score);
                    notes.contains(&item.kind) && of().is_some_and(|other| together(other, note))
                })
                .flat_map(|item| signs.iter().map(|sign| sign.distance(item)))
                .fold(f64::MAX, f64::min);
            Some(Read { digit, signs, head, note, distance })
        })
        .collect()
}

/// Median and greatest distance of digits from their notes.
#[must_use]
pub fn digit_distances(drawing: &Drawing, score: &Score) -> DigitDistances {
    let items = items(drawing);
    let mut distances: Vec<f64> = read(&items, score).iter().map(|read| read.distance).collect();
    distances.sort_by(f64::total_cmp);
    let at = |index: usize| distances.get(index).copied().unwrap_or(0.0);
    DigitDistances {
        median: at(distances.len() / 2),
        greatest: at(distances.len().saturating_sub(1)),
    }
}

/// The digits of a chord in a column are read as one sign, which is as near to
/// its chord as the nearest of them.
fn by_columns(digits: &mut [Read<'_>]) {
    let nearest: Vec<f64> = digits
        .iter()
        .map(|read| {
            digits
                .iter()
                .filter(|other| {
                    let chord = together(other.note, read.note);
                    let column = (other.digit.centre() - read.digit.centre()).abs() <= COLUMN.0;
                    let close = (other.digit.middle() - read.digit.middle()).abs() <= COLUMN.1;
                    chord && column && close
                })
                .map(|other| other.distance)
                .fold(read.distance, f64::min)
        })
        .collect();
    for (read, nearest) in digits.iter_mut().zip(nearest) {
        read.distance = nearest;
    }
}

/// Digits whose own note is not the nearest by .3, or farther than 2.5; digits of
/// a chord in another order than its notes, or no nearer in height to their own than to one
/// that has none. A digit over or under its head is read along the staff, and one of a level
/// row may be farther away.
#[must_use]
pub fn misread_digits(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let items = items(drawing);
    let mut digits = read(&items, score);
    by_columns(&mut digits);
    // A digit nearer to a grace note would be read as its.
    let heads: Vec<(&Item, Option<&Note>)> = items
        .iter()
        .filter_map(|item| match item.kind {
            Kind::Head => Some((item, note_of(item, score))),
            Kind::GraceHead => Some((item, None)),
            _ => None,
        })
        .collect();
    let mut faults = Vec::new();
    let mut fault = |digit: &Item, message: String| {
        faults.push(Fault { rule: "digit-misread", place: digit.area, message });
    };
    for (index, Read { digit, signs, head, note, distance }) in digits.iter().enumerate() {
        let of_chord = |other: &Option<&Note>| other.is_some_and(|other| together(other, note));
        let others = heads.iter().filter(|(_, other)| !of_chord(other)).map(|(head, _)| head);
        if (digit.centre() - head.centre()).abs() <= OVER {
            let own = (digit.centre() - head.centre()).abs();
            // Notes of another staff are not read along with it.
            let of_staff =
                |other: &Option<&Note>| other.is_none_or(|other| other.part == note.part);
            let others = heads.iter().filter(|(_, other)| !of_chord(other) && of_staff(other));
            let others = others.map(|(head, _)| head);
            let nearest =
                others.map(|o| (digit.centre() - o.centre()).abs()).fold(f64::MAX, f64::min);
            if own + NEARER > nearest {
                fault(digit, "a digit stands over another note than its own".to_owned());
            }
            // The digits of a chord stand over one another, one of them in the row.
            let stack: Vec<f64> = digits
                .iter()
                .filter(|read| {
                    let column = (read.digit.centre() - digit.centre()).abs() <= COLUMN.0;
                    together(read.note, note) && column
                })
                .map(|read| read.digit.middle())
                .collect();
            let in_row = digits.iter().any(|read| {
                let level = stack.iter().any(|own| (read.digit.middle() - own).abs() < 0.05);
                let near = (read.digit.centre() - digit.centre()).abs() < ROW;
                level && near && !together(read.note, note)
            });
            if *distance > FARTHEST && !in_row {
                fault(digit, format!("a digit is {distance:.2} from its note"));
            }
        } else {
            let to_signs = |other: &Item| signs.iter().map(|sign| sign.distance(other)).collect();
            let to_others = others.flat_map(|other| -> Vec<f64> { to_signs(other) });
            let nearest = to_others.fold(f64::MAX, f64::min);
            if distance + NEARER > nearest {
                let message = format!(
                    "a digit is {distance:.2} from its own note and {nearest:.2} from another"
                );
                fault(digit, message);
            } else if *distance > FARTHEST {
                fault(digit, format!("a digit is {distance:.2} from its note"));
            }
            let off = |head: &Item| (digit.middle() - head.middle()).abs();
            let bare = |other: &Item| !digits.iter().any(|read| read.digit.owner == other.owner);
            let nearer = heads.iter().any(|(other, of)| {
                of_chord(of) && other.owner != head.owner && bare(other) && off(other) < off(head)
            });
            if nearer {
                fault(digit, "a digit is level with another note of its chord".to_owned());
            }
        }
        for other in &digits[..index] {
            let notes = other.head.middle() - head.middle();
            let marks = other.digit.middle() - digit.middle();
            if together(other.note, note) && notes * marks < 0.0 && notes.abs() > 0.01 {
                fault(digit, "the digits of a chord are not in the order of its notes".to_owned());
            }
        }
    }
    faults
}

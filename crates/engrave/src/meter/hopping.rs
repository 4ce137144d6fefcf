//! Left-hand digits that hop from side to side in a run.

use apoyando_music::Score;

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Kind, Owner};

/// Heads no farther apart than this are neighbours of a run.
const NEIGHBOURS: f64 = 3.5;

/// Where a digit stands by its head.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Side {
    Left,
    Above,
    Below,
    Right,
}

/// The digit of a single note, with part, voice and stem of the note.
struct Digit<'a> {
    line: (u16, u8, bool),
    /// Middle of the head.
    at: f64,
    side: Side,
    item: &'a Item,
}

fn side(digit: &Item, head: &Item) -> Side {
    if digit.area.right <= head.area.left + 0.1 {
        Side::Left
    } else if digit.area.left >= head.area.right - 0.1 {
        Side::Right
    } else if digit.middle() > head.middle() {
        Side::Above
    } else {
        Side::Below
    }
}

/// Digits of single notes in a run that stand on another side than those before
/// and after them, which are on one side. Notes are of one run if they are of one voice,
/// their stems point the same way and they stand close.
#[must_use]
pub fn hopping_digits(drawing: &Drawing, score: &Score) -> Vec<Fault> {
    let items = items(drawing);
    let mut digits: Vec<Digit<'_>> = items
        .iter()
        .filter(|item| item.kind == Kind::LeftDigit)
        .filter_map(|digit| {
            let own = |kind: Kind| {
                items.iter().find(move |item| item.owner == digit.owner && item.kind == kind)
            };
            let (head, stem) = (own(Kind::Head)?, own(Kind::Stem)?);
            let Owner::Note(id) = digit.owner else { return None };
            let note = score.notes().get(id.0 as usize)?;
            let up = stem.middle() > head.middle();
            let line = (note.part.0, note.voice.0, up);
            Some(Digit { line, at: head.centre(), side: side(digit, head), item: digit })
        })
        .collect();
    digits.sort_by(|a, b| a.line.cmp(&b.line).then(a.at.total_cmp(&b.at)));
    digits
        .windows(3)
        .filter(|run| {
            let one_line = run[0].line == run[2].line;
            let close = run.windows(2).all(|pair| {
                let apart = pair[1].at - pair[0].at;
                (0.0..=NEIGHBOURS).contains(&apart)
            });
            one_line && close && run[0].side == run[2].side && run[1].side != run[0].side
        })
        .map(|run| Fault {
            rule: "digits-hop",
            place: run[1].item.area,
            message: format!(
                "a digit stands {:?} in a run of digits {:?}",
                run[1].side, run[0].side
            ),
        })
        .collect()
}

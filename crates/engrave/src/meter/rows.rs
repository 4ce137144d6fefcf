//! Rows that wander, and extent lines that end in the wrong place.

use super::Fault;
use super::scan::{Item, items};
use crate::drawing::{Drawing, Ink, Kind};

/// Baselines of one row differ by no more than this.
const LEVEL: f64 = 0.05;
/// Rows farther apart than this are different rows: shelves, sides, staves.
const APART: f64 = 1.6;
/// Stacked letters of one onset are within this distance side by side.
const STACKED: f64 = 0.7;
/// An extent ends so far after its last head, give or take [common practice].
const PAST: (f64, f64) = (0.3, 0.06);

/// Right-hand letters, position and barre marks, degrees and chord names that
/// are nearly but not quite on the baseline of their row.
#[must_use]
pub fn wandering_rows(drawing: &Drawing) -> Vec<Fault> {
    let mut faults = Vec::new();
    for kinds in [
        &[Kind::RightLetter][..],
        &[Kind::PositionMark, Kind::BarreMark],
        &[Kind::Degree],
        &[Kind::Words],
    ] {
        // The baseline of each sign, with where it stands.
        let mut signs: Vec<(f64, f64)> = drawing
            .stains
            .iter()
            .filter(|stain| kinds.contains(&stain.kind))
            .filter_map(|stain| match &stain.ink {
                // The figures of a degree stand about its numeral.
                Ink::Text { text, .. } if text.chars().all(|c| c.is_ascii_digit()) => None,
                Ink::Glyph { at, .. } | Ink::Text { at, .. } => Some((at.y.0, at.x.0)),
                _ => None,
            })
            .collect();
        if kinds == [Kind::RightLetter] {
            signs = lowest_of_stacks(signs);
        }
        signs.sort_by(|a, b| a.0.total_cmp(&b.0));
        for row in signs.chunk_by(|a, b| b.0 - a.0 < APART) {
            let (low, high) = (row[0], row[row.len() - 1]);
            if high.0 - low.0 > LEVEL {
                let place =
                    crate::geometry::Rect::new(low.1.min(high.1), low.0, low.1.max(high.1), high.0);
                let message =
                    format!("baselines of a row of {:?} differ by {:.2}", kinds[0], high.0 - low.0);
                faults.push(Fault { rule: "row-wanders", place, message });
            }
        }
    }
    faults
}

/// Of letters stacked over one another only the lowest.
fn lowest_of_stacks(signs: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let under = |sign: &(f64, f64), other: &(f64, f64)| {
        let below = sign.0 - other.0;
        (other.1 - sign.1).abs() < STACKED && (0.01..APART + 0.4).contains(&below)
    };
    signs.iter().filter(|sign| !signs.iter().any(|other| under(sign, other))).copied().collect()
}

/// Extent lines with a hook that do not end .3 after a head, and open ones that
/// do not reach the end of the staff.
#[must_use]
pub fn wrong_extents(drawing: &Drawing) -> Vec<Fault> {
    let items = items(drawing);
    let kinds = [Kind::PositionMark, Kind::BarreMark, Kind::StringCircle, Kind::HoldLine];
    let of = |kind: Kind| items.iter().filter(move |item| item.kind == kind);
    let lines = of(Kind::StaffLine).chain(of(Kind::TabLine));
    let staff_end = lines.map(|item| item.area.right).fold(f64::MIN, f64::max);
    let heads: Vec<&Item> = of(Kind::Head).chain(of(Kind::TabFigure)).collect();
    // The right side of the last head of each onset: no head overlaps it and
    // goes on further.
    let after_head =
        |end: f64| heads.iter().any(|head| (end - head.area.right - PAST.0).abs() <= PAST.1);
    let lines: Vec<(Kind, &Item)> = drawing
        .stains
        .iter()
        .zip(&items)
        .filter(|(stain, _)| kinds.contains(&stain.kind) && matches!(stain.ink, Ink::Line { .. }))
        .map(|(stain, item)| (stain.kind, item))
        .collect();
    let is_level = |item: &Item| item.area.width() > item.area.height();
    lines
        .iter()
        .filter(|(_, item)| is_level(item))
        .filter(|(kind, line)| {
            let end = line.area.right;
            let hooked = lines.iter().any(|(other, hook)| {
                other == kind
                    && !is_level(hook)
                    && hook.distance(line) < 0.02
                    && (hook.area.right - end).abs() < 0.1
            });
            if hooked { !after_head(end) } else { (end - staff_end).abs() > 0.1 }
        })
        .map(|(kind, line)| Fault {
            rule: "extent-ends-elsewhere",
            place: line.area,
            message: format!("a line of kind {kind:?} does not end after a note"),
        })
        .collect()
}

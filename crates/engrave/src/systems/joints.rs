//! What joins the staves of a system: the line at the left, barlines and brackets.
//!
//! A duet has a bracket, and its barlines go through. Where a player has tablature under
//! the notation, both are joined so, and the players are parted: each has a bracket and
//! barlines of their own, and only the line at the left goes through. Common practice, no
//! source.

use super::Row;
use crate::drawing::{Ink, Kind, Owner, Stain};
use crate::font::table;
use crate::place::{Frame, ink};

/// Size of the ends of a bracket, and how far they reach over the outer lines and into the
/// staff.
const BRACKET_END: f64 = 0.7;
const BRACKET_OVER: f64 = 0.25;
pub const BRACKET_SERIF: f64 = 0.5;
/// A bracket reaches so far into its ends: where two inks only touch, a screen and a laser
/// printer leave a hair of white.
const BRACKET_LAP: f64 = 0.05;

/// Draws what joins staves whose middles are at these heights.
pub fn draw(stains: &mut Vec<Stain>, frame: &Frame, rows: &[Row], heights: &[f64]) {
    if rows.len() < 2 {
        return;
    }
    // Upper and lower end of every staff.
    let ends: Vec<(f64, f64)> = rows
        .iter()
        .zip(heights)
        .map(|(row, y)| {
            let half = row.half + table::STAFF_LINE_THICKNESS / 2.0;
            (y + half, y - half)
        })
        .collect();
    let (top, bottom) = (ends[0].0, ends[ends.len() - 1].1);
    let thin = table::THIN_BARLINE_THICKNESS;
    let x = frame.left + thin / 2.0;
    stains.push(ink::line((x, bottom), (x, top), thin, Kind::BarLine, Owner::System));
    let players: Vec<&[Row]> = rows.chunk_by(|a, b| a.stage.part == b.stage.part).collect();
    let parted = players.iter().any(|staves| staves.len() > 1);
    if players.len() > 1 && !parted {
        bracket(stains, frame, (bottom, top));
    }
    let mut first = 0;
    for staves in &players {
        let last = first + staves.len() - 1;
        if players.len() > 1 && last > first {
            bracket(stains, frame, (ends[last].1, ends[first].0));
        }
        first = last + 1;
    }
    for (at, pair) in rows.windows(2).enumerate() {
        if parted && pair[0].stage.part != pair[1].stage.part {
            continue;
        }
        for stain in &pair[0].stage.stains {
            if let (Kind::BarLine, Ink::Line { from, thickness, .. }) = (stain.kind, &stain.ink) {
                let (above, below) = ((from.x.0, ends[at].1), (from.x.0, ends[at + 1].0));
                let line = ink::line(below, above, thickness.0, Kind::BarLine, stain.owner);
                stains.push(line);
            }
        }
    }
}

/// How far a bracket reaches above the middle of a staff whose outer lines are so far from it.
pub fn bracket_high(half: f64) -> f64 {
    half + BRACKET_OVER + BRACKET_END * table::BRACKET_TOP.high
}

/// A bracket at the left.
fn bracket(stains: &mut Vec<Stain>, frame: &Frame, (bottom, top): (f64, f64)) {
    let thick = table::BRACKET_THICKNESS;
    let x = frame.left - 0.4 - thick / 2.0;
    let (low, high) = (bottom - BRACKET_OVER, top + BRACKET_OVER);
    let (into, over) = (low - BRACKET_LAP, high + BRACKET_LAP);
    stains.push(ink::line((x, into), (x, over), thick, Kind::Bracket, Owner::System));
    let left = x - thick / 2.0;
    for (glyph, y) in [(&table::BRACKET_TOP, high), (&table::BRACKET_BOTTOM, low)] {
        stains.push(ink::glyph(glyph, BRACKET_END, left, y, Kind::Bracket, Owner::System));
    }
}

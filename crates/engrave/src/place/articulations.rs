//! Staccato dots, tenuto lines, accents and fermatas.

use apoyando_music::{BarIndex, EventMark};

use super::{BarFrame, PlacedChord, ink, notes};
use crate::drawing::{Kind, Owner};
use crate::font::{Glyph, table};
use crate::geometry::Stage;
use crate::notate::{Chord, StaffBar, height};

/// The marks drawn here, from the head outwards.
const ORDER: [EventMark; 3] = [EventMark::Staccato, EventMark::Tenuto, EventMark::Accent];

/// Clear space between two marks of a chord. House.
const CLEAR: f64 = 0.25;

/// The marks of a chord that are drawn here, from the head outwards.
pub fn of(chord: &Chord) -> impl Iterator<Item = EventMark> + '_ {
    ORDER.into_iter().filter(|mark| chord.marks.contains(mark))
}

/// The sign of such a mark.
pub const fn glyph_of(mark: EventMark, above: bool) -> &'static Glyph {
    match (mark, above) {
        (EventMark::Tenuto, true) => &table::ARTIC_TENUTO_ABOVE,
        (EventMark::Tenuto, false) => &table::ARTIC_TENUTO_BELOW,
        (EventMark::Accent, true) => &table::ARTIC_ACCENT_ABOVE,
        (EventMark::Accent, false) => &table::ARTIC_ACCENT_BELOW,
        (_, true) => &table::ARTIC_STACCATO_ABOVE,
        (_, false) => &table::ARTIC_STACCATO_BELOW,
    }
}

/// Draws dots, tenuto lines and accents on the side of the heads, in that order
/// from the head outwards.
pub fn draw(stage: &mut Stage, _bar: &BarFrame, placed: &[PlacedChord<'_>], notated: &StaffBar) {
    for chord in placed {
        let (Some(low), Some(high)) = (chord.chord.heads.first(), chord.chord.heads.last()) else {
            continue;
        };
        // Two voices keep to their own sides.
        let above = if notated.shared { chord.chord.up } else { !chord.chord.up };
        let owner = Owner::Note(notes::speaker(chord.chord));
        let side = if above { 1.0 } else { -1.0 };
        let head = if above { high } else { low };
        let mut y = height(head.step) + side * 1.0;
        if notated.shared && crate::notate::has_stem(chord.chord) {
            y = chord.tip + side * 0.6;
        }
        let mut before = None;
        let middle = chord.x + head.x + head.glyph.width() / 2.0;
        for mark in of(chord.chord) {
            let glyph = glyph_of(mark, above);
            let half = (glyph.high - glyph.low) / 2.0;
            if let Some((at, half_before)) = before {
                y = at + side * (half_before + CLEAR + half);
            }
            // Dots and lines stand in spaces while within the staff; accents
            // outside.
            if mark == EventMark::Accent {
                y = side * (side * y).max(2.5);
            } else if mark == EventMark::Tenuto {
                let away = side * y;
                let space = (away - 0.5 - 1e-9).ceil() + 0.5;
                y = side * if away < 2.5 { space } else { away };
            } else if y.abs() < 2.5 && (y.rem_euclid(1.0) - 0.5).abs() > 0.25 {
                y += side * 0.5;
            }
            let x = middle - glyph.left - glyph.width() / 2.0;
            let base = y - f64::midpoint(glyph.low, glyph.high);
            stage.add(ink::glyph(glyph, 1.0, x, base, Kind::Articulation, owner));
            before = Some((y, half));
        }
    }
}

/// Draws fermatas above everything so far, those of a lower voice below.
pub fn draw_fermatas(
    stage: &mut Stage,
    bar: &BarFrame,
    placed: &[PlacedChord<'_>],
    notated: &StaffBar,
) {
    let of_chords = placed
        .iter()
        .filter(|c| c.chord.marks.contains(&EventMark::Fermata))
        .map(|c| (c.x + 0.59, c.chord.voice, Owner::Note(notes::speaker(c.chord))));
    let bar_owner = Owner::Bar(BarIndex(bar.index as u32));
    let of_rests =
        notated.rests.iter().filter(|r| r.drawn && r.marks.contains(&EventMark::Fermata)).map(
            |r| {
                let x = if r.whole_bar {
                    f64::midpoint(bar.start, bar.end)
                } else {
                    bar.column(r.onset) + r.glyph.width() / 2.0
                };
                (x, r.voice, bar_owner)
            },
        );
    let mut all: Vec<(f64, apoyando_music::VoiceNumber, Owner)> =
        of_chords.chain(of_rests).collect();
    // Both voices stop together: one sign above is enough.
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    all.dedup_by(|b, a| (a.0 - b.0).abs() < 1.5);
    for (x, voice, owner) in all {
        let below = notated.goes_below(voice);
        let glyph = if below { &table::FERMATA_BELOW } else { &table::FERMATA_ABOVE };
        let left = x - glyph.width() / 2.0;
        let skyline = if below { &stage.below } else { &stage.above };
        let reach = skyline.reach(left, left + glyph.width()).max(2.5) + 0.35;
        let y = if below { -reach } else { reach };
        stage.add(ink::glyph(glyph, 1.0, left, y, Kind::Fermata, owner));
    }
}

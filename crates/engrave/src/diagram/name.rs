//! Names of chords: letters in bold, their accidentals from the music font,
//! for the text faces have none.

use crate::drawing::{Face, Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::font;
use crate::font::table::{ACCIDENTAL_FLAT, ACCIDENTAL_SHARP};

/// Scale of an accidental to the em of the letters beside it. House value: a
/// sharp is as tall as a capital and a bit.
const SCALE: f64 = 0.27;
/// Where the middle of a sharp and the foot of a flat stand above the baseline,
/// in ems. House values.
const SHARP_MIDDLE: f64 = 0.31;
const FLAT_FOOT: f64 = 0.0;
/// Clear space on both sides of an accidental, in ems. House value.
const SIDE: f64 = 0.04;

/// A piece of a name.
enum Piece {
    Letters(String),
    Sign(&'static font::Glyph),
}

fn pieces(name: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for c in name.chars() {
        let sign = match c {
            '♯' => Some(&ACCIDENTAL_SHARP),
            '♭' => Some(&ACCIDENTAL_FLAT),
            _ => None,
        };
        match (sign, pieces.last_mut()) {
            (Some(sign), _) => pieces.push(Piece::Sign(sign)),
            (None, Some(Piece::Letters(letters))) => letters.push(c),
            (None, _) => pieces.push(Piece::Letters(c.to_string())),
        }
    }
    pieces
}

/// Width of a chord's name whose em is `size`.
pub(crate) fn name_width(size: f64, name: &str) -> f64 {
    pieces(name)
        .iter()
        .map(|piece| match piece {
            Piece::Letters(letters) => font::text_width(Face::Bold, size, letters),
            Piece::Sign(sign) => size * (SCALE * sign.width() + 2.0 * SIDE),
        })
        .sum()
}

/// A chord's name whose em is `size`, its baseline beginning at `at`.
pub(crate) fn chord_name(name: &str, size: f64, owner: Owner, at: (f64, f64)) -> Vec<Stain> {
    let mut x = at.0;
    pieces(name)
        .into_iter()
        .map(|piece| {
            let ink = match piece {
                Piece::Letters(text) => {
                    let width = font::text_width(Face::Bold, size, &text);
                    let start = Point::new(x, at.1);
                    x += width;
                    Ink::Text {
                        text,
                        face: Face::Bold,
                        size: StaffSpaces(size),
                        at: start,
                        width: StaffSpaces(width),
                    }
                }
                Piece::Sign(sign) => {
                    let scale = SCALE * size;
                    let raise = if sign.code == ACCIDENTAL_SHARP.code {
                        SHARP_MIDDLE
                    } else {
                        FLAT_FOOT - SCALE * sign.low
                    };
                    let start =
                        Point::new(x + SIDE * size - scale * sign.left, at.1 + raise * size);
                    x += scale * sign.width() + 2.0 * SIDE * size;
                    Ink::Glyph { glyph: sign.code, scale, at: start }
                }
            };
            Stain { ink, kind: Kind::ChordName, owner }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accidentals_come_from_the_music_font_and_take_their_room() {
        let stains = chord_name("F♯m7(♭5)", 2.0, Owner::System, (1.0, 0.0));
        let glyphs = stains.iter().filter(|s| matches!(s.ink, Ink::Glyph { .. })).count();
        assert_eq!((stains.len(), glyphs), (5, 2));
        let right =
            stains.iter().map(|s| crate::geometry::bounds(&s.ink).right).fold(0.0, f64::max);
        assert!((right - 1.0 - name_width(2.0, "F♯m7(♭5)")).abs() < 0.3);
        assert_eq!(name_width(2.0, "Am"), font::text_width(Face::Bold, 2.0, "Am"));
    }
}

//! Widths and outlines of the text faces.

use std::sync::OnceLock;

use ttf_parser::Face as Parsed;

use super::outline::Pen;
use crate::drawing::{Face, Outline};

const FAMILY: &str = "Libertinus Serif";

/// The font file of a text face; `None` only if the program was built without
/// its fonts.
#[must_use]
pub fn text_data(face: Face) -> Option<&'static [u8]> {
    static DATA: OnceLock<[Option<&'static [u8]>; 3]> = OnceLock::new();
    DATA.get_or_init(|| {
        let mut found = [None; 3];
        for data in typst_assets::fonts() {
            let Ok(parsed) = Parsed::parse(data, 0) else { continue };
            let family = parsed
                .names()
                .into_iter()
                .filter(|name| {
                    matches!(
                        name.name_id,
                        ttf_parser::name_id::TYPOGRAPHIC_FAMILY | ttf_parser::name_id::FAMILY
                    )
                })
                .any(|name| name.to_string().as_deref() == Some(FAMILY));
            let slot = match (parsed.is_italic(), parsed.weight().to_number()) {
                (false, 400) => 0,
                (true, 400) => 1,
                (false, 700) => 2,
                _ => continue,
            };
            if family {
                found[slot] = Some(data);
            }
        }
        found
    })[face as usize]
}

fn parsed(face: Face) -> Option<&'static Parsed<'static>> {
    static PARSED: OnceLock<[Option<Parsed<'static>>; 3]> = OnceLock::new();
    PARSED.get_or_init(|| {
        [Face::Regular, Face::Italic, Face::Bold]
            .map(|face| Parsed::parse(text_data(face)?, 0).ok())
    })[face as usize]
        .as_ref()
}

/// Width of a line of text whose em is `size`, in the unit of `size`, without
/// kerning.
#[must_use]
pub fn text_width(face: Face, size: f64, text: &str) -> f64 {
    let Some(parsed) = parsed(face) else { return 0.5 * size * text.chars().count() as f64 };
    let units: u32 = text
        .chars()
        .map(|c| {
            let glyph = parsed.glyph_index(c).unwrap_or_default();
            u32::from(parsed.glyph_hor_advance(glyph).unwrap_or_default())
        })
        .sum();
    f64::from(units) * size / f64::from(parsed.units_per_em())
}

/// Height of capitals and depth of descenders (both positive) of a face whose
/// em is `size`.
#[must_use]
pub fn text_ascent(face: Face, size: f64) -> (f64, f64) {
    let height = parsed(face).and_then(|p| Some((p.capital_height()?, p.units_per_em())));
    let (height, em) = height.unwrap_or((650, 1000));
    (size * f64::from(height) / f64::from(em), 0.22 * size)
}

/// Contours of a line of text, its baseline beginning at the origin.
#[must_use]
pub fn text_outline(face: Face, size: f64, text: &str) -> Vec<Outline> {
    let Some(parsed) = parsed(face) else { return Vec::new() };
    let mut pen = Pen { scale: size / f64::from(parsed.units_per_em()), ..Pen::default() };
    for c in text.chars() {
        let glyph = parsed.glyph_index(c).unwrap_or_default();
        // A space has no outline; its advance is all that counts.
        let _ = parsed.outline_glyph(glyph, &mut pen);
        pen.shift += f64::from(parsed.glyph_hor_advance(glyph).unwrap_or_default()) * pen.scale;
    }
    pen.outline
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_are_told_apart() {
        let widths = [Face::Regular, Face::Italic, Face::Bold].map(|f| {
            assert!(text_data(f).is_some());
            text_width(f, 10.0, "Andante")
        });
        assert!(widths.iter().all(|w| (25.0..50.0).contains(w)), "{widths:?}");
        assert!(widths[2] > widths[1]);
        assert!(text_outline(Face::Italic, 10.0, "a").len() > 4);
        assert!(text_outline(Face::Italic, 10.0, " ").is_empty());
    }
}

//! Which signs ornaments and harmonics have, and the room these want.

use apoyando_music::EventMark;

use super::Chord;
use crate::drawing::{Face, Kind};
use crate::font::{self, Glyph, table};

/// Em of the word over the ring of an artificial harmonic.
pub const WORD_SIZE: f64 = 1.6;
/// Its face.
pub const WORD_FACE: Face = Face::Italic;

/// Room of a sign to each side besides the distance of all ink: at less its
/// neighbour would be put over it.
const SIDE: f64 = 0.1;

/// A sign over or under a chord.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sign {
    pub kind: Kind,
    pub glyph: &'static Glyph,
    /// A word on its far side.
    pub word: Option<&'static str>,
}

impl Sign {
    /// Half the width of the sign with its word.
    fn half_width(&self) -> f64 {
        let word = self.word.map_or(0.0, |word| font::text_width(WORD_FACE, WORD_SIZE, word));
        self.glyph.width().max(word) / 2.0
    }
}

/// The sign of a mark, if it has one here.
///
/// SMuFL calls the sign with a stroke through it a mordent (the step below)
/// and the one without a short trill (the step above).
const fn sign(mark: EventMark) -> Option<Sign> {
    let (kind, glyph) = match mark {
        EventMark::NaturalHarmonic | EventMark::ArtificialHarmonic => {
            (Kind::Harmonic, &table::STRINGS_HARMONIC)
        }
        EventMark::Trill => (Kind::Ornament, &table::ORNAMENT_TRILL),
        EventMark::Mordent => (Kind::Ornament, &table::ORNAMENT_MORDENT),
        EventMark::InvertedMordent => (Kind::Ornament, &table::ORNAMENT_SHORT_TRILL),
        EventMark::Turn => (Kind::Ornament, &table::ORNAMENT_TURN),
        EventMark::InvertedTurn => (Kind::Ornament, &table::ORNAMENT_TURN_INVERTED),
        // These have their own places elsewhere.
        EventMark::SlurStart { .. }
        | EventMark::SlurEnd
        | EventMark::Fermata
        | EventMark::Staccato
        | EventMark::Tenuto
        | EventMark::Accent
        | EventMark::Arpeggio(_)
        | EventMark::Strum(_)
        | EventMark::Together
        | EventMark::Breath
        | EventMark::Caesura
        | EventMark::WavyLine
        | EventMark::LetRing
        | EventMark::GlideStart
        | EventMark::GlideEnd => return None,
    };
    // Common practice, no source: a ring alone is a natural harmonic, and a word
    // says of another that it is artificial.
    let word = match mark {
        EventMark::ArtificialHarmonic => Some("art."),
        _ => None,
    };
    Some(Sign { kind, glyph, word })
}

/// The signs of a chord from the heads outwards: harmonics, then ornaments.
pub fn signs(chord: &Chord) -> Vec<Sign> {
    let mut signs: Vec<Sign> = Vec::new();
    for found in chord.marks.iter().filter_map(|mark| sign(*mark)) {
        if !signs.contains(&found) {
            signs.push(found);
        }
    }
    signs.sort_by_key(|sign| sign.kind != Kind::Harmonic);
    signs
}

/// The middle of the head next to the signs, from the chord's left edge.
pub fn middle(chord: &Chord, below: bool) -> f64 {
    let head = if below { chord.heads.first() } else { chord.heads.last() };
    head.map_or(0.0, |head| head.x + head.glyph.width() / 2.0)
}

/// How much room the signs of a chord want at both sides, from its left edge.
pub fn room(chord: &Chord, below: bool) -> Option<(f64, f64)> {
    let half = signs(chord).iter().map(Sign::half_width).max_by(f64::total_cmp);
    let middle = middle(chord, below);
    let signs = half.map(|half| (middle - half - SIDE, middle + half + SIDE));
    if !chord.marks.contains(&EventMark::WavyLine) {
        return signs;
    }
    // Two waves, after the sign of a trill.
    let (left, right) = signs.unwrap_or((0.0, 0.0));
    let wave = if chord.marks.contains(&EventMark::Trill) {
        right + 2.0 * table::WIGGLE_TRILL.advance
    } else {
        right.max(2.0 * table::WIGGLE_VIBRATO.advance)
    };
    Some((left, wave + 2.0 * SIDE))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the tables of common ornaments and of string techniques in the
    /// SMuFL standard, 1.4, from memory.
    #[test]
    fn signs_have_the_code_points_of_the_standard() {
        for (mark, code, word) in [
            (EventMark::Trill, '\u{E566}', None),
            (EventMark::Turn, '\u{E567}', None),
            (EventMark::InvertedTurn, '\u{E568}', None),
            (EventMark::InvertedMordent, '\u{E56C}', None),
            (EventMark::Mordent, '\u{E56D}', None),
            (EventMark::NaturalHarmonic, '\u{E614}', None),
            (EventMark::ArtificialHarmonic, '\u{E614}', Some("art.")),
        ] {
            let sign = sign(mark).unwrap();
            assert_eq!((sign.glyph.code, sign.word), (code, word), "{mark:?}");
        }
    }
}

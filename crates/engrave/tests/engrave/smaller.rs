//! The staff of a part that the reader does not play.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::meter::{fingering_faults, heads_apart, notation_faults};
use apoyando_engrave::{Drawing, Kind, Parts, Sheet, Style, Tablature, engrave};
use apoyando_fretboard::Millimetres;
use apoyando_marks::Marks;
use apoyando_music::{Clef, Metre, PartIndex, Score};

use crate::ink::areas;
use crate::scores::Sketch;
use crate::{fingered, fretted, gallery};

fn duet() -> Score {
    let mut sketch = Sketch::new(1, Metre::new(2, 4), &["E4:q C4:q | G4:h"]);
    let other = ["C3:8 G3:8 F#3:8 G3:8 | E3+G3+C4:h"];
    sketch.named("First").part("Second", Clef::Guitar, &other).score()
}

fn style(parts: Parts) -> Style {
    Style { parts, staff_height: Millimetres(7.4), ..Style::default() }
}

fn drawn(score: &Score, style: &Style) -> Drawing {
    lines(score, &[], style).remove(0)
}

fn lines(score: &Score, marks: &[Marks], style: &Style) -> Vec<Drawing> {
    let frettings = fretted::all(score);
    let sheet = Sheet { score, marks, captions: &[], frettings: &frettings };
    engrave(&sheet, style).systems.into_iter().map(|system| system.drawing).collect()
}

/// From the highest line to the lowest of each staff, the upper first.
fn heights(drawing: &Drawing) -> Vec<f64> {
    let lines = areas(&drawing.stains, Kind::StaffLine);
    let ends = |staff: &[Rect]| {
        let heights = || staff.iter().map(|line| f64::midpoint(line.low, line.high));
        heights().fold(f64::MIN, f64::max) - heights().fold(f64::MAX, f64::min)
    };
    lines.chunks(5).map(ends).collect()
}

/// Engraving handbooks: another part on a player's page has three quarters of the size,
/// but never less than 5.5 mm.
#[test]
fn other_parts_are_three_quarters() {
    let score = duet();
    let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let alike = heights(&drawn(&score, &style(Parts::Alike)));
    assert!(alike.iter().all(|height| close(*height, 4.0)), "{alike:?}");
    let large = heights(&drawn(&score, &style(Parts::FirstLarge)));
    assert!(close(large[0], 4.0) && close(large[1], 3.0), "{large:?}");
    let low = Style { staff_height: Millimetres(6.0), ..style(Parts::FirstLarge) };
    let least = heights(&drawn(&score, &low));
    assert!(close(least[1] * 6.0 / 4.0, 5.5), "{least:?}");
    assert_eq!(style(Parts::FirstLarge).size_of(PartIndex(0)), 1.0);
}

/// Clefs, signatures and barlines stand over one another, and so do notes struck together.
#[test]
fn small_staves_keep_to_the_columns_of_the_others() {
    let score = duet();
    let drawing = drawn(&score, &style(Parts::FirstLarge));
    assert_eq!(heads_apart(&drawing, &score), []);
    for kind in [Kind::Clef, Kind::KeySignature, Kind::TimeSignature] {
        let mut lefts: Vec<f64> =
            areas(&drawing.stains, kind).iter().map(|area| area.left).collect();
        lefts.sort_by(f64::total_cmp);
        // Glyphs have bearings, which are smaller on a small staff.
        assert!(lefts.len() > 1 && lefts.len().is_multiple_of(2), "{kind:?}: {lefts:?}");
        assert!(lefts.chunks(2).all(|pair| pair[1] - pair[0] < 0.3), "{kind:?}: {lefts:?}");
    }
    let mut barlines: Vec<f64> =
        areas(&drawing.stains, Kind::BarLine).iter().map(|area| area.left).collect();
    barlines.sort_by(f64::total_cmp);
    barlines.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    // The line at the left, the barline between the bars, and the one at the end.
    assert_eq!(barlines.len(), 3, "{barlines:?}");
}

/// A digit has its least size in millimetres on a small staff too, and nothing is wrong on
/// it when it is measured in its own spaces.
#[test]
fn a_small_staff_is_engraved_like_a_large_one() {
    let fingered = fingered::duet();
    let bare = [duet(), gallery::duet(), gallery::dynamics_of_two(), gallery::words_of_two()];
    let bare = bare.into_iter().map(|score| (score, Vec::new()));
    for (score, marks) in std::iter::once((fingered.score, fingered.marks)).chain(bare) {
        for tablature in [Tablature::None, Tablature::Under] {
            let style = Style { tablature, ..style(Parts::FirstLarge) };
            for drawing in lines(&score, &marks, &style) {
                let digits = areas(&drawing.stains, Kind::LeftDigit);
                let high = |digit: &Rect| (digit.high - digit.low) * style.space().0;
                assert!(digits.iter().all(|digit| high(digit) > 1.45));
                assert_eq!(fingering_faults(&drawing, &score), []);
                assert_eq!(notation_faults(&drawing, &score, style.line_width), []);
            }
        }
    }
}

/// The meter sees a fault on a small staff: a stem cut short.
#[test]
fn a_short_stem_on_a_small_staff_is_found() {
    use apoyando_engrave::{Ink, StaffSpaces};
    let score = duet();
    let style = style(Parts::FirstLarge);
    let mut drawing = drawn(&score, &style);
    let last = drawing.stains.iter().rposition(|stain| stain.kind == Kind::Stem).unwrap();
    if let Ink::Line { from, to, .. } = &mut drawing.stains[last].ink {
        to.y = from.y + StaffSpaces((to.y.0 - from.y.0) * 0.5);
    }
    let found = notation_faults(&drawing, &score, style.line_width);
    assert!(found.iter().any(|fault| fault.rule.contains("stem")), "{found:?}");
}

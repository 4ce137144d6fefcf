//! What may be played instead of some bars, on a small staff above them.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::meter::{collisions, words_on_ink};
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Metre, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn lines(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn drawn(voice: &str, ossia: &str) -> Drawing {
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    lines(&sketch.ossia(0, &[ossia]).score(), 90.0).remove(0)
}

/// The level lines of the small staff, from the bottom.
fn staff(drawing: &Drawing) -> Vec<Rect> {
    let level = |area: &Rect| area.right - area.left > area.high - area.low;
    let mut lines: Vec<Rect> =
        areas(&drawing.stains, Kind::OssiaLine).into_iter().filter(level).collect();
    lines.sort_by(|a, b| a.low.total_cmp(&b.low));
    lines
}

/// Common practice, no source: as wide as its bar, above it, smaller.
#[test]
fn an_ossia_has_a_small_staff_over_its_bar() {
    let drawing = drawn("C4:w | C4:h D4:h | C4:w", " | E4:q F4:q G4:h |");
    let lines = staff(&drawing);
    assert_eq!(lines.len(), 5);
    assert!((lines[1].low - lines[0].low - 0.7).abs() < 0.01, "{lines:?}");
    let barlines = areas(&drawing.stains, Kind::BarLine);
    assert!((lines[0].left - barlines[0].right).abs() < 0.1, "{lines:?} {barlines:?}");
    assert!((lines[0].right - barlines[1].right).abs() < 0.1, "{lines:?} {barlines:?}");
    assert!(lines[0].low > 3.0, "{lines:?}");
    assert_eq!(faults::all(&drawing, 90.0), []);
}

/// What sounds together stands over one another, and heads on the lines of the small staff.
#[test]
fn notes_of_an_ossia_stand_over_those_of_the_staff() {
    let drawing = drawn("C4:q D4:q E4:q F4:q | C4:w", "E4:q G4:q B4:h |");
    let (small, full) =
        (areas(&drawing.stains, Kind::GraceHead), areas(&drawing.stains, Kind::Head));
    assert_eq!((small.len(), full.len()), (3, 5));
    for (one, other) in small.iter().zip([full[0], full[1], full[2]]) {
        assert!((one.left - other.left).abs() < 0.1, "{one:?} {other:?}");
    }
    let lines = staff(&drawing);
    // E4 sounds as the written E5, in the fourth space from below.
    let middle = f64::midpoint(small[0].low, small[0].high);
    let space = f64::midpoint(lines[3].low, lines[4].high);
    assert!((middle - space).abs() < 0.05, "{middle} {space}");
    let scales = of(&drawing.stains, Kind::GraceHead).into_iter().map(|stain| match stain.ink {
        Ink::Glyph { scale, .. } => scale,
        _ => panic!("a glyph"),
    });
    assert_eq!(scales.collect::<Vec<_>>(), [0.7; 3]);
}

/// More notes than the staff has get their room.
#[test]
fn a_fast_ossia_is_given_room() {
    let plain = drawn("C4:w | C4:w", "");
    let fast = "E4:16 F4:16 G4:16 A4:16 ".repeat(4);
    let with = drawn("C4:w | C4:w", &format!("{fast}| "));
    let bar = |drawing: &Drawing| areas(&drawing.stains, Kind::BarLine)[0].left;
    assert!(bar(&with) > bar(&plain) + 10.0);
    assert_eq!(collisions(&with), []);
}

#[test]
fn nothing_touches_whatever_the_width() {
    for width in [35.0, 50.0, 80.0, 97.2, 140.0] {
        let systems = lines(&gallery::ossias(), width);
        for drawing in &systems {
            assert_eq!(collisions(drawing), [], "{width}");
            assert_eq!(words_on_ink(drawing), [], "{width}");
            // It clears the staff and everything over it.
            for line in staff(drawing) {
                let below = [Kind::Head, Kind::Beam, Kind::Expression, Kind::StaffLine];
                for kind in below {
                    let reach = areas(&drawing.stains, kind).into_iter();
                    let under = reach.filter(|a| a.right > line.left && a.left < line.right);
                    assert!(under.into_iter().all(|area| area.high < line.low), "{width}");
                }
            }
        }
        let words = systems.iter().flat_map(|drawing| of(&drawing.stains, Kind::CueName));
        assert!(words.count() >= 2, "{width}");
    }
}

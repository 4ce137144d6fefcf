//! Wavy lines: vibrato, and how long a trill lasts.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::collisions;
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_music::{Metre, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn lines(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn drawn(voices: &[&str]) -> Drawing {
    lines(&Sketch::new(0, Metre::COMMON, voices).score(), 80.0).remove(0)
}

/// Waves that touch one another, as one area.
fn runs(drawing: &Drawing) -> Vec<Rect> {
    let mut runs: Vec<Rect> = Vec::new();
    let mut waves = areas(&drawing.stains, Kind::WavyLine);
    waves.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.left.total_cmp(&b.left)));
    for wave in waves {
        match runs.last_mut() {
            Some(run) if (run.low - wave.low).abs() < 0.01 && wave.left < run.right => {
                *run = run.join(wave);
            }
            _ => runs.push(wave),
        }
    }
    runs.sort_by(|a, b| a.left.total_cmp(&b.left));
    runs
}

/// Common practice, no source: over the note, for its length.
#[test]
fn vibrato_lasts_from_the_head_to_the_next() {
    for pitch in ["E2", "C4", "A4", "E5"] {
        let drawing = drawn(&[&format!("{pitch}:h≈ C4:h | C4:w")]);
        let [run] = runs(&drawing)[..] else { panic!("one line") };
        let heads = areas(&drawing.stains, Kind::Head);
        assert!((run.left - heads[0].left).abs() < 0.05, "{run:?} {heads:?}");
        let end = heads[1].left - run.right;
        assert!((0.3..1.2).contains(&end), "{pitch}: {end}");
        assert!(run.low >= 2.49 && run.low > heads[0].high, "{run:?}");
        assert_eq!(faults::all(&drawing, 80.0), []);
    }
}

#[test]
fn short_notes_have_two_waves_each() {
    let drawing = drawn(&["C4:16≈ D4:16≈ E4:16≈ F4:16≈ G4:q r:h"]);
    let runs = runs(&drawing);
    assert_eq!(runs.len(), 4, "{runs:?}");
    assert_eq!(areas(&drawing.stains, Kind::WavyLine).len(), 8);
    assert_eq!(collisions(&drawing), []);
}

#[test]
fn one_line_lies_over_tied_notes_and_goes_on_over_a_line_break() {
    let drawing = drawn(&["C4:h D4:h≈~ | D4:h≈ C4:h"]);
    let [run] = runs(&drawing)[..] else { panic!("one line") };
    let heads = areas(&drawing.stains, Kind::Head);
    assert!(run.left - heads[1].left < 0.1 && run.right > heads[2].right, "{run:?}");
    let voice = format!("{}C4:h≈ D4:h", "C4:w≈~ | ".repeat(16));
    let score = Sketch::new(0, Metre::COMMON, &[&voice]).score();
    let systems = lines(&score, 60.0);
    let with: Vec<&Drawing> =
        systems.iter().filter(|s| !areas(&s.stains, Kind::WavyLine).is_empty()).collect();
    assert!(with.len() > 1, "it tests nothing");
    for (number, system) in with.iter().enumerate() {
        let [run] = runs(system)[..] else { panic!("one line") };
        let heads = areas(&system.stains, Kind::Head);
        let staff = areas(&system.stains, Kind::StaffLine)[0];
        if number > 0 {
            assert!((run.left - heads[0].left).abs() < 0.1, "{run:?} {heads:?}");
        }
        if number + 1 < with.len() {
            assert!(staff.right - run.right < 1.5, "{run:?} {staff:?}");
        }
    }
}

/// Common practice, no source: the line of a trill goes on from its sign, on one level.
#[test]
fn the_line_of_a_trill_goes_on_from_its_sign() {
    for voices in [&["C4:h%≈ D4:h"][..], &["A5:h%≈ C4:h"], &["C4:w", "C3:h%≈ E3:h"]] {
        let drawing = drawn(voices);
        let [run] = runs(&drawing)[..] else { panic!("one line") };
        let [sign] = areas(&drawing.stains, Kind::Ornament)[..] else { panic!("one sign") };
        assert!((0.05..0.4).contains(&(run.left - sign.right)), "{run:?} {sign:?}");
        assert!(sign.low < run.low && run.high < sign.high, "{run:?} {sign:?}");
        assert_eq!(collisions(&drawing), []);
    }
    // Another glyph than that of vibrato.
    let glyph = |voice: &str| {
        let drawing = drawn(&[voice]);
        let of: Vec<&Stain> = of(&drawing.stains, Kind::WavyLine);
        let Ink::Glyph { glyph, .. } = of[0].ink else { panic!("a glyph") };
        glyph
    };
    // Source: the table of multi-segment lines in the SMuFL standard, 1.4, from memory.
    assert_eq!((glyph("C4:w%≈"), glyph("C4:w≈")), ('\u{EAA4}', '\u{EAB0}'));
}

#[test]
fn the_lower_of_two_voices_has_its_line_below() {
    let drawing = drawn(&["C4:h≈ E4:h", "A2:h C3:h≈"]);
    let [above, below] = runs(&drawing)[..] else { panic!("two lines") };
    assert!(above.low > 2.4 && below.high < -2.4, "{above:?} {below:?}");
}

#[test]
fn nothing_leans_out_of_the_line_whatever_the_width() {
    for width in [35.0, 50.0, 97.2, 140.0] {
        for drawing in lines(&gallery::wavy(), width) {
            let staff = areas(&drawing.stains, Kind::StaffLine)[0];
            for wave in areas(&drawing.stains, Kind::WavyLine) {
                assert!(wave.right <= staff.right + 0.1, "{width} {wave:?} {staff:?}");
            }
            assert_eq!(collisions(&drawing), [], "{width}");
        }
    }
}

#[test]
fn a_wave_that_is_moved_onto_a_note_is_found() {
    let mut drawing = drawn(&["C4:h≈ D4:h"]);
    let head = areas(&drawing.stains, Kind::Head)[0];
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::WavyLine).unwrap();
    let area = bounds(&stain.ink);
    *stain = stain.clone().moved(0.0, head.low + 0.3 - area.low);
    assert!(!collisions(&drawing).is_empty());
}

//! Dashes after words to where they are over.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::meter::words_on_ink;
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Metre, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn drawn(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn line(voice: &str, loud: &str, said: &str) -> Drawing {
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    drawn(&sketch.loud(0, loud).said(0, said).score(), 90.0).remove(0)
}

fn said(drawing: &Drawing) -> Vec<String> {
    let texts = of(&drawing.stains, Kind::Expression).into_iter().map(|stain| match &stain.ink {
        Ink::Text { text, .. } => text.clone(),
        other => panic!("words, not {other:?}"),
    });
    texts.collect()
}

/// Common practice, no source: from the words to just before the note at which they are
/// over, at the middle of small letters.
#[test]
fn dashes_lead_from_the_words_to_where_they_are_over() {
    for (words, above) in [("rit.@0-6", true), ("_cresc.@0-6", false)] {
        let drawing = line("C4:q D4:q E4:q F4:q | C4:q D4:q E4:q F4:q", "", words);
        let [word] = areas(&drawing.stains, Kind::Expression)[..] else { panic!("one word") };
        let [dashes] = areas(&drawing.stains, Kind::Dashes)[..] else { panic!("one row") };
        let goal = areas(&drawing.stains, Kind::Head)[6];
        assert!((dashes.left - word.right - 0.6).abs() < 0.1, "{dashes:?} {word:?}");
        assert!((goal.left - dashes.right - 0.5).abs() < 0.05, "{dashes:?} {goal:?}");
        assert!(word.low < dashes.low && dashes.high < word.high, "{dashes:?} {word:?}");
        assert_eq!(dashes.low > 2.0, above);
        assert_eq!(faults::all(&drawing, 90.0), []);
    }
}

/// Whole dashes of one length, evenly spaced, the last to the end.
#[test]
fn dashes_come_out_even() {
    for until in [4, 5, 6, 7, 8] {
        let drawing =
            line("C4:q D4:q E4:q F4:q | C4:q D4:q E4:q F4:q", "", &format!("rit.@0-{until}"));
        let [stain] = of(&drawing.stains, Kind::Dashes)[..] else { panic!("one row") };
        let Ink::Line { from, to, dash: Some((dash, gap)), .. } = &stain.ink else {
            panic!("dashes")
        };
        let rest = ((to.x.0 - from.x.0) - dash.0) / (dash.0 + gap.0);
        assert!((rest - rest.round()).abs() < 1e-6, "{until}: {rest}");
        assert!((0.59..2.1).contains(&gap.0), "{until}: {gap:?}");
    }
}

/// What ends with a bar does not go over its line.
#[test]
fn dashes_end_before_the_barline() {
    let drawing = line("C4:q D4:q E4:q F4:q | C4:w", "", "rit.@0-4");
    let barline = areas(&drawing.stains, Kind::BarLine)[0];
    let dashes = areas(&drawing.stains, Kind::Dashes)[0];
    assert!((barline.left - dashes.right - 0.5).abs() < 0.05, "{dashes:?} {barline:?}");
}

#[test]
fn the_next_words_stand_at_their_note_after_the_dashes() {
    let drawing = line("C4:q D4:q E4:q F4:q | C4:q D4:q E4:q F4:q", "", "rit.@0-5 | a tempo@5");
    let [rit, tempo] = areas(&drawing.stains, Kind::Expression)[..] else { panic!("two") };
    let [dashes] = areas(&drawing.stains, Kind::Dashes)[..] else { panic!("one row") };
    let head = areas(&drawing.stains, Kind::Head)[5];
    assert!((tempo.left - head.left).abs() < 0.1 && (tempo.low - rit.low).abs() < 0.6);
    assert!(tempo.left - dashes.right > 0.4, "{dashes:?} {tempo:?}");
}

/// Dynamics and hairpins interrupt them.
#[test]
fn dashes_keep_clear_of_dynamics_and_hairpins() {
    let drawing = line("C4:q D4:q E4:q F4:q | C4:q D4:q E4:q F4:q", "mf@3 >5-6", "_cresc.@0-8");
    let dashes = areas(&drawing.stains, Kind::Dashes);
    assert_eq!(dashes.len(), 3, "{dashes:?}");
    let others = areas(&drawing.stains, Kind::Dynamic).into_iter();
    for other in others.chain(areas(&drawing.stains, Kind::Hairpin)) {
        let gaps = dashes.iter().map(|row| (row.left - other.right).max(other.left - row.right));
        assert!(gaps.fold(f64::MAX, f64::min) > 0.4, "{other:?} {dashes:?}");
    }
    assert_eq!(words_on_ink(&drawing), []);
}

/// Common practice, no source: over a line break the words come again in parentheses, and
/// nothing is said again where only a beat is left.
#[test]
fn over_a_line_break_the_words_come_again() {
    let bar = "C4:q D4:q E4:q F4:q | ".repeat(12);
    let voice = bar.trim_end_matches(" | ");
    let score = |until: u32| {
        let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
        sketch.said(0, &format!("rall.@1-{until} | _dim.@2-{until}")).score()
    };
    let systems = drawn(&score(48), 60.0);
    assert!(systems.len() > 2, "it tests nothing");
    for (number, system) in systems.iter().enumerate() {
        let wanted = if number == 0 { ["rall.", "dim."] } else { ["(rall.)", "(dim.)"] };
        let mut said = said(system);
        said.sort_by_key(|text| text.contains("dim"));
        assert_eq!(said, wanted, "{number}");
        let staff = areas(&system.stains, Kind::StaffLine)[0];
        for dashes in areas(&system.stains, Kind::Dashes) {
            assert!(staff.right - dashes.right < 1.2, "{number} {dashes:?} {staff:?}");
        }
        assert_eq!(of(&system.stains, Kind::Dashes).len(), 2, "{number}");
    }
    // A beat into the second line.
    let beats = 4 * systems[0].description.matches("bars 1 to").count() as u32;
    assert_eq!(beats, 4, "the description names the bars");
    let bars = systems[0].description.split("bars 1 to ").nth(1).unwrap();
    let bars: u32 = bars.split(':').next().unwrap().parse().unwrap();
    let systems = drawn(&score(4 * bars + 1), 60.0);
    assert_eq!(said(&systems[1]), Vec::<String>::new());
    assert_eq!(of(&systems[1].stains, Kind::Dashes).len(), 2);
}

#[test]
fn nothing_touches_and_nothing_leans_out_whatever_the_width() {
    for width in [35.0, 50.0, 70.0, 97.2, 140.0] {
        for drawing in drawn(&gallery::dashes(), width) {
            assert_eq!(words_on_ink(&drawing), [], "{width}");
            let staff = areas(&drawing.stains, Kind::StaffLine)[0];
            for area in areas(&drawing.stains, Kind::Dashes) {
                let within = staff.left <= area.left && area.right <= staff.right;
                assert!(within && area.right - area.left > 0.79, "{width} {area:?}");
            }
        }
    }
}

#[test]
fn dashes_that_are_moved_onto_other_ink_are_found() {
    let mut drawing = line("C4:q D4:q E4:q F4:q", "", "rit.@0-4");
    assert_eq!(words_on_ink(&drawing), []);
    let head: Rect = areas(&drawing.stains, Kind::Head)[2];
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::Dashes).unwrap();
    let area = apoyando_engrave::geometry::bounds(&stain.ink);
    let middle = (head.low + head.high) / 2.0;
    *stain = stain.clone().moved(0.0, middle - area.low);
    assert!(!words_on_ink(&drawing).is_empty());
}

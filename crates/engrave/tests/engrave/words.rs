//! Words of expression and tone.

use apoyando_engrave::geometry::{Rect, bounds, strips};
use apoyando_engrave::meter::words_on_ink;
use apoyando_engrave::{Drawing, Face, Ink, Kind, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_fretboard::Millimetres;
use apoyando_music::{Clef, Metre, Score};

use crate::ink::{areas, middles, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn drawn(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn line(voice: &str, said: &str) -> Drawing {
    drawn(&Sketch::new(0, Metre::COMMON, &[voice]).said(0, said).score(), 80.0).remove(0)
}

/// The words with the left end of their baseline.
fn words(drawing: &Drawing) -> Vec<(String, (f64, f64))> {
    let said = of(&drawing.stains, Kind::Expression).into_iter().map(|stain| match &stain.ink {
        Ink::Text { text, face: Face::Italic, at, .. } => (text.clone(), (at.x.0, at.y.0)),
        other => panic!("words are in italics, not {other:?}"),
    });
    said.collect()
}

/// Every strip of one stain with every strip of another.
fn nearest(one: &Stain, other: &Stain) -> f64 {
    let theirs = strips(&other.ink);
    let gaps =
        strips(&one.ink).into_iter().flat_map(|a| theirs.iter().map(move |b| a.distance(*b)));
    gaps.fold(f64::MAX, f64::min)
}

/// Common practice, no source: they begin at the head they hold from.
#[test]
fn words_begin_at_their_heads_on_the_side_asked_for() {
    for (said, above) in [("dolce@1", true), ("_dolce@1", false)] {
        for pitch in ["E2", "B3", "C5"] {
            let drawing = line(&format!("C4:q {pitch}:q r:h"), said);
            let [(text, (x, y))] = &words(&drawing)[..] else { panic!("one word") };
            let head = areas(&drawing.stains, Kind::Head)[1];
            assert_eq!(text, "dolce");
            assert!((x - head.left).abs() < 0.01, "{x} {head:?}");
            assert_eq!(*y > 0.0, above);
            let area = areas(&drawing.stains, Kind::Expression)[0];
            assert!(if above { area.low > 2.4 } else { area.high < -2.4 }, "{area:?}");
        }
    }
}

/// Half a space off everything else (house value).
#[test]
fn words_keep_clear_of_other_ink() {
    let voice = "C4:q D4:q E2:q F2:8 G2:8 | C5:q! E5:q( G4:q) D4:q% | C4:w";
    let drawing =
        line(voice, "dolce@0 | metálico y seco@4 | rit.@6 | _cresc.@1 | _poco a poco@3 | _dim.@8");
    let mut checked = 0;
    let all = &drawing.stains;
    for stain in of(all, Kind::Expression) {
        for other in all.iter().filter(|s| s.kind != Kind::Expression) {
            checked += 1;
            let gap = nearest(stain, other);
            assert!(gap >= 0.44, "{:?} {gap} {:?}", stain.ink, other.kind);
        }
    }
    assert!(checked > 100);
    assert_eq!(faults::all(&drawing, 80.0), []);
}

#[test]
fn words_near_one_another_have_one_baseline() {
    let drawing = line("C4:q A4:q C5:q F4:q | C4:w", "dolce@0 | pont.@2 | tasto@4");
    let heights: Vec<f64> = words(&drawing).iter().map(|word| word.1.1).collect();
    assert_eq!(heights.len(), 3);
    assert!(heights.iter().all(|y| *y == heights[0]), "{heights:?}");
    // Those below have that of the dynamics.
    let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:q D4:q E2:q F4:q | C4:w"]);
    let score = sketch.loud(0, "p@0 f@4").said(0, "_cresc.@1").score();
    let drawing = drawn(&score, 80.0).remove(0);
    let letters = of(&drawing.stains, Kind::Dynamic).into_iter().map(|stain| match stain.ink {
        Ink::Glyph { at, .. } => at.y.0,
        _ => panic!("a glyph"),
    });
    let below = words(&drawing)[0].1.1;
    assert_eq!(letters.collect::<Vec<_>>(), [below, below]);
}

/// Words of one moment go after its dynamic; a hairpin goes on after words.
#[test]
fn words_stand_among_dynamics_and_hairpins() {
    let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:h D4:h | C4:w"]);
    let score = sketch.loud(0, "p@0 <0-4 f@4").said(0, "_dolce@0").score();
    let drawing = drawn(&score, 80.0).remove(0);
    let dolce = areas(&drawing.stains, Kind::Expression)[0];
    let dynamics = areas(&drawing.stains, Kind::Dynamic);
    let hairpin = areas(&drawing.stains, Kind::Hairpin)[0];
    assert!((dolce.left - dynamics[0].right - 0.5).abs() < 0.01, "{dolce:?} {dynamics:?}");
    assert!((hairpin.left - dolce.right - 0.5).abs() < 0.1, "{dolce:?} {hairpin:?}");
    assert!((dynamics[1].left - hairpin.right - 0.5).abs() < 0.1);
}

/// What does not fit beside others stands over them, and nothing leans out of the
/// line.
#[test]
fn crowded_words_stand_over_one_another() {
    let drawing = line("C4:q D4:q r:h", "dolce e molto espressivo@0 | pizzicato@1");
    let [first, second] = areas(&drawing.stains, Kind::Expression)[..] else { panic!("two") };
    assert!(second.low > first.high, "{first:?} {second:?}");
    let score = Sketch::new(0, Metre::COMMON, &["C4:8 D4:8 E4:8 F4:8 G4:8 A4:8 B4:8 C5:8"])
        .said(0, "étouffé, muy seco@7/2")
        .score();
    let drawing = drawn(&score, 40.0).remove(0);
    let staff = areas(&drawing.stains, Kind::StaffLine)[0];
    let word = areas(&drawing.stains, Kind::Expression)[0];
    assert!(word.right <= staff.right + 0.01, "{word:?} {staff:?}");
}

/// Words are not spread over the lines they do not stand on.
#[test]
fn every_word_stands_once() {
    for width in [40.0, 60.0, 97.2, 140.0] {
        let systems = drawn(&gallery::words(), width);
        let mut said: Vec<String> = systems.iter().flat_map(words).map(|word| word.0).collect();
        said.sort();
        let mut wanted: Vec<String> =
            gallery::words().parts()[0].words.iter().map(|w| w.text.clone()).collect();
        wanted.sort();
        assert_eq!(said, wanted);
        // A tempo stays outside of them, in bold.
        let tempo = of(&systems[0].stains, Kind::Tempo);
        assert!(matches!(&tempo[0].ink, Ink::Text { face: Face::Bold, .. }));
        let dolce = areas(&systems[0].stains, Kind::Expression)[0];
        assert!(bounds(&tempo[0].ink).low > dolce.high || dolce.high < 0.0);
    }
}

#[test]
fn every_staff_has_its_own_and_joined_barlines_are_interrupted() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:h D4:h | C4:w"])
        .part("", Clef::Guitar, &["C4:h D4:h | C4:w"])
        .said(0, "_cresc. poco a poco@2")
        .said(1, "pizz.@0")
        .score();
    let drawing = drawn(&score, 80.0).remove(0);
    let [first, second] = middles(&drawing.stains)[..] else { panic!("two staves") };
    let all = areas(&drawing.stains, Kind::Expression);
    let between = |area: &Rect| area.high < first - 2.0 && area.low > second + 2.0;
    assert!(all.len() == 2 && all.iter().all(between), "{all:?}");
    let lines = areas(&drawing.stains, Kind::BarLine);
    assert!(lines.iter().any(|line| line.meets(all[0])), "it tests nothing");
    let white = areas(&drawing.stains, Kind::Halo)[0];
    assert!(white.left < all[0].left && all[0].right < white.right);
    assert!(white.low <= all[0].low && all[0].high <= white.high);
}

/// Seven points on paper, whatever the staff.
#[test]
fn words_are_never_smaller_than_seven_points() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:w"]).said(0, "dolce@0").score();
    for (staff, points) in [(3.0, 7.0), (4.0, 7.0), (7.2, 10.2)] {
        let style = Style::on_paper(Millimetres(175.0), Millimetres(staff));
        let drawing = engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing;
        let Ink::Text { size, .. } = &of(&drawing.stains, Kind::Expression)[0].ink else {
            panic!("text")
        };
        let em = size.0 * staff / 4.0 / 25.4 * 72.0;
        assert!((em - points).abs() < 0.01, "{staff} mm: {em} pt");
    }
}

#[test]
fn words_that_are_moved_onto_other_ink_are_found() {
    let mut drawing = drawn(&gallery::words(), 97.2).remove(0);
    assert_eq!(words_on_ink(&drawing), []);
    let head = areas(&drawing.stains, Kind::Head)[0];
    let stain = drawing.stains.iter_mut().find(|stain| stain.kind == Kind::Expression).unwrap();
    let area = bounds(&stain.ink);
    *stain = stain.clone().moved(head.left - area.left, head.low - area.low);
    assert!(!words_on_ink(&drawing).is_empty());
}

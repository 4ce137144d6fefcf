//! Dynamics, hairpins, tenuto lines and notes that ring on.

use apoyando_engrave::geometry::{Rect, bounds, strips};
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_fretboard::StringNumber;
use apoyando_marks::{LeftMark, Marks, StringMark};
use apoyando_music::{Clef, Dynamic, Metre, Score};

use crate::ink::{areas, middles, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

/// A bar that leaves no room for another on a short line.
const EIGHTHS: &str = "C4:8 D4:8 E4:8 F4:8 G4:8 F4:8 E4:8 D4:8";

fn systems(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn drawn(voices: &[&str], loud: &str) -> Drawing {
    let score = Sketch::new(0, Metre::COMMON, voices).loud(0, loud).score();
    systems(&score, 80.0).remove(0)
}

/// The two strokes of every piece of a hairpin: its ends and how far the strokes
/// stand apart there.
fn wedges(drawing: &Drawing) -> Vec<((f64, f64), (f64, f64))> {
    let strokes: Vec<[(f64, f64); 2]> = of(&drawing.stains, Kind::Hairpin)
        .into_iter()
        .map(|stain| match stain.ink {
            Ink::Line { from, to, .. } => [(from.x.0, from.y.0), (to.x.0, to.y.0)],
            _ => panic!("a hairpin is made of strokes"),
        })
        .collect();
    strokes
        .chunks(2)
        .map(|pair| {
            let [upper, lower] = [pair[0], pair[1]];
            assert_eq!((upper[0].0, upper[1].0), (lower[0].0, lower[1].0));
            ((upper[0].0, upper[0].1 - lower[0].1), (upper[1].0, upper[1].1 - lower[1].1))
        })
        .collect()
}

fn baselines(drawing: &Drawing) -> Vec<f64> {
    let glyph = |stain: &&Stain| match stain.ink {
        Ink::Glyph { at, .. } => at.y.0,
        _ => panic!("a dynamic is a glyph"),
    };
    of(&drawing.stains, Kind::Dynamic).iter().map(glyph).collect()
}

fn middle(area: Rect) -> f64 {
    f64::midpoint(area.left, area.right)
}

/// Common practice, no source: below the staff of a single part, centred under
/// the head.
#[test]
fn dynamics_stand_centred_under_their_heads() {
    for dynamic in Dynamic::ALL {
        for pitch in ["E2", "B3", "E5"] {
            let voice = format!("{pitch}:h r:h");
            let drawing = drawn(&[&voice], &format!("{dynamic}@0"));
            let area = areas(&drawing.stains, Kind::Dynamic)[0];
            let head = areas(&drawing.stains, Kind::Head)[0];
            assert!((middle(area) - middle(head)).abs() < 0.01, "{dynamic} {pitch}");
            assert!(area.high < -2.0, "{dynamic} {pitch}: {area:?}");
        }
    }
}

/// Half a space off everything else (house value).
#[test]
fn dynamics_and_hairpins_keep_clear_of_other_ink() {
    for voices in
        [&["C4:q D4:q E2:q F2:8 G2:8 | C5:w"][..], &["E4:h G4:h | R", "E2:q;! F2:q A2:h~ | A2:w"]]
    {
        let drawing = drawn(voices, "p@0 <1-3 fff@3 >4-6");
        let mut checked = 0;
        for stain in drawing.stains.iter().filter(|s| is_loudness(s.kind)) {
            for other in drawing.stains.iter().filter(|s| !is_loudness(s.kind)) {
                for (a, b) in pairs(stain, other) {
                    checked += 1;
                    assert!(
                        a.distance(b) >= 0.49,
                        "{:?} {a:?} and {:?} {b:?}",
                        stain.kind,
                        other.kind
                    );
                }
            }
        }
        assert!(checked > 100);
    }
}

/// Every strip of one stain with every strip of another.
fn pairs(one: &Stain, other: &Stain) -> Vec<(Rect, Rect)> {
    let theirs = strips(&other.ink);
    let with = |a| theirs.iter().map(move |b| (a, *b));
    strips(&one.ink).into_iter().flat_map(with).collect()
}

const fn is_loudness(kind: Kind) -> bool {
    matches!(kind, Kind::Dynamic | Kind::Hairpin)
}

#[test]
fn what_follows_has_one_baseline() {
    let drawing = drawn(&["C4:q D4:q E2:q F4:q | C4:w"], "p@0 <0-2 f@2 >2-4 pp@4");
    let baselines = baselines(&drawing);
    assert_eq!(baselines.len(), 3);
    assert!(baselines.iter().all(|y| *y == baselines[0]), "{baselines:?}");
    // A hairpin lies in the middle of the letters.
    let letters = areas(&drawing.stains, Kind::Dynamic)[0];
    for pair in areas(&drawing.stains, Kind::Hairpin).chunks(2) {
        let area = pair[0].join(pair[1]);
        let height = f64::midpoint(area.low, area.high);
        assert!(letters.low < height && height < letters.high);
        assert!((height - baselines[0] - 0.5).abs() < 0.01);
    }
}

/// A point at the closed end, 1.3 at the open one, the stroke of the font, half a
/// space off the letters.
#[test]
fn hairpins_run_between_dynamics() {
    let drawing = drawn(&["C4:q D4:q E4:q F4:q | C4:w"], "p@0 <0-2 f@2 >2-4 pp@4");
    let letters = areas(&drawing.stains, Kind::Dynamic);
    let wedges = wedges(&drawing);
    let [grows, fades] = wedges[..] else { panic!("{wedges:?}") };
    for (wedge, pair) in [grows, fades].iter().zip(letters.windows(2)) {
        assert!((wedge.0.0 - pair[0].right - 0.5).abs() < 0.01, "{wedge:?}");
        assert!((pair[1].left - wedge.1.0 - 0.5).abs() < 0.01, "{wedge:?}");
    }
    let mouths = [grows.0.1, grows.1.1, fades.0.1, fades.1.1];
    for (mouth, wanted) in mouths.into_iter().zip([0.0, 1.3, 1.3, 0.0]) {
        assert!((mouth - wanted).abs() < 1e-9, "{mouths:?}");
    }
    let Ink::Line { thickness, .. } = of(&drawing.stains, Kind::Hairpin)[0].ink else {
        panic!("a stroke")
    };
    assert_eq!(thickness.0, 0.16);
}

/// Neighbours so close that there is hardly room push one another away.
#[test]
fn a_short_hairpin_is_seen() {
    let drawing = drawn(&["C4:16 D4:16 E4:16 F4:16 C4:q C4:h"], "mf@0 <0-1/4 ff@1/4 p@1/2");
    let [wedge] = wedges(&drawing)[..] else { panic!("one hairpin") };
    assert!(wedge.1.0 - wedge.0.0 >= 2.0 - 0.01, "{wedge:?}");
    let letters = areas(&drawing.stains, Kind::Dynamic);
    for pair in letters.windows(2) {
        assert!(pair[1].left - pair[0].right >= 0.49, "{letters:?}");
    }
    for (letter, head) in letters.iter().zip(areas(&drawing.stains, Kind::Head)) {
        assert!((middle(*letter) - middle(head)).abs() < 0.01);
    }
}

#[test]
fn a_dynamic_inside_a_hairpin_breaks_it() {
    let drawing = drawn(&["C4:q D4:q E4:q F4:q | C4:w"], "<0-4 sfz@2");
    let wedges = wedges(&drawing);
    let [before, after] = wedges[..] else { panic!("{wedges:?}") };
    let letters = areas(&drawing.stains, Kind::Dynamic)[0];
    assert!((letters.left - before.1.0 - 0.5).abs() < 0.01);
    assert!((after.0.0 - letters.right - 0.5).abs() < 0.01);
    let slope = |wedge: ((f64, f64), (f64, f64))| (wedge.1.1 - wedge.0.1) / (wedge.1.0 - wedge.0.0);
    assert!((slope(before) - slope(after)).abs() < 1e-9);
    assert_eq!(before.0.1, 0.0);
}

/// Common practice, no source: over a line break it goes to the end of the staff
/// and opens on from a mouth that is partly open.
#[test]
fn a_broken_hairpin_stands_on_both_lines() {
    let voice = [EIGHTHS; 4].join(" | ");
    for (sign, grows) in [("<", true), (">", false)] {
        let loud = format!("p@0 {sign}1-13 f@13");
        let score = Sketch::new(0, Metre::COMMON, &[&voice]).loud(0, &loud).score();
        let systems = systems(&score, 30.0);
        assert!(systems.len() >= 3);
        let pieces: Vec<_> = systems.iter().map(wedges).collect();
        let mut open = if grows { 0.0 } else { 1.3 };
        for (at, (drawing, wedges)) in systems.iter().zip(&pieces).enumerate() {
            let [wedge] = wedges[..] else { panic!("one piece on every line: {pieces:?}") };
            let (first, last) = (at == 0, at + 1 == systems.len());
            assert!((wedge.0.1 - open).abs() < 1e-9, "{pieces:?}");
            open = wedge.1.1;
            assert!(if grows { open > wedge.0.1 } else { open < wedge.0.1 } || !(first || last));
            let staff = areas(&drawing.stains, Kind::StaffLine)[0];
            if !last {
                assert!((0.3..=1.0).contains(&open), "{open}");
                assert!(staff.right - wedge.1.0 < 0.3, "{wedge:?} {staff:?}");
            }
            let head = areas(&drawing.stains, Kind::Head)[0];
            assert!(first || wedge.0.0 < head.left, "{wedge:?}");
        }
        assert!((open - if grows { 1.3 } else { 0.0 }).abs() < 1e-9);
    }
}

/// What ends with a bar stays in it where no dynamic follows; a dynamic at the
/// beginning of a line is not on the line before.
#[test]
fn ends_of_bars_and_lines() {
    let drawing = drawn(&["C4:h D4:h | E4:w"], "<0-4");
    let [wedge] = wedges(&drawing)[..] else { panic!("one hairpin") };
    let line = areas(&drawing.stains, Kind::BarLine)[0];
    assert!(line.left - wedge.1.0 >= 0.49, "{wedge:?} {line:?}");
    let voice = [EIGHTHS; 2].join(" | ");
    let score = Sketch::new(0, Metre::COMMON, &[&voice]).loud(0, "p@0 <1-4 f@4").score();
    let systems = systems(&score, 30.0);
    assert_eq!(systems.len(), 2);
    let counts = |kind| systems.iter().map(|s| of(&s.stains, kind).len()).collect::<Vec<_>>();
    assert_eq!(counts(Kind::Dynamic), [1, 1]);
    assert_eq!(counts(Kind::Hairpin), [2, 0]);
}

/// Every note with a digit, the letter p and its string: what stands below the
/// staff in the lower of two voices.
fn everything(score: &Score) -> Vec<Marks> {
    let marks = |part| {
        let mut marks = Marks::none(part, score.notes().len());
        for note in score.notes().iter().filter(|note| note.part == part) {
            let at = note.id.0 as usize;
            marks.left[at] = Some(LeftMark::plain(Some(LeftFinger::ALL[at % 4])));
            let lower = note.voice.0 == 2;
            marks.right[at] = Some(if lower { RightFinger::P } else { RightFinger::I });
            if at.is_multiple_of(3) {
                let string = StringNumber::new(5).unwrap();
                marks.strings.push(StringMark { string, from: note.id, to: note.id });
            }
        }
        marks
    };
    score.part_indices().map(marks).collect()
}

#[test]
fn dynamics_stand_outside_of_the_fingering() {
    let upper = "E4:q. F4:8 E4:h | D4:q. E4:8 D4:h";
    let lower = "A2:q C3:q E2:h | G2:q B2:q G2:h";
    let score =
        Sketch::new(0, Metre::COMMON, &[upper, lower]).loud(0, "mf@0 <1-4 f@4 >5-8").score();
    let marks = everything(&score);
    let sheet = Sheet { marks: &marks, ..Sheet::bare(&score) };
    let drawing = engrave(&sheet, &Style::default()).systems.remove(0).drawing;
    let fingering = [Kind::LeftDigit, Kind::RightLetter, Kind::StringCircle];
    let mut below = [0; 3];
    for loud in drawing.stains.iter().filter(|stain| is_loudness(stain.kind)) {
        let area = bounds(&loud.ink);
        for (kind, below) in fingering.iter().zip(&mut below) {
            for mark in of(&drawing.stains, *kind) {
                for (a, b) in pairs(loud, mark) {
                    assert!(a.distance(b) >= 0.49, "{:?} {a:?}, {kind:?} {b:?}", loud.kind);
                }
                let mark = bounds(&mark.ink);
                if mark.high < -2.0 && area.left < mark.right && mark.left < area.right {
                    assert!(area.high < mark.low, "{area:?} {kind:?} {mark:?}");
                    *below += 1;
                }
            }
        }
    }
    assert!(below.iter().all(|count| *count > 0), "{below:?}");
}

#[test]
fn every_staff_has_its_own() {
    let drawing = systems(&gallery::dynamics_of_two(), 97.2).remove(0);
    let middles = middles(&drawing.stains);
    let [first, second] = middles[..] else { panic!("two staves") };
    let of_first = |area: &&Rect| area.high < first - 2.0 && area.low > second + 2.0;
    let letters = areas(&drawing.stains, Kind::Dynamic);
    assert_eq!(letters.len(), 5);
    assert_eq!(letters.iter().filter(of_first).count(), 3);
    assert_eq!(letters.iter().filter(|area| area.high < second - 2.0).count(), 2);
}

/// A dynamic late in a bar of rest, over the barline that joins two staves.
#[test]
fn a_joined_barline_does_not_go_through_letters() {
    let score = Sketch::new(0, Metre::new(2, 4), &["R | C4:h"])
        .part("", Clef::Guitar, &["C4:h | R"])
        .loud(0, "ppp@7/4")
        .score();
    let drawing = systems(&score, 60.0).remove(0);
    let letters = areas(&drawing.stains, Kind::Dynamic)[0];
    let lines = areas(&drawing.stains, Kind::BarLine);
    assert!(lines.iter().any(|line| line.meets(letters)), "it tests nothing");
    let place = |kind| drawing.stains.iter().rposition(|stain| stain.kind == kind).unwrap();
    let white = areas(&drawing.stains, Kind::Halo)[0];
    assert!(white.left < letters.left && letters.right < white.right);
    assert!(white.low <= letters.low && letters.high <= white.high);
    assert!(place(Kind::Halo) < place(Kind::Dynamic));
    let joint = |stain: &Stain| stain.kind == Kind::BarLine && bounds(&stain.ink).meets(letters);
    assert!(drawing.stains.iter().rposition(joint).unwrap() < place(Kind::Halo));
}

/// From the head outwards: staccato, tenuto, accent, in spaces of the staff.
#[test]
fn a_tenuto_line_stands_between_dot_and_accent() {
    for (voice, side) in [("C4:h->' r:h", 1.0), ("F3:h'>- r:h", -1.0)] {
        let drawing = drawn(&[voice], "");
        let marks = areas(&drawing.stains, Kind::Articulation);
        assert_eq!(marks.len(), 3);
        let head = areas(&drawing.stains, Kind::Head)[0];
        let mut before = head;
        for mark in &marks {
            let apart = if side > 0.0 { mark.low - before.high } else { before.low - mark.high };
            assert!(apart >= 0.2, "{voice}: {marks:?}");
            before = *mark;
        }
        assert!(marks[1].width() > 1.3 && marks[1].height() < 0.2, "the line is in the middle");
    }
    for pitch in ["C4", "B3", "A3", "E4", "G3"] {
        let drawing = drawn(&[&format!("{pitch}:h- r:h")], "");
        let line = areas(&drawing.stains, Kind::Articulation)[0];
        let height = f64::midpoint(line.low, line.high);
        assert!(height.abs() > 2.0 || (height.rem_euclid(1.0) - 0.5).abs() < 0.01, "{pitch}");
    }
}

/// One short tie out of every head, 2 long, where a tie would begin.
#[test]
fn notes_that_ring_on_have_a_tie_into_nothing() {
    for (ringing, tied) in
        [("C4:8; D4:8 r:q", "C4:8~ C4:8 r:q"), ("E3+G3+C4:q.; C#4:8", "E3+G3+C4:q.~ E3+G3+C4:8")]
    {
        let draw = |voice: &str| {
            systems(&Sketch::new(0, Metre::new(2, 4), &[voice]).score(), 80.0).remove(0)
        };
        let (ringing, tied) = (draw(ringing), draw(tied));
        let (rings, ties) = (areas(&ringing.stains, Kind::Tie), areas(&tied.stains, Kind::Tie));
        assert_eq!(rings.len(), ties.len());
        let head = areas(&ringing.stains, Kind::Head)[0];
        for (ring, tie) in rings.iter().zip(&ties) {
            assert!((ring.width() - 2.0).abs() < 0.1, "{ring:?}");
            assert!(ring.left > head.right + 0.1, "{ring:?}");
            assert!((ring.left - tie.left).abs() < 0.05, "{ring:?} {tie:?}");
            let (up, wanted) = (ring.high + ring.low, tie.high + tie.low);
            assert!((up - wanted).abs() < 0.6, "{ring:?} {tie:?}");
        }
        assert_eq!(faults::all(&ringing, 80.0), []);
    }
}

//! Lyrics.

use apoyando_engrave::font::text_outline;
use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::words_on_ink;
use apoyando_engrave::{Drawing, Face, Ink, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_fretboard::Millimetres;
use apoyando_music::{ELISION, Metre, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn drawn(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn sung(voice: &str, verses: &[&str], width: f64) -> Vec<Drawing> {
    let mut sketch = Sketch::new(0, Metre::COMMON, &[voice]);
    for (text, verse) in verses.iter().zip(1..) {
        sketch.sung((0, 0), verse, text);
    }
    drawn(&sketch.score(), width)
}

/// Syllables and hyphens with the left ends of their baselines and their widths.
fn written(drawing: &Drawing) -> Vec<(String, (f64, f64), f64)> {
    let texts = of(&drawing.stains, Kind::Lyric).into_iter().map(|stain| match &stain.ink {
        Ink::Text { text, face: Face::Regular, at, width, .. } => {
            (text.clone(), (at.x.0, at.y.0), width.0)
        }
        other => panic!("lyrics are upright text, not {other:?}"),
    });
    texts.collect()
}

/// Common practice, no source: syllables are centred, held ones begin with their head.
#[test]
fn syllables_stand_under_their_heads() {
    let drawing = sung("C4:q D4:q E4:q F4:q", &["La through _ strength"], 60.0).remove(0);
    let heads = areas(&drawing.stains, Kind::Head);
    let all = written(&drawing);
    let [la, through, strength] = &all[..] else { panic!("{all:?}") };
    for ((_, (x, _), width), head) in [(la, heads[0]), (strength, heads[3])] {
        let off = x + width / 2.0 - f64::midpoint(head.left, head.right);
        assert!(off.abs() < 0.02, "{off}");
    }
    assert!((through.1.0 - heads[1].left).abs() < 0.01);
}

/// Each verse has a baseline, 1.2 times the em under the one above, and none touches
/// what stands above it by half a space.
#[test]
fn verses_have_their_own_baselines_under_the_dynamics() {
    let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:q E2:q E4:q F4:q | C4:w"]);
    sketch.loud(0, "p@0 <1-4 f@4").said(0, "_dolce@1");
    for (verse, text) in [(1, "one two three four five"), (2, "six * * ten"), (3, "a b c d e")] {
        sketch.sung((0, 0), verse, text);
    }
    let drawing = drawn(&sketch.score(), 80.0).remove(0);
    let mut levels: Vec<f64> = written(&drawing).iter().map(|(_, (_, y), _)| *y).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    assert_eq!(levels.len(), 3, "{levels:?}");
    for pair in levels.windows(2) {
        assert!((pair[1] - pair[0] - 2.4).abs() < 1e-9, "{levels:?}");
    }
    let top = areas(&drawing.stains, Kind::Lyric).iter().map(|a| a.high).fold(f64::MIN, f64::max);
    for kind in [Kind::Dynamic, Kind::Hairpin, Kind::Expression, Kind::LedgerLine] {
        let all = areas(&drawing.stains, kind);
        let low = all.iter().map(|area| area.low).fold(f64::MAX, f64::min);
        assert!(low - top >= 0.5, "{kind:?} {low} {top}");
    }
}

/// What stands on one baseline, from left to right.
fn rows(drawing: &Drawing) -> Vec<Vec<Rect>> {
    let mut all: Vec<(f64, Rect)> = of(&drawing.stains, Kind::Lyric)
        .into_iter()
        .map(|stain| match &stain.ink {
            Ink::Text { at, .. } => (at.y.0, bounds(&stain.ink)),
            _ => panic!("text"),
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.left.total_cmp(&b.1.left)));
    let rows = all.chunk_by(|a, b| a.0 == b.0);
    rows.map(|row| row.iter().map(|(_, area)| *area).collect()).collect()
}

/// Notes make room: words are .36 of the em apart at least (house value), hyphens
/// have their room and syllables stay between the ends of the line.
#[test]
fn syllables_do_not_touch() {
    let voice = "C4:16 D4:16 E4:16 F4:16 G4:8 F4:8 E4:q D4:q | C4:8 D4:8 E4:8 F4:8 G4:q r:q";
    let words = "strengths through thought brought wand- ring streams. Ah brought thoughts of strengths through";
    for width in [75.0, 90.0, 120.0] {
        for drawing in sung(voice, &[words], width) {
            let staff = areas(&drawing.stains, Kind::StaffLine)[0];
            for row in rows(&drawing) {
                for pair in row.windows(2) {
                    let gap = pair[1].left - pair[0].right;
                    assert!(gap >= 0.05, "{width}: {gap}");
                }
                assert!(row[0].left >= staff.left - 0.01);
                assert!(row[row.len() - 1].right <= staff.right + 0.01);
            }
            let syllables: Vec<_> =
                written(&drawing).into_iter().filter(|(text, ..)| text != "-").collect();
            for pair in syllables.windows(2) {
                let gap = pair[1].1.0 - pair[0].1.0 - pair[0].2;
                assert!(gap >= 0.71, "{width}: {:?} {:?} {gap}", pair[0].0, pair[1].0);
            }
            assert_eq!(faults::all(&drawing, width), []);
        }
    }
}

/// In the middle of its gap; several in a long one; at the end of a line and before
/// the first syllable of the next.
#[test]
fn hyphens_part_the_syllables_of_a_word() {
    let drawing = sung("C4:h D4:h", &["glo- ria"], 60.0).remove(0);
    let all = written(&drawing);
    let [glo, ria, hyphen] = &all[..] else { panic!("{all:?}") };
    assert_eq!(hyphen.0, "-");
    let middle = f64::midpoint(glo.1.0 + glo.2, ria.1.0);
    assert!((hyphen.1.0 + hyphen.2 / 2.0 - middle).abs() < 0.01);
    assert_eq!(hyphen.1.1, glo.1.1);
    let long = sung("C4:q D4:q E4:q F4:q | E4:h D4:q C4:q", &["glo- _ _ _ _ _ ria"], 70.0);
    let hyphens: Vec<f64> = written(&long[0])
        .into_iter()
        .filter(|(text, ..)| text == "-")
        .map(|(_, (x, _), _)| x)
        .collect();
    assert!(hyphens.len() > 1);
    assert!(hyphens.windows(2).all(|pair| (8.0..16.0).contains(&(pair[1] - pair[0]))));
    let voice = ["C4:8 D4:8 E4:8 F4:8 G4:8 F4:8 E4:8 D4:8"; 2].join(" | ");
    let words = "la la la la la la la glo- ria la";
    let lines = sung(&voice, &[words], 40.0);
    assert_eq!(lines.len(), 2);
    let hyphens = |drawing: &Drawing| -> Vec<f64> {
        let all = written(drawing).into_iter().filter(|(text, ..)| text == "-");
        all.map(|(_, (x, _), _)| x).collect()
    };
    let ([last], [first]) = (&hyphens(&lines[0])[..], &hyphens(&lines[1])[..]) else {
        panic!("one at each side of the break")
    };
    assert!(*last > areas(&lines[0].stains, Kind::Head)[7].right);
    assert!(*first < areas(&lines[1].stains, Kind::Head)[0].left);
}

/// From a quarter space after the word to the end of the last head it is held over
/// (house value), on both sides of a break to the ends of the line.
#[test]
fn lines_show_how_long_a_word_is_held() {
    let drawing = sung("C4:q D4:q E4:q F4:q | C4:w", &["ah _ _ oh"], 60.0).remove(0);
    let heads = areas(&drawing.stains, Kind::Head);
    let [line] = areas(&drawing.stains, Kind::LyricLine)[..] else { panic!("one line") };
    let ah = &written(&drawing)[0];
    assert!((line.left - (ah.1.0 + ah.2) - 0.25).abs() < 0.01);
    assert!((line.right - heads[2].right).abs() < 0.01, "{line:?} {:?}", heads[2]);
    assert!((line.height() - 0.13).abs() < 1e-9 && (line.low - ah.1.1).abs() < 1e-9);
    let voice = ["C4:8 D4:8 E4:8 F4:8 G4:8 F4:8 E4:8 D4:8"; 3].join(" | ");
    let words = ["la la la la la la ah _", &["_"; 8].join(" "), "_ _ oh"].join(" ");
    let lines = sung(&voice, &[&words], 30.0);
    assert_eq!(lines.len(), 3);
    for (number, drawing) in lines.iter().enumerate() {
        let [line] = areas(&drawing.stains, Kind::LyricLine)[..] else { panic!("{number}") };
        let staff = areas(&drawing.stains, Kind::StaffLine)[0];
        let heads = areas(&drawing.stains, Kind::Head);
        let to = if number < 2 { staff.right } else { heads[1].right };
        assert!((line.right - to).abs() < 0.3, "{number} {line:?}");
        assert!(number == 0 || line.left < heads[0].left, "{number} {line:?}");
    }
}

/// Syllables bound on one note show the tie between them.
#[test]
fn the_face_has_the_sign_of_elision() {
    assert!(text_outline(Face::Regular, 10.0, &ELISION.to_string()).len() > 4);
    let words = format!("far{ELISION}and wide");
    let drawing = sung("C4:h D4:h", &[&words], 60.0).remove(0);
    assert_eq!(written(&drawing)[0].0, format!("far{ELISION}and"));
}

/// Seven points on paper, whatever the staff.
#[test]
fn lyrics_are_never_smaller_than_seven_points() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:w"]).sung((0, 0), 1, "la").score();
    for (staff, points) in [(3.0, 7.0), (4.0, 7.0), (7.2, 10.2)] {
        let style = Style::on_paper(Millimetres(175.0), Millimetres(staff));
        let drawing = engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing;
        let Ink::Text { size, .. } = &of(&drawing.stains, Kind::Lyric)[0].ink else {
            panic!("text")
        };
        let em = size.0 * staff / 4.0 / 25.4 * 72.0;
        assert!((em - points).abs() < 0.01, "{staff} mm: {em} pt");
    }
}

/// Every syllable is printed once, at every width.
#[test]
fn every_syllable_stands_once() {
    let score = gallery::song();
    for width in [45.0, 97.2, 140.0] {
        let all = drawn(&score, width);
        let count = all.iter().flat_map(written).filter(|(text, ..)| text != "-").count();
        let events = score.parts()[0].voices.iter().flat_map(|voice| voice.bars.iter().flatten());
        let lyrics = events.flat_map(|event| &event.lyrics);
        let wanted = lyrics.filter(|lyric| lyric.sung != apoyando_music::Sung::Held).count();
        assert_eq!(count, wanted);
    }
}

#[test]
fn lyrics_that_are_moved_onto_other_ink_are_found() {
    for kind in [Kind::Lyric, Kind::LyricLine] {
        let mut drawing = drawn(&gallery::song(), 140.0).remove(0);
        assert_eq!(words_on_ink(&drawing), []);
        let head = areas(&drawing.stains, Kind::Head)[0];
        let stain = drawing.stains.iter_mut().find(|stain| stain.kind == kind).unwrap();
        let area = bounds(&stain.ink);
        *stain = stain.clone().moved(head.left - area.left, head.low - area.low);
        assert!(!words_on_ink(&drawing).is_empty(), "{kind:?}");
    }
}

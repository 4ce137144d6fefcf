//! Long rests.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::{Drawing, Ink, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{BarIndex, Clef, DraftBar, Metre, Score};

use crate::ink::{areas, of};
use crate::scores::Sketch;
use crate::{faults, gallery};

fn drawn(score: &Score, width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    engrave(&Sheet::bare(score), &style).systems.into_iter().map(|s| s.drawing).collect()
}

/// The figures over long rests, staff by staff, with the bars these begin at.
fn figures(drawings: &[Drawing]) -> Vec<(u32, String)> {
    let mut found: Vec<(u32, f64, String)> = Vec::new();
    for stain in drawings.iter().flat_map(|drawing| of(&drawing.stains, Kind::LongRestFigure)) {
        let (Owner::Bar(BarIndex(bar)), Ink::Glyph { glyph, at, .. }) = (stain.owner, &stain.ink)
        else {
            panic!("a figure of a bar")
        };
        let digit = char::from_digit(u32::from(*glyph) - 0xE080, 10).unwrap();
        match found.last_mut() {
            Some((known, y, text)) if (*known, *y) == (bar, at.y.0) => text.push(digit),
            _ => found.push((bar, at.y.0, digit.to_string())),
        }
    }
    found.into_iter().map(|(bar, _, text)| (bar, text)).collect()
}

/// A note, bars of rest, a note; the first rest asks for so many bars.
fn resting(rests: usize, asked: u16, change: impl FnOnce(&mut [DraftBar])) -> Sketch {
    let voice = ["C4:w", &vec!["R"; rests].join(" | "), "C4:w"].join(" | ");
    let mut sketch = Sketch::new(0, Metre::COMMON, &[&voice]);
    sketch.bars(|bars| {
        bars[1].long_rest = Some(asked);
        change(bars);
    });
    sketch
}

#[test]
fn bars_asked_for_are_one_rest() {
    let score = resting(4, 4, |_| {}).score();
    let drawings = drawn(&score, 80.0);
    assert_eq!(figures(&drawings), [(1, "4".to_owned())]);
    let all = &drawings[0].stains;
    assert!(of(all, Kind::Rest).is_empty());
    // After a note, after the rest, at the end.
    assert_eq!(of(all, Kind::BarLine).len(), 3);
    let [left, right, middle] = areas(all, Kind::LongRest)[..] else { panic!("three pieces") };
    let whole = left.join(right).join(middle);
    assert!((whole.low + 1.08).abs() < 1e-9 && (whole.high - 1.048).abs() < 1e-9);
    assert!((middle.height() - 0.8).abs() < 1e-9);
    assert!(middle.left < left.right && right.left < middle.right);
    let lines = areas(all, Kind::BarLine);
    let white = [whole.left - lines[0].right, lines[1].left - whole.right];
    assert!(white.iter().all(|white| (white - 1.5).abs() < 0.01), "{white:?}");
    // The figure is centred, a space above the staff.
    let figure = areas(all, Kind::LongRestFigure)[0];
    let middle = |area: Rect| f64::midpoint(area.left, area.right);
    assert!((middle(figure) - middle(whole)).abs() < 0.1);
    assert!((figure.low - 3.0).abs() < 0.01, "{figure:?}");
    assert_eq!(faults::all(&drawings[0], 80.0), []);
}

#[test]
fn nothing_is_joined_that_is_not_asked_for() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:w | R | R | R | C4:w"]).score();
    let drawings = drawn(&score, 80.0);
    assert_eq!(figures(&drawings), []);
    assert_eq!(of(&drawings[0].stains, Kind::Rest).len(), 3);
}

/// Where another part plays, or something stands at a barline, the rest is cut.
#[test]
fn rests_are_joined_only_where_everybody_rests() {
    let play =
        resting(4, 4, |_| {}).part("", Clef::Guitar, &["C4:w | R | R | C4:w | R | C4:w"]).score();
    let on_both = [(1, "2".to_owned()), (1, "2".to_owned())];
    assert_eq!(figures(&drawn(&play, 120.0)), on_both);
    type Change = fn(&mut [DraftBar]);
    let changes: [Change; 6] = [
        |bars| bars[3].rehearsal = "A".to_owned(),
        |bars| bars[3].words = "Lento".to_owned(),
        |bars| bars[3].repeat_start = true,
        |bars| bars[2].repeat_end = Some(2),
        |bars| bars[3..].iter_mut().for_each(|bar| bar.metre = Metre::new(3, 4)),
        |bars| bars[2].end = apoyando_music::BarEnd::Double,
    ];
    for (number, change) in changes.into_iter().enumerate() {
        let mut sketch = if number == 4 {
            let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:w | R | R | R | R | C4:h."]);
            sketch.bars(|bars| bars[1].long_rest = Some(4));
            sketch
        } else {
            resting(4, 4, |_| {})
        };
        let score = sketch.bars(change).score();
        let two = [(1, "2".to_owned()), (3, "2".to_owned())];
        assert_eq!(figures(&drawn(&score, 120.0)), two, "{number}");
    }
    // More than there are.
    let score = resting(3, 9, |_| {}).score();
    assert_eq!(figures(&drawn(&score, 80.0)), [(1, "3".to_owned())]);
    // A dynamic at its beginning stands under it; one within cuts it.
    let loud = resting(4, 4, |_| {}).loud(0, "p@4 f@12").score();
    let two = [(1, "2".to_owned()), (3, "2".to_owned())];
    assert_eq!(figures(&drawn(&loud, 120.0)), two);
}

/// No line begins within one, and bars count on.
#[test]
fn bars_count_on_after_a_long_rest() {
    let score = gallery::long_rests();
    for width in [30.0, 45.0, 97.2] {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        let engraving = engrave(&Sheet::bare(&score), &style);
        let mut next = 0;
        for system in &engraving.systems {
            assert_eq!(system.bars.start, next);
            next = system.bars.end;
            assert!(!(4..15).contains(&system.bars.start), "{:?}", system.bars);
            for stain in of(&system.drawing.stains, Kind::BarNumber) {
                let Ink::Text { text, .. } = &stain.ink else { panic!("text") };
                assert_eq!(*text, (system.bars.start + 1).to_string());
            }
        }
        assert_eq!(next as usize, score.bars().len());
        let drawings: Vec<Drawing> = engraving.systems.into_iter().map(|s| s.drawing).collect();
        let wanted = [(3, "12"), (19, "3"), (22, "2")].map(|(at, text)| (at, text.to_owned()));
        assert_eq!(figures(&drawings), wanted);
    }
}

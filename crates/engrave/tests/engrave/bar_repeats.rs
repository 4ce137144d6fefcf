//! Bars printed as a sign for the one before.

use apoyando_engrave::geometry::bounds;
use apoyando_engrave::{
    Drawing, Kind, Owner, Sheet, StaffSpaces, Stain, Style, Tablature, engrave,
};
use apoyando_music::{BarIndex, Metre, NoteId, Score};

use crate::fretted;
use crate::gallery;
use crate::ink::{areas, of};
use crate::scores::Sketch;

fn drawn(score: &Score, style: &Style) -> Vec<Drawing> {
    let frettings = fretted::all(score);
    let sheet = Sheet { frettings: &frettings, ..Sheet::bare(score) };
    engrave(&sheet, style).systems.into_iter().map(|s| s.drawing).collect()
}

fn owners(drawings: &[Drawing]) -> Vec<u32> {
    let signs = drawings.iter().flat_map(|drawing| of(&drawing.stains, Kind::BarRepeat));
    let owner = |stain: &Stain| match stain.owner {
        Owner::Bar(BarIndex(bar)) => bar,
        _ => panic!("a sign of a bar"),
    };
    signs.map(owner).collect()
}

/// Common practice, no source: in the middle of the bar, on the middle of the staff.
#[test]
fn the_same_bar_is_a_sign_in_the_middle() {
    let score = gallery::bar_repeats();
    let style = Style { line_width: StaffSpaces(160.0), ..Style::default() };
    let drawings = drawn(&score, &style);
    // Bar 5 is asked for but is another.
    assert_eq!(owners(&drawings), [1, 2, 4, 6]);
    let all = &drawings[0].stains;
    let lines = areas(all, Kind::BarLine);
    for sign in areas(all, Kind::BarRepeat) {
        assert!((sign.low + 1.0).abs() < 1e-9 && (sign.high - 1.116).abs() < 1e-9);
        let left = lines.iter().filter(|line| line.right < sign.left);
        let left = left.map(|line| sign.left - line.right).fold(f64::MAX, f64::min);
        let right = lines.iter().filter(|line| line.left > sign.right);
        let right = right.map(|line| line.left - sign.right).fold(f64::MAX, f64::min);
        assert!((left - right).abs() < 0.01, "{left} {right}");
        assert!(left > 1.0);
    }
    // The heads of the other bars, and no others.
    let bar_of = |stain: &&Stain| match stain.owner {
        Owner::Note(NoteId(note)) => score.notes()[note as usize].bar.0,
        _ => panic!("a head of a note"),
    };
    let mut printed: Vec<u32> = of(all, Kind::Head).iter().map(bar_of).collect();
    printed.dedup();
    printed.sort_unstable();
    printed.dedup();
    assert_eq!(printed, [0, 3, 5, 7]);
}

#[test]
fn what_is_not_asked_for_is_printed() {
    let score = Sketch::new(0, Metre::COMMON, &["C4:h E4:h | C4:h E4:h"]).score();
    let drawings = drawn(&score, &Style::default());
    assert!(owners(&drawings).is_empty());
    assert_eq!(of(&drawings[0].stains, Kind::Head).len(), 4);
}

/// The score keeps the notes, and so do the hand and its figures elsewhere.
#[test]
fn tablature_has_the_sign_too() {
    let score = gallery::bar_repeats();
    let style =
        Style { line_width: StaffSpaces(160.0), tablature: Tablature::Under, ..Style::default() };
    let drawings = drawn(&score, &style);
    assert_eq!(owners(&drawings), [1, 2, 4, 6, 1, 2, 4, 6]);
    let signs = areas(&drawings[0].stains, Kind::BarRepeat);
    for pair in signs[..4].iter().zip(&signs[4..]) {
        let middle = |area: &apoyando_engrave::geometry::Rect| f64::midpoint(area.left, area.right);
        assert!((middle(pair.0) - middle(pair.1)).abs() < 0.01);
        assert!((pair.1.height() / pair.0.height() - 1.5).abs() < 1e-9);
    }
    let figures = of(&drawings[0].stains, Kind::TabFigure);
    assert!(figures.iter().all(|figure| {
        let area = bounds(&figure.ink);
        signs.iter().all(|sign| area.right < sign.left || sign.right < area.left)
    }));
}

/// An accidental of the bar that is repeated is taken back after it as after the bar
/// itself.
#[test]
fn courtesy_accidentals_outlive_a_repeated_bar() {
    let voice = "C#4:h E4:h | C#4:h E4:h | C4:h E4:h";
    let count = |again: &[u32]| {
        let score = Sketch::new(0, Metre::COMMON, &[voice]).again(0, again).score();
        of(&drawn(&score, &Style::default())[0].stains, Kind::Accidental).len()
    };
    assert_eq!(count(&[]), 3);
    assert_eq!(count(&[1]), 2);
}

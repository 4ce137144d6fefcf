//! Rhythm as it is seen: beams and distances.

use apoyando_engrave::geometry::Rect;
use apoyando_engrave::{Kind, Sheet, StaffSpaces, Stain, Style, engrave};
use apoyando_music::{Metre, Score};

use crate::ink::areas;
use crate::scores::Sketch;

fn stains(score: &Score, width: f64) -> Vec<Stain> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    let systems = engrave(&Sheet::bare(score), &style).systems;
    systems.into_iter().flat_map(|system| system.drawing.stains).collect()
}

/// Notes under each beam, stubs and second beams included, from left to right
/// and from the outermost beam inwards (common practice, no source).
#[test]
fn beams_follow_the_metre() {
    let cases: [(u8, u8, &str, &[usize]); 14] = [
        (4, 4, "C4:8 C4:8 C4:8 C4:8 C4:8 C4:8 C4:8 C4:8", &[4, 4]),
        (4, 4, "C4:q C4:8 C4:8 C4:8 C4:8 C4:q", &[2, 2]),
        (4, 4, "r:8 C4:8 C4:8 C4:8 C4:h", &[3]),
        (4, 4, "C4:8 C4:q C4:8 C4:h", &[]),
        (3, 4, "C4:8 C4:8 C4:8 C4:8 C4:8 C4:8", &[6]),
        (3, 4, "r:8 C4:8 C4:8 C4:8 C4:8 C4:8", &[5]),
        (3, 4, "C4:8 C4:8 r:8 C4:8 C4:8 C4:8", &[2, 2]),
        (3, 4, "C4:q C4:8 C4:8 C4:8 C4:8", &[2, 2]),
        (6, 8, "C4:8 C4:8 C4:8 C4:8 C4:8 C4:8", &[3, 3]),
        (6, 8, "C4:q C4:8 C4:8 C4:q", &[]),
        (5, 8, "C4:8 C4:8 C4:8 C4:8 C4:8", &[3, 2]),
        (2, 4, "C4:8. C4:16 C4:8 C4:8", &[2, 1, 2]),
        (2, 4, "C4:8 C4:16 C4:16 C4:16 C4:8 C4:16", &[3, 2, 3, 1, 1]),
        (3, 8, "C4:8 C4:8 C4:8", &[3]),
    ];
    for (count, unit, voice, wanted) in cases {
        let score = Sketch::new(0, Metre::new(count, unit), &[voice]).score();
        let stains = stains(&score, 90.0);
        let stems = areas(&stains, Kind::Stem);
        let mut beams = areas(&stains, Kind::Beam);
        // All stems point down here, so an outer beam is a lower one.
        beams.sort_by(|a, b| a.left.total_cmp(&b.left).then(a.low.total_cmp(&b.low)));
        let found: Vec<usize> = beams
            .iter()
            .map(|beam| {
                let under = |s: &&Rect| s.left > beam.left - 0.1 && s.right < beam.right + 0.1;
                stems.iter().filter(under).count()
            })
            .collect();
        let mut wanted = wanted.to_vec();
        let mut sorted = found.clone();
        // Stubs may begin left of their stem; only the counts are compared.
        sorted.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(sorted, wanted, "{count}/{unit} {voice}: {found:?}");
    }
}

/// Longer notes get more room: a constant factor for each doubling, between
/// 1.35 and 1.62 (Ross and Gould, from memory).
#[test]
fn distances_grow_evenly_with_length() {
    let voice = "C4:16 C4:16 C4:16 C4:16 C4:8 C4:8 C4:q C4:q | C4:h C4:h | C4:w | C4:q C4:q C4:h";
    let score = Sketch::new(0, Metre::COMMON, &[voice]).score();
    let width = 75.0;
    let heads = areas(&stains(&score, width), Kind::Head);
    let x: Vec<f64> = heads.iter().map(|head| head.left).collect();
    let distance = |from: usize| x[from + 1] - x[from];
    let (sixteenth, eighth, quarter) = (distance(0), distance(4), distance(11));
    let half = distance(8);
    for (short, long) in [(sixteenth, eighth), (eighth, quarter), (quarter, half)] {
        let factor = long / short;
        assert!((1.35..=1.62).contains(&factor), "{short} {long}: {factor}");
    }
    // Equal values are equally far apart.
    for pair in [(0, 1), (1, 2), (2, 3)] {
        assert!((distance(pair.0) - distance(pair.1)).abs() < 0.02);
    }
}

/// No line of a piece with even bars is much looser than its neighbour.
/// A voice that comes in after a silence that is not printed stands as far after the first
/// bass as its notes from one another, whatever the bass lasts.
#[test]
fn a_silence_that_is_not_printed_takes_its_time() {
    let upper = "x:8 G3:8 C4:8 E4:8 C4:8 G3:8 | x:8 G3:8 C4:8 E4:8 C4:8 G3:8";
    let score = Sketch::new(0, Metre::new(3, 4), &[upper, "C3:h. | C3:h."]).score();
    let mut heads: Vec<f64> =
        areas(&stains(&score, 60.0), Kind::Head).iter().map(|head| head.left).collect();
    heads.sort_by(f64::total_cmp);
    let apart: Vec<f64> = heads[..6].windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert!(apart.iter().all(|x| (x / apart[1] - 1.0).abs() < 0.05), "{apart:?}");
}

#[test]
fn neighbouring_lines_are_alike() {
    let voice = vec!["C4:q D4:q E4:8 F4:8 G4:q"; 24].join("|");
    let score = Sketch::new(0, Metre::COMMON, &[&voice]).score();
    let systems = engrave(&Sheet::bare(&score), &Style::default()).systems;
    let distances: Vec<f64> = systems
        .iter()
        .map(|system| {
            let heads = areas(&system.drawing.stains, Kind::Head);
            heads[1].left - heads[0].left
        })
        .collect();
    for pair in distances.windows(2) {
        let ratio = (pair[0] / pair[1]).ln().abs();
        assert!(ratio < 1.15f64.ln(), "{distances:?}");
    }
}

/// A slur over several lines is drawn on each; one without an end on none.
#[test]
fn slurs_go_on_over_lines() {
    let bar = "C4:q D4:q E4:8 F4:8 G4:q";
    let slurred = format!("C4:q( D4:h. | {bar} | {bar} | {bar} | E4:h. C4:q)");
    let loose = format!("C4:q( D4:h. | {bar} | {bar} | {bar} | E4:h. C4:q");
    for (voice, drawn) in [(slurred, true), (loose, false)] {
        let score = Sketch::new(0, Metre::COMMON, &[&voice]).score();
        let style = Style { line_width: StaffSpaces(34.0), ..Style::default() };
        let systems = engrave(&Sheet::bare(&score), &style).systems;
        assert!(systems.len() >= 3);
        for system in systems {
            let count = areas(&system.drawing.stains, Kind::Slur).len();
            assert_eq!(count, usize::from(drawn), "bars {:?}", system.bars);
        }
    }
}

//! Three voices on a staff.

use apoyando_engrave::geometry::bounds;
use apoyando_engrave::meter::{collisions, poor_ties};
use apoyando_engrave::{Drawing, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Metre, Note, Score};

use crate::ink::areas;
use crate::scores::Sketch;

fn drawn(voices: &[&str]) -> (Score, Drawing) {
    let score = Sketch::new(0, Metre::COMMON, voices).score();
    let style = Style { line_width: StaffSpaces(80.0), ..Style::default() };
    let drawing = engrave(&Sheet::bare(&score), &style).systems.remove(0).drawing;
    (score, drawing)
}

/// For every note that has a stem of its own, its voice and whether the stem points up.
fn stems(score: &Score, drawing: &Drawing) -> Vec<(u8, bool)> {
    let head = |note: &Note| {
        let own = |stain: &&apoyando_engrave::Stain| {
            stain.kind == Kind::Head && stain.owner == Owner::Note(note.id)
        };
        drawing.stains.iter().find(own).map(|stain| bounds(&stain.ink))
    };
    let stems = drawing.stains.iter().filter(|stain| stain.kind == Kind::Stem);
    stems
        .filter_map(|stain| {
            let Owner::Note(id) = stain.owner else { return None };
            let note = score.note(id);
            let (head, stem) = (head(note)?, bounds(&stain.ink));
            Some((note.voice.0, stem.high + stem.low > head.high + head.low))
        })
        .collect()
}

/// Common practice, no source.
#[test]
fn the_highest_voice_has_its_stems_up_and_the_lowest_down_however_they_are_numbered() {
    let [high, middle, low] = ["E5:h E5:h", "A4:8 B4:8 C5:8 B4:8 A4:h", "A2:q B2:q C3:h"];
    let (score, drawing) = drawn(&[high, middle, low]);
    let found = stems(&score, &drawing);
    assert!(found.iter().filter(|(voice, _)| *voice == 1).all(|(_, up)| *up), "{found:?}");
    assert!(found.iter().filter(|(voice, _)| *voice == 3).all(|(_, up)| !*up), "{found:?}");
    let (score, drawing) = drawn(&[high, low, middle]);
    let found = stems(&score, &drawing);
    assert!(found.iter().filter(|(voice, _)| *voice == 1).all(|(_, up)| *up), "{found:?}");
    assert!(found.iter().filter(|(voice, _)| *voice == 2).all(|(_, up)| !*up), "{found:?}");
}

#[test]
fn voices_of_one_side_and_one_rhythm_are_written_as_chords() {
    let (_, together) = drawn(&["E5:q D5:8 E5:8 C5:h", "C5:q B4:8 C5:8 A4:h", "A2:h E3:h"]);
    let (_, chords) = drawn(&["C5+E5:q B4+D5:8 C5+E5:8 A4+C5:h", "A2:h E3:h"]);
    for kind in [Kind::Head, Kind::Stem, Kind::Beam, Kind::Flag] {
        assert_eq!(areas(&together.stains, kind), areas(&chords.stains, kind), "{kind:?}");
    }
}

#[test]
fn an_inner_voice_of_another_rhythm_steps_aside() {
    let (score, drawing) = drawn(&["E5:h C5:h", "A4:q B4:q A4:h", "A2:h E3:h"]);
    let head = |voice: u8| {
        let note = score.notes().iter().find(|note| note.voice.0 == voice).unwrap();
        let own = |stain: &&apoyando_engrave::Stain| {
            stain.kind == Kind::Head && stain.owner == Owner::Note(note.id)
        };
        bounds(&drawing.stains.iter().find(own).unwrap().ink)
    };
    assert!(head(2).left > head(1).right, "{:?} {:?}", head(2), head(1));
    assert!((head(3).left - head(1).left).abs() < 0.02);
}

/// One column of dots for each chord; for two voices a second apart one for both (Gould,
/// from memory).
#[test]
fn dots_stand_at_their_own_heads_where_an_inner_voice_steps_aside() {
    let (_, drawing) = drawn(&["G5:q. E5:8 C5:h", "A4:h B4:q A4:q", "A2:h E3:h"]);
    let (heads, dots) = (areas(&drawing.stains, Kind::Head), areas(&drawing.stains, Kind::Dot));
    let highest = heads.iter().max_by(|a, b| a.high.total_cmp(&b.high)).unwrap();
    assert_eq!(dots.len(), 1);
    assert!((dots[0].left - highest.right - 0.5).abs() < 0.02, "{highest:?} {dots:?}");
    let (_, drawing) = drawn(&["C4:q. E4:8 C4:h", "B3:q. C4:8 A3:h"]);
    let dots = areas(&drawing.stains, Kind::Dot);
    assert_eq!(dots.len(), 2);
    assert!((dots[0].left - dots[1].left).abs() < 1e-9, "{dots:?}");
}

/// The beam of an inner voice runs clear of the heads of the one above it.
#[test]
fn beams_of_one_voice_touch_no_heads_of_another() {
    for high in ["A4", "B4", "C5", "D5", "E5", "F5", "G5"] {
        let upper = format!("{high}:q {high}:q {high}:q {high}:q");
        let voices = [upper.as_str(), "E4:8 F4:8 G4:8 F4:8 E4:8 F4:8 G4:8 A4:8", "A2:h E3:h"];
        let (_, drawing) = drawn(&voices);
        assert_eq!(apoyando_engrave::meter::collisions(&drawing), [], "{high}");
    }
}

/// Where notes stand so near that a tie begins over its head, it begins beside a stem that
/// points to its side.
#[test]
fn a_short_tie_crosses_no_stem() {
    let upper = "r:8 A3:8 C4:8 E4:8~ E4:q | r:8 A3:8 C4:8 E4:8~ E4:q";
    let lower = "A2:8~ A2:q. A2:q | A2:8~ A2:q. A2:q";
    let score = Sketch::new(0, Metre::new(3, 4), &[upper, lower]).score();
    for width in 20..60 {
        let style = Style { line_width: StaffSpaces(f64::from(width)), ..Style::default() };
        for system in engrave(&Sheet::bare(&score), &style).systems {
            let drawing = system.drawing;
            let crossed = |fault: &&_| format!("{fault:?}").contains("crosses");
            assert_eq!(poor_ties(&drawing).iter().filter(crossed).count(), 0, "{width}");
        }
    }
}

/// A tie of an inner voice that goes on in the next line bows away from the bass under it.
#[test]
fn a_tie_into_the_next_line_runs_through_no_head() {
    let voices = [
        "E5:q E5:q D5:q D5:q | D5:w",
        "C4:q C4:q C4:q B3:q~ | B3:w",
        "C3:8 D3:8 E3:8 F3:8 G3:8 A3:8 B3:8 G3:8 | G3:w",
    ];
    let score = Sketch::new(0, Metre::COMMON, &voices).score();
    for width in [28.0, 30.0, 32.0] {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        let lines = engrave(&Sheet::bare(&score), &style).systems;
        assert_eq!(lines.len(), 2, "{width}");
        for line in lines {
            assert_eq!(collisions(&line.drawing), [], "{width}");
        }
    }
}

//! Music that no method holds, and that an engraver is given all the same: the page
//! stays readable or a finding says why not; no ink leaves the line.

use apoyando_engrave::meter::{ink_off_the_line, notation_faults};
use apoyando_engrave::{Engraving, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_music::{Clef, Metre, Score};

use crate::scores::Sketch;

const WIDTH: StaffSpaces = StaffSpaces(97.2);

fn engraved(score: &Score) -> Engraving {
    engrave(&Sheet::bare(score), &Style { line_width: WIDTH, ..Style::default() })
}

/// What stands on the page is all there, within the line; or a finding says what was
/// pressed together.
fn stands(score: &Score) -> Engraving {
    let engraving = engraved(score);
    let heads = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
    let heads = heads.filter(|stain| stain.kind == Kind::Head).count();
    assert_eq!(heads, score.notes().len());
    let pressed = engraving.findings.iter().any(|finding| finding.rule == "bar-too-wide");
    for system in &engraving.systems {
        let mut faults = ink_off_the_line(&system.drawing, WIDTH);
        if !pressed {
            faults.extend(notation_faults(&system.drawing, score, WIDTH));
            faults.retain(|fault| fault.rule != "spacing-jumpy");
        }
        assert!(faults.is_empty(), "{faults:?}");
    }
    engraving
}

fn score(metre: Metre, voices: &[&str]) -> Score {
    Sketch::new(0, metre, voices).score()
}

/// Six octaves above and below the staff: 24 ledger lines and more.
#[test]
fn notes_far_from_the_staff_have_all_their_ledger_lines() {
    let music = score(Metre::COMMON, &["C9:q C0:q D9:q B0:q | C8+E8:h A1:h"]);
    let engraving = stands(&music);
    let ledgers = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
    // Written an octave higher: C10 has 16 above F5, C1 11 below E4, D10 16, B1 8, the
    // chord of C9 and E9 13, A2 5. Counted by hand.
    let ledgers = ledgers.filter(|stain| stain.kind == Kind::LedgerLine).count();
    assert_eq!(ledgers, 16 + 11 + 16 + 8 + 13 + 5);
}

#[test]
fn the_shortest_notes_have_all_their_beams() {
    let run = |value: &str, count: usize| vec![format!("E4:{value}"); count].join(" ");
    let music = score(Metre::COMMON, &[&run("128", 128)]);
    let engraving = stands(&music);
    let beams = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
    assert!(beams.filter(|stain| stain.kind == Kind::Beam).count() >= 4 * 5);
}

/// A bar that no line can hold is pressed together, and that is said.
#[test]
fn a_bar_wider_than_the_line_is_pressed_and_told() {
    let notes = vec!["E4:16"; 60].join(" ");
    let one = stands(&score(Metre::new(60, 16), &[&notes]));
    assert_eq!(one.systems.len(), 1);
    let chromatic: Vec<String> =
        (0..120).map(|n| format!("{}4:16", ["C#", "Db", "D#", "Eb", "F#"][n % 5])).collect();
    let pressed = stands(&score(Metre::new(120, 16), &[&chromatic.join(" ")]));
    assert!(pressed.findings.iter().any(|finding| finding.rule == "bar-too-wide"));
    assert!(pressed.findings.iter().all(|finding| finding.remedy.is_some()));
}

/// Six notes with six accidentals, double ones among them, twice over.
#[test]
fn stacks_of_accidentals_keep_apart() {
    let chord = "E##3+A#3+Dbb4+G#4+B#4+Ebb5";
    let music = score(Metre::COMMON, &[&format!("{chord}:q E3+A3+D4+G4+B4+E5:q {chord}:h")]);
    let engraving = stands(&music);
    let signs = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
    assert!(signs.filter(|stain| stain.kind == Kind::Accidental).count() >= 12);
}

/// A part without a note, and a score without a bar.
#[test]
fn empty_parts_have_a_staff() {
    let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:w | D4:w"]);
    sketch.part("Silent", Clef::Guitar, &[]);
    let engraving = stands(&sketch.score());
    let lines = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
    assert_eq!(lines.filter(|stain| stain.kind == Kind::StaffLine).count(), 10);
    assert!(engraved(&score(Metre::COMMON, &[])).systems.is_empty());
}

/// Part names of 300 characters and of other scripts leave room for the music.
#[test]
fn long_names_leave_room_for_the_music() {
    for name in ["Guitarra ".repeat(34), "吉他".repeat(150), "גיטרה ".repeat(60)] {
        let mut sketch = Sketch::new(0, Metre::COMMON, &["C4:q D4:q E4:q F4:q"]);
        sketch.part(&name, Clef::Guitar, &["C3:w"]);
        let score = sketch.score();
        let engraving = engraved(&score);
        let heads = engraving.systems.iter().flat_map(|system| &system.drawing.stains);
        let heads: Vec<f64> = heads
            .filter(|stain| stain.kind == Kind::Head)
            .map(|stain| apoyando_engrave::geometry::bounds(&stain.ink).right)
            .collect();
        assert_eq!(heads.len(), 5);
        assert!(heads.iter().all(|right| *right < WIDTH.0), "{heads:?}");
    }
}

//! Lines that tell how long a finger stays down.

use apoyando_engrave::geometry::{Rect, bounds};
use apoyando_engrave::meter::{words_on_ink, wrong_extents};
use apoyando_engrave::{Drawing, Ink, Kind, Sheet, StaffSpaces, Style, engrave};
use apoyando_fingering::LeftFinger;
use apoyando_marks::{HoldMark, Marks};
use apoyando_music::{Metre, NoteId, PartIndex, Score};

use crate::fingered;
use crate::ink::{areas, of};
use crate::scores::Sketch;

fn lines(score: &Score, holds: &[(u32, u32)], width: f64) -> Vec<Drawing> {
    let mut marks = Marks::none(PartIndex(0), score.notes().len());
    marks.holds.extend(holds.iter().map(|(from, to)| HoldMark {
        finger: LeftFinger::One,
        from: NoteId(*from),
        to: NoteId(*to),
    }));
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    let marks = [marks];
    let sheet = Sheet { marks: &marks, ..Sheet::bare(score) };
    engrave(&sheet, &style).systems.into_iter().map(|s| s.drawing).collect()
}

fn drawn(voices: &[&str], holds: &[(u32, u32)]) -> Drawing {
    lines(&Sketch::new(0, Metre::COMMON, voices).score(), holds, 80.0).remove(0)
}

/// The digits, and the level lines.
fn parts(drawing: &Drawing) -> (Vec<Rect>, Vec<Rect>) {
    let all = of(&drawing.stains, Kind::HoldLine);
    let digits = all.iter().filter(|stain| matches!(stain.ink, Ink::Glyph { .. }));
    let digits = digits.map(|stain| bounds(&stain.ink)).collect();
    let level = all.iter().filter(|stain| matches!(stain.ink, Ink::Line { .. }));
    let level = level.map(|stain| bounds(&stain.ink));
    (digits, level.filter(|area| area.right - area.left > area.high - area.low).collect())
}

/// Common practice, no source: the digit over its note, the line to the note at which the
/// finger is used again, as other extents end.
#[test]
fn a_line_leads_from_its_note_to_the_one_it_holds_for() {
    for (voices, above) in
        [(&["C4:q D4:q C4:q E4:q"][..], true), (&["G4:w", "C3:q D3:q C3:q E3:q"], false)]
    {
        let holds = if above { [(0, 2)] } else { [(1, 3)] };
        let drawing = drawn(voices, &holds);
        let (digits, level) = parts(&drawing);
        let ([digit], [line]) = (&digits[..], &level[..]) else { panic!("a digit and a line") };
        let heads = areas(&drawing.stains, Kind::Head);
        let from = if above { 0 } else { 1 };
        assert!((digit.left - heads[from].left).abs() < 0.1, "{digit:?} {heads:?}");
        assert!((line.right - heads[from + 2].right - 0.3).abs() < 0.06, "{line:?} {heads:?}");
        assert!(digit.low < line.low && line.high < digit.high);
        assert_eq!(line.low > 2.2, above, "{line:?}");
        assert_eq!(wrong_extents(&drawing), []);
        assert_eq!(words_on_ink(&drawing), []);
    }
}

#[test]
fn lines_at_one_time_stand_over_one_another() {
    let drawing = drawn(&["C4:q D4:q C4:q E4:q"], &[(0, 2), (1, 3)]);
    let (_, level) = parts(&drawing);
    let [first, second] = level[..] else { panic!("two lines") };
    assert!((first.low - second.low).abs() > 0.8, "{first:?} {second:?}");
    assert_eq!(words_on_ink(&drawing), []);
}

#[test]
fn over_a_line_break_a_line_is_open_and_its_digit_comes_again() {
    let bars = ["C4:q D4:q E4:q F4:q"; 12].join(" | ");
    let score = Sketch::new(0, Metre::COMMON, &[&bars]).score();
    let systems = lines(&score, &[(1, 46)], 60.0);
    assert!(systems.len() > 2, "it tests nothing");
    for (number, system) in systems.iter().enumerate() {
        let (digits, level) = parts(system);
        assert_eq!((digits.len(), level.len()), (1, 1), "{number}");
        let staff = areas(&system.stains, Kind::StaffLine)[0];
        let open = (level[0].right - staff.right).abs() < 0.1;
        assert_eq!(open, number + 1 < systems.len(), "{number} {level:?}");
        let braces = of(&system.stains, Kind::HoldLine)
            .into_iter()
            .filter(|stain| matches!(stain.ink, Ink::Text { .. }));
        assert_eq!(braces.count(), if number > 0 { 2 } else { 0 }, "{number}");
        assert_eq!(wrong_extents(system), []);
    }
}

/// The search leaves fingers where they come back.
#[test]
fn held_fingers_of_a_real_fingering_are_shown() {
    let piece = fingered::held();
    assert!(piece.marks[0].holds.len() > 2, "{:?}", piece.marks[0].holds);
    for hold in &piece.marks[0].holds {
        let pitch = |note| piece.score.note(note).pitch;
        assert_eq!(pitch(hold.from), pitch(hold.to));
    }
    let marks = &piece.marks;
    for width in [50.0, 80.0, 110.0] {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        let sheet = Sheet { marks, ..Sheet::bare(&piece.score) };
        for system in engrave(&sheet, &style).systems {
            assert_eq!(words_on_ink(&system.drawing), [], "{width}");
        }
    }
}

#[test]
fn a_line_that_ends_elsewhere_is_found() {
    let mut drawing = drawn(&["C4:q D4:q C4:q E4:q"], &[(0, 2)]);
    for stain in drawing.stains.iter_mut().filter(|stain| stain.kind == Kind::HoldLine) {
        *stain = stain.clone().moved(0.5, 0.0);
    }
    assert!(!wrong_extents(&drawing).is_empty());
}

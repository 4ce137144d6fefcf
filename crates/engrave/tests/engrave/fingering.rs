//! Whole pieces fingered by the search and engraved: nothing a reader would
//! dislike about the fingering marks may be found on them.

use apoyando_engrave::meter::{
    digit_distances, fingering_faults, struck_digits, wandering_rows, wrong_extents,
};
use apoyando_engrave::{
    Engraving, Ink, Kind, Sheet, StaffSpaces, Stain, Style, System, engrave, every_line,
};
use apoyando_fingering::{Barre, LeftFinger, Position, RightFinger};
use apoyando_fretboard::{Fret, Millimetres, StringNumber};
use apoyando_marks::{BarreMark, HoldMark, LeftMark, Marks, PositionMark, StringMark};
use apoyando_music::{Metre, Moment, PartIndex, Score};
use proptest::prelude::*;

use super::fingered::{self, Fingered};
use super::properties::score;
use crate::scores::Sketch;

fn engraved(piece: &Fingered, style: &Style) -> Engraving {
    let Fingered { score, marks, captions, .. } = piece;
    engrave(&Sheet { marks, captions, ..Sheet::bare(score) }, style)
}

#[test]
fn the_meters_find_nothing_on_real_pieces_at_any_width() {
    for piece in fingered::all() {
        for width in [97.2, 78.0, 62.0] {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            for system in engraved(&piece, &style).systems {
                let faults = fingering_faults(&system.drawing, &piece.score);
                assert_eq!(faults, [], "{} bars {:?} width {width}", piece.name, system.bars);
            }
        }
    }
}

/// From a teacher's part to large print.
#[test]
fn the_meters_find_nothing_on_small_and_large_staves() {
    for piece in fingered::all() {
        for height in [5.5, 9.0, 12.0] {
            let style = Style::on_paper(Millimetres(175.0), Millimetres(height));
            for system in engraved(&piece, &style).systems {
                let faults = fingering_faults(&system.drawing, &piece.score);
                assert_eq!(faults, [], "{} bars {:?} staff {height} mm", piece.name, system.bars);
            }
        }
    }
}

/// Digits that stand at their heads stand close to them. Rows stand farther and
/// are left out: the fast scale, and the piece with a fast bar.
#[test]
fn digits_stand_close_to_their_notes() {
    let rows = ["fast_scale", "flats"];
    for piece in fingered::all().iter().filter(|piece| !rows.contains(&piece.name)) {
        for system in engraved(piece, &Style::default()).systems {
            let distances = digit_distances(&system.drawing, &piece.score);
            assert!(distances.median < 0.75, "{} {distances:?}", piece.name);
            assert!(distances.greatest < 1.8, "{} {distances:?}", piece.name);
        }
    }
}

#[test]
fn every_mark_is_printed_exactly_once() {
    for piece in fingered::all() {
        let engraving = engraved(&piece, &Style::default());
        let stains = || engraving.systems.iter().flat_map(|system| &system.drawing.stains);
        let count = |kind: Kind| stains().filter(|stain| stain.kind == kind).count();
        let wanted =
            |of: fn(&apoyando_marks::Marks) -> usize| -> usize { piece.marks.iter().map(of).sum() };
        let digits = wanted(|marks| marks.left.iter().flatten().count());
        let letters = wanted(|marks| marks.right.iter().flatten().count());
        assert_eq!(count(Kind::LeftDigit), digits, "{}", piece.name);
        assert_eq!(count(Kind::RightLetter), letters, "{}", piece.name);
        assert!(digits > 0 && letters > 0, "{}", piece.name);
    }
}

/// Where the nuts of the diagrams of a line of music are, from its left.
fn nuts(system: &System) -> Vec<f64> {
    let nut = |stain: &Stain| match (stain.kind, &stain.ink) {
        (Kind::Diagram, Ink::Line { from, thickness, .. }) if thickness.0 > 0.3 => Some(from.y.0),
        _ => None,
    };
    system.drawing.stains.iter().filter_map(nut).collect()
}

/// Diagrams have room side by side: the spacing is asked for it, also where chords of whole
/// bars would stand closer on a tight line.
#[test]
fn diagrams_over_a_staff_are_level() {
    let lines = engraved(&fingered::progression(), &Style::default()).systems;
    assert_eq!(nuts(&lines[0]).len(), 4);
    let Fingered { score, marks, captions, .. } = &fingered::whole_chords();
    let sheet = Sheet { marks, captions, ..Sheet::bare(score) };
    let widths = [66.0, 72.0, 78.0, 84.0].map(StaffSpaces);
    let narrow = widths.map(|line_width| Style { line_width, ..Style::default() });
    let narrow = narrow.iter().flat_map(|style| every_line(&sheet, style));
    for line in narrow.chain(lines) {
        let nuts = nuts(&line);
        assert!(nuts.iter().all(|nut| (nut - nuts[0]).abs() < 1e-6), "{nuts:?}");
    }
}

/// Marks strewn over a part: no hand plays so, but print must stand it.
fn strewn(score: &Score, part: PartIndex, choices: &[u16]) -> Marks {
    let mut marks = Marks::none(part, score.notes().len());
    let choice = |index: usize| choices[index % choices.len().max(1)];
    let struck = || score.notes().iter().filter(|n| n.part == part && n.tied_from.is_none());
    for (index, note) in struck().enumerate() {
        let choice = choice(index);
        if choice & 3 != 0 {
            let finger = LeftFinger::from_digit((choice >> 2) as u8 % 5);
            let guide = choice >> 5 & 7 == 0;
            marks.left[note.id.0 as usize] = Some(LeftMark { guide, ..LeftMark::plain(finger) });
        }
        if choice >> 8 & 3 != 0 {
            let finger = RightFinger::ALL[usize::from(choice >> 10 & 3)];
            marks.right[note.id.0 as usize] = Some(finger);
        }
    }
    let mut onsets: Vec<Moment> = struck().map(|note| note.onset).collect();
    onsets.sort_unstable();
    onsets.dedup();
    for (index, span) in onsets.chunks(5).enumerate() {
        let (from, to) = (span[0], span[span.len() - 1]);
        let fret = 1 + (choice(index) % 12) as u8;
        if choice(index) & 1 == 0 {
            let position = Position::new(fret).unwrap();
            marks.positions.push(PositionMark { position, from, to, line: from != to });
        } else {
            let thick = StringNumber::new(2 + fret % 5).unwrap();
            let barre = Barre { fret: Fret(fret), thin: StringNumber::FIRST, thick };
            marks.barres.push(BarreMark { barre, full: fret % 5 > 2, from, to });
        }
    }
    for voice in score.part(part).voices.iter() {
        let notes: Vec<_> = struck().filter(|note| note.voice == voice.number).collect();
        for span in notes.chunks(7) {
            let (from, to) = (span[0].id, span[span.len().min(4) - 1].id);
            marks.strings.push(StringMark { string: StringNumber::FIRST, from, to });
            let finger = LeftFinger::ALL[usize::from(choice(span.len()) & 3)];
            let hold = HoldMark { finger, from, to: span[span.len() - 1].id };
            marks.holds.extend((from != hold.to).then_some(hold));
        }
    }
    marks
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_digit_is_struck_whatever_is_marked(
        score in score(),
        choices in prop::collection::vec(any::<u16>(), 1..40),
        width in 40.0..110.0f64,
    ) {
        let marks: Vec<Marks> =
            score.part_indices().map(|part| strewn(&score, part, &choices)).collect();
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        let sheet = Sheet { marks: &marks, ..Sheet::bare(&score) };
        let engraving = engrave(&sheet, &style);
        let mut digits = 0;
        for system in &engraving.systems {
            let drawing = &system.drawing;
            let faults = [struck_digits(drawing), wrong_extents(drawing)];
            prop_assert_eq!(faults.concat(), []);
            // Rows of two staves may come close by chance.
            if score.parts().len() == 1 {
                prop_assert_eq!(wandering_rows(drawing), []);
            }
            digits += drawing.stains.iter().filter(|s| s.kind == Kind::LeftDigit).count();
        }
        let wanted: usize = marks.iter().map(|marks| marks.left.iter().flatten().count()).sum();
        prop_assert_eq!(digits, wanted);
    }
}

/// Between a note a fourth below and a slur that ends over its own, a digit could be moved
/// neither up nor down: the spacing gives it the room to stand level.
#[test]
fn a_digit_has_room_where_a_slur_ends() {
    let bar = "C#4:8 A3:8 E4:q C#4:16 B3:16 A3:8 C#4:q | A3:8( C#4:8 F#4:q) E4:q F#4:8 E4:8";
    let voices = [[bar; 4].join(" | ")];
    let score = Sketch::new(3, Metre::COMMON, &[&voices[0]]).score();
    let marks = super::graces::fingered(&score);
    for width in (40..98).map(f64::from) {
        let style = Style { line_width: StaffSpaces(width), ..Style::default() };
        for system in engrave(&Sheet { marks: &marks, ..Sheet::bare(&score) }, &style).systems {
            assert_eq!(fingering_faults(&system.drawing, &score), [], "{width}");
        }
    }
}

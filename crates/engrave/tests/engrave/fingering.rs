//! Whole pieces fingered by the search and engraved: nothing a reader would
//! dislike about the fingering marks may be found on them.

use apoyando_engrave::meter::{digit_distances, fingering_faults};
use apoyando_engrave::{Engraving, Kind, Sheet, StaffSpaces, Style, engrave};

use super::fingered::{self, Fingered};

fn engraved(piece: &Fingered, style: &Style) -> Engraving {
    let Fingered { score, marks, captions, .. } = piece;
    engrave(&Sheet { score, marks, captions }, style)
}

#[test]
fn the_meters_find_nothing_on_real_pieces_at_any_width() {
    for piece in fingered::all() {
        for width in [97.2, 78.0, 62.0] {
            let style = Style { line_width: StaffSpaces(width), ..Style::default() };
            for system in engraved(&piece, &style).systems {
                let faults = fingering_faults(&system.drawing);
                assert_eq!(faults, [], "{} bars {:?} width {width}", piece.name, system.bars);
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
            let distances = digit_distances(&system.drawing);
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

//! Grace notes: their size, their room, their signs and sides.

use apoyando_engrave::geometry::{Rect, bounds, strips};
use apoyando_engrave::meter::{misread_digits, struck_digits};
use apoyando_engrave::{Drawing, Ink, Kind, Owner, Sheet, StaffSpaces, Style, engrave};
use apoyando_fingering::LeftFinger;
use apoyando_marks::{LeftMark, Marks};
use apoyando_music::{Metre, Score};

use crate::gallery;
use crate::ink::{areas, of};
use crate::scores::Sketch;

const GRACE: [Kind; 4] =
    [Kind::GraceHead, Kind::GraceAccidental, Kind::GraceLedgerLine, Kind::GraceStem];

pub fn drawings(score: &Score, marks: &[Marks], width: f64) -> Vec<Drawing> {
    let style = Style { line_width: StaffSpaces(width), ..Style::default() };
    let engraving = engrave(&Sheet { marks, ..Sheet::bare(score) }, &style);
    assert_eq!(engraving.findings, []);
    engraving.systems.into_iter().map(|system| system.drawing).collect()
}

fn one(fifths: i32, voices: &[&str]) -> Drawing {
    let score = Sketch::new(fifths, Metre::new(2, 4), voices).score();
    drawings(&score, &[], 97.2).remove(0)
}

/// A digit at every note.
pub fn fingered(score: &Score) -> Vec<Marks> {
    score
        .part_indices()
        .map(|part| {
            let mut marks = Marks::none(part, score.notes().len());
            for note in score.notes().iter().filter(|note| note.part == part) {
                let finger = LeftFinger::ALL[note.id.0 as usize % 4];
                let mark = LeftMark { guide: note.id.0 % 5 == 0, ..LeftMark::plain(Some(finger)) };
                marks.left[note.id.0 as usize] = Some(mark);
            }
            marks
        })
        .collect()
}

/// Ink of grace notes that meets a head, an accidental, a dot or a digit.
fn overlaps(drawing: &Drawing) -> Vec<String> {
    let others = [Kind::Head, Kind::Accidental, Kind::Dot, Kind::LeftDigit, Kind::GuideDash];
    let mut found = Vec::new();
    for grace in drawing.stains.iter().filter(|stain| GRACE.contains(&stain.kind)) {
        for other in drawing.stains.iter().filter(|stain| others.contains(&stain.kind)) {
            let theirs = strips(&other.ink);
            if strips(&grace.ink).iter().any(|a| theirs.iter().any(|b| a.meets(*b))) {
                found.push(format!("{:?} on {:?}", grace.kind, bounds(&other.ink)));
            }
        }
    }
    found
}

/// Grace notes have 60 to 65 % of the size (engraving handbooks); ours .62.
#[test]
fn their_heads_have_62_per_cent_of_the_size() {
    let drawing = one(0, &["{/B3}C4:q {F4,G4}A4:q"]);
    let main = areas(&drawing.stains, Kind::Head)[0];
    let graces = areas(&drawing.stains, Kind::GraceHead);
    assert_eq!(graces.len(), 3);
    for grace in graces {
        assert!((grace.width() - 0.62 * main.width()).abs() < 1e-9, "{grace:?}");
        assert!((grace.height() - 0.62 * main.height()).abs() < 1e-9, "{grace:?}");
    }
}

/// A digit in a row over the head before would be read as the grace note's.
#[test]
fn none_stands_over_the_head_before() {
    let drawing = one(0, &["E4:16 {A4}F4:16 {G4}E4:16 {C5}D4:16 {D4}A4:q"]);
    let heads = areas(&drawing.stains, Kind::Head);
    let graces = areas(&drawing.stains, Kind::GraceHead);
    assert_eq!((heads.len(), graces.len()), (5, 4));
    for grace in graces {
        let over = heads.iter().find(|head| grace.left < head.right && head.left < grace.right);
        assert_eq!(over, None, "{grace:?}");
    }
}

#[test]
fn their_ink_meets_no_head_accidental_or_digit() {
    for score in [gallery::graces(), gallery::graces_of_two_voices()] {
        for marks in [Vec::new(), fingered(&score)] {
            for width in [62.0, 97.2, 140.0] {
                for drawing in drawings(&score, &marks, width) {
                    assert_eq!(overlaps(&drawing), Vec::<String>::new(), "width {width}");
                    assert_eq!(struck_digits(&drawing), [], "width {width}");
                    assert_eq!(misread_digits(&drawing, &score), [], "width {width}");
                }
            }
        }
    }
}

/// The check above sees a grace note that stands on its note.
#[test]
fn a_planted_overlap_is_found() {
    let mut drawing = one(0, &["{/C4}C4:h"]);
    assert!(overlaps(&drawing).is_empty());
    let main = areas(&drawing.stains, Kind::Head)[0];
    let grace = drawing.stains.iter_mut().find(|s| s.kind == Kind::GraceHead).unwrap();
    let by = main.left - bounds(&grace.ink).left;
    *grace = grace.clone().moved(by, 0.0);
    assert!(!overlaps(&drawing).is_empty());
}

/// Half a space to eight tenths from the last grace note to the ink of its note
/// (common practice, no source); a digit has its room between them.
#[test]
fn they_stand_close_before_their_note() {
    for voice in ["{/B3}C4:h", "{/B3}C#4:h", "{A3,B3}C#4:h"] {
        let score = Sketch::new(0, Metre::new(2, 4), &[voice]).score();
        for marks in [Vec::new(), fingered(&score)] {
            let drawing = &drawings(&score, &marks, 97.2)[0];
            let grace = areas(&drawing.stains, Kind::GraceHead).last().unwrap().right;
            let head = areas(&drawing.stains, Kind::Head)[0];
            let sign =
                areas(&drawing.stains, Kind::Accidental).first().map_or(head.left, |a| a.left);
            if marks.is_empty() {
                assert!((0.5..=0.8).contains(&(sign - grace)), "{voice}: {}", sign - grace);
            } else {
                let digit = areas(&drawing.stains, Kind::LeftDigit)[0];
                assert!(digit.right <= sign && grace < digit.left - 0.5, "{voice}");
            }
        }
    }
}

/// An accidental holds to the end of the bar, those of grace notes as well
/// (common practice, no source).
#[test]
fn signs_follow_signature_and_bar() {
    let signs = |fifths: i32, voice: &str| {
        let drawing = one(fifths, &[voice]);
        let count = |kind: Kind| of(&drawing.stains, kind).len();
        (count(Kind::GraceAccidental), count(Kind::Accidental))
    };
    assert_eq!(signs(0, "{/F#4}F#4:h"), (1, 0));
    assert_eq!(signs(0, "{/F#4}F4:h"), (1, 1));
    assert_eq!(signs(1, "{/F#4}G4:h"), (0, 0));
    assert_eq!(signs(1, "{/F4}F#4:h"), (1, 1));
    assert_eq!(signs(0, "F#4:q {/F#4}E4:q"), (0, 1));
    assert_eq!(signs(0, "F#4:q {/F4}E4:q"), (1, 1));
    assert_eq!(signs(0, "{F#4,E4,F#4}E4:h"), (1, 0));
}

/// One note has a stem, a flag and a slash if it has one; two have two beams.
#[test]
fn one_note_is_flagged_and_several_are_beamed() {
    let parts = |voice: &str| {
        let drawing = one(0, &[voice]);
        let stems = of(&drawing.stains, Kind::GraceStem);
        let count = |pick: fn(&Ink) -> bool| stems.iter().filter(|s| pick(&s.ink)).count();
        (
            count(|ink| matches!(ink, Ink::Line { .. })),
            count(|ink| matches!(ink, Ink::Glyph { .. })),
            count(|ink| matches!(ink, Ink::Shape(_))),
        )
    };
    assert_eq!(parts("{B3}C4:h"), (1, 1, 0));
    assert_eq!(parts("{/B3}C4:h"), (2, 1, 0));
    assert_eq!(parts("{A3,B3}C4:h"), (2, 0, 2));
    assert_eq!(parts("{/A3,B3,A3}C4:h"), (4, 0, 2));
}

/// Stems up; down for the lower of two voices. Slurs lie on the other side.
#[test]
fn stems_and_slurs_take_sides() {
    let drawing = one(0, &["{/F4}G4:h", "{/D3}E3:h"]);
    for (note, up) in [(0, true), (1, false)] {
        let mine = |kind: Kind| {
            let found = of(&drawing.stains, kind)
                .into_iter()
                .filter(|stain| matches!(stain.owner, Owner::Note(id) if id.0 == note));
            found.map(|stain| bounds(&stain.ink)).fold(Rect::EMPTY, Rect::join)
        };
        let (head, stem, slur) = (mine(Kind::GraceHead), mine(Kind::GraceStem), mine(Kind::Slur));
        let middle = f64::midpoint(head.low, head.high);
        assert_eq!(stem.high > middle + 2.0, up, "{stem:?}");
        assert_eq!(stem.low < middle - 2.0, !up, "{stem:?}");
        assert!(slur.width() > 1.0, "{slur:?}");
        assert_eq!(slur.high < middle, up, "{slur:?}");
        assert_eq!(slur.low > middle, !up, "{slur:?}");
    }
    // Every note that is alone in its voice gets one.
    for voice in ["{/E4}D#4:h", "{/B3}C4:h", "{A5}G#5:h", "{E2,F2}G#2:h", "{/B3}B3:h"] {
        assert_eq!(of(&one(0, &[voice]).stains, Kind::Slur).len(), 1, "{voice}");
    }
    // The note of a chord that it leads to is not known.
    assert!(of(&one(0, &["{/F4}E4+G4:h"]).stains, Kind::Slur).is_empty());
}

/// They take no time: their room is added before their note, and all other
/// distances of a line that is not stretched are as without them.
#[test]
fn they_move_only_their_own_note() {
    let distances = |voice: &str| -> Vec<f64> {
        let heads = areas(&one(0, &[voice]).stains, Kind::Head);
        heads.windows(2).map(|pair| pair[1].left - pair[0].left).collect()
    };
    let with = distances("C4:q D4:q | E4:q {D4,E4,F4}C4:q | D4:q C4:q");
    let without = distances("C4:q D4:q | E4:q C4:q | D4:q C4:q");
    assert_eq!(with.len(), 5);
    for (at, (with, without)) in with.iter().zip(&without).enumerate() {
        let longer = with - without;
        if at == 2 {
            assert!(longer > 1.0, "{longer}");
        } else {
            assert!(longer.abs() < 1e-6, "{at}: {longer}");
        }
    }
}

//! Digits and letters that the author moves.

mod one_scale;

use apoyando_engrave::{Ink, Kind, Owner, Point};
use apoyando_music::NoteId;
use apoyando_workshop::Built;
use one_scale::built;

/// Where the sign of a kind at a note is.
fn place(built: &Built, kind: Kind, note: NoteId) -> Point {
    let systems = built.items[0].engraving.systems.iter();
    let mut stains = systems.flat_map(|system| &system.drawing.stains);
    let own = stains.find(|stain| stain.kind == kind && stain.owner == Owner::Note(note));
    match own.expect("the sign is printed").ink {
        Ink::Glyph { at, .. } => at,
        ref other => panic!("a sign is a glyph, not {other:?}"),
    }
}

#[test]
fn a_sign_stands_as_far_from_its_place_as_the_author_says() {
    let plain = built("plain", "density = \"every-note\"");
    let words = "density = \"every-note\"\n[[items.nudges]]\nbar = 1\nbeat = 2\n\
                 digit = [0.25, -0.5]\nletter = [1, 0.75]";
    let moved = built("moved", words);
    assert_eq!(moved.findings.iter().filter(|it| it.rule.starts_with("nudge")).count(), 0);
    let second = plain.items[0].score.notes()[1].id;
    for (kind, right, up) in [(Kind::LeftDigit, 0.25, -0.5), (Kind::RightLetter, 1.0, 0.75)] {
        let (before, after) = (place(&plain, kind, second), place(&moved, kind, second));
        // The letters' row may go out of the way of a digit, all of them alike.
        let first = plain.items[0].score.notes()[0].id;
        let row = place(&moved, kind, first).y.0 - place(&plain, kind, first).y.0;
        assert!((after.x.0 - before.x.0 - right).abs() < 1e-9, "{kind:?}: {before:?} {after:?}");
        assert!((after.y.0 - before.y.0 - row - up).abs() < 1e-9, "{kind:?}: {before:?} {after:?}");
    }
    let third = plain.items[0].score.notes()[2].id;
    let digits = [&plain, &moved].map(|built| place(built, Kind::LeftDigit, third));
    assert_eq!(digits[0], digits[1], "its neighbour stays");
}

#[test]
fn a_nudge_of_nothing_is_reported_with_its_line() {
    let words = "density = \"none\"\n[[items.nudges]]\nbar = 99\ndigit = [0, 1]\n\
                 [[items.nudges]]\nbar = 1\ndigit = [0, 1]";
    let built = built("lost", words);
    let said: Vec<_> = built
        .findings
        .iter()
        .filter(|it| it.rule.starts_with("nudge"))
        .map(|it| (it.rule, it.place.line, it.message.as_str()))
        .collect();
    assert_eq!(
        said,
        [
            ("nudge-lost", Some(9), "there is no bar 99"),
            ("nudge-idle", Some(12), "no digit is printed at bar 1, beat 1"),
        ]
    );
}

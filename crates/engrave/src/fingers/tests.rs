use apoyando_fingering::{Barre, Position, RightFinger};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_marks::{BarreMark, PositionMark, StringMark};
use apoyando_music::{Duration, Moment, NoteId};

use super::fixture::{Fixture, fixture};
use super::sign::Sizes;
use crate::drawing::{Drawing, Ink, Kind, Stain};
use crate::geometry::{Rect, bounds};
use crate::meter::{fingering_faults, listing};
use crate::style::{Print, Style};

fn at(numerator: i64, denominator: i64) -> Moment {
    Moment::after_start(Duration::new(numerator, denominator))
}

/// The stains of some kinds only, for snapshots.
fn marks_of(mut drawing: Drawing) -> String {
    drawing.stains.retain(|stain| {
        matches!(
            stain.kind,
            Kind::LeftDigit
                | Kind::GuideDash
                | Kind::PreparedFinger
                | Kind::SecondFinger
                | Kind::RightLetter
                | Kind::StringCircle
                | Kind::PositionMark
                | Kind::BarreMark
                | Kind::Halo
                | Kind::Head
        )
    });
    listing(&drawing)
}

fn scale() -> Fixture {
    fixture(5.0, &["8 C3=3 D3=0 E3=2 F#3=4 G3=0 A3=2 B3=0 C4=1 | 4 D4=4 E4=0 F4=1 G4=4 | A4=-4"])
}

fn chords() -> Fixture {
    fixture(
        5.0,
        &[
            "2 C3+E3+G3+C4+E4=3,2,0,1,0 A2+E3+A3+C#4+E4=0,1,2,3,0 | G3+A3=0,2 E2+B2+E3+G#3+B3+E4=0,2,3,1,0,0",
        ],
    )
}

fn fast() -> Fixture {
    fixture(7.0, &["16 E4=0 F4=1 G4=4 F4=1 E4=0 D4=4 C4=1 D4=4 4 E4=0 F#4=2"])
}

fn two_voices() -> Fixture {
    let mut two = fixture(
        6.0,
        &["8 r G3=0 C4=1 G3 r G3 C4 E4=0 | 4 F4=1 E4=0 D4=4 C4=1", "2 C3=3 E3=2 | A2=0 2 G2=3"],
    );
    for (index, letter) in [(0, 'i'), (1, 'm'), (2, 'i'), (6, 'p'), (7, 'p')] {
        two.marks.right[index] = RightFinger::from_letter(letter);
    }
    two
}

fn positions() -> Fixture {
    let mut fixture = fixture(5.0, &["4 E4=0 G4=3 A4=1 B4=3 | C5=4 B4=3 G4=3 E4=0"]);
    let mark = |position, from, to, line| PositionMark {
        position: Position::new(position).unwrap(),
        from,
        to,
        line,
    };
    fixture.marks.positions = vec![
        mark(1, at(0, 4), at(1, 4), false),
        mark(5, at(2, 4), at(5, 4), true),
        mark(1, at(6, 4), at(7, 4), false),
    ];
    fixture.marks.barres = vec![BarreMark {
        barre: Barre {
            fret: Fret(5),
            thin: StringNumber::FIRST,
            thick: StringNumber::new(3).unwrap(),
        },
        full: false,
        from: at(3, 4),
        to: at(4, 4),
    }];
    fixture.marks.strings =
        vec![StringMark { string: StringNumber::new(2).unwrap(), from: NoteId(2), to: NoteId(5) }];
    fixture
}

fn prepared() -> Fixture {
    fixture(9.0, &["8 G4=(1)4 F4=1 E4=0 D4=(1)4 4 C4=1 B3=0 | 8 A4=(2)4 F#4=2 G4=4 F#4=2 2 E4=0"])
}

/// However narrow a letter is, it stands over the tip of its stem and not beside it.
#[test]
fn no_letter_comes_down_beside_the_tip_of_its_stem() {
    for letter in ['i', 'm'] {
        let mut stemmed = fixture(6.0, &["2 A3=2"]);
        stemmed.marks.right[0] = RightFinger::from_letter(letter);
        let drawing = stemmed.drawn();
        let of = |kind| {
            let stain = drawing.stains.iter().find(|stain| stain.kind == kind);
            bounds(&stain.expect("one is drawn").ink)
        };
        let (letter, stem) = (of(Kind::RightLetter), of(Kind::Stem));
        assert!(stem.high > 2.0, "a stem that rises over the staff");
        assert!(letter.low - stem.high > 0.35, "{letter:?} {stem:?}");
    }
}

/// The finger put down beforehand stands in parentheses before the digit, level with it.
#[test]
fn a_prepared_finger_stands_before_the_digit() {
    let drawing = prepared().drawn();
    let of = |kind| -> Vec<Rect> {
        let stains = drawing.stains.iter().filter(|stain| stain.kind == kind);
        stains.map(|stain| bounds(&stain.ink)).collect()
    };
    let (parts, digits) = (of(Kind::PreparedFinger), of(Kind::LeftDigit));
    assert_eq!((parts.len(), digits.len()), (9, 11));
    for three in parts.chunks(3) {
        assert!(three.windows(2).all(|pair| pair[0].right < pair[1].left + 1e-9));
        let inner = three[1];
        let own = digits.iter().filter(|digit| digit.left > inner.right);
        let own = own.min_by(|a, b| a.left.total_cmp(&b.left)).expect("a digit");
        assert!(
            (own.low - inner.low).abs() < 0.05 && own.left - three[2].right < 0.2,
            "{own:?} {three:?}"
        );
    }
}

/// Held basses that another finger takes over, alone, in a chord, and where a finger is
/// put down beforehand as well.
fn taken_over() -> Fixture {
    fixture(
        6.0,
        &[
            "4 r E4=0 D4=3 C4=1 | 2 G4=4 r | A4=4>1 E4=0",
            "1 C3=3>4 | 2 G2=3 E3+B3+C4=2>3,0,1 | 2 A2=0 G2=(1)3>2",
        ],
    )
}

/// The dash and the second finger stand after the digit, level with it; the whole sign
/// stands where a digit would.
#[test]
fn the_finger_that_takes_over_stands_after_the_digit() {
    let drawing = taken_over().drawn();
    let of = |kind| -> Vec<Rect> {
        let stains = drawing.stains.iter().filter(|stain| stain.kind == kind);
        stains.map(|stain| bounds(&stain.ink)).collect()
    };
    let (parts, digits) = (of(Kind::SecondFinger), of(Kind::LeftDigit));
    assert_eq!(parts.len() % 2, 0);
    assert!(parts.len() >= 8, "{parts:?}");
    for two in parts.chunks(2) {
        let [dash, second] = two else { unreachable!() };
        let own = digits.iter().filter(|digit| digit.right < dash.left);
        let own = own.max_by(|a, b| a.right.total_cmp(&b.right)).expect("a digit");
        assert!(dash.left - own.right > 0.08 && second.left - dash.right > 0.08);
        assert!((own.low - second.low).abs() < 0.08, "{own:?} {second:?}");
        assert!(own.low < dash.low && dash.high < own.high, "{own:?} {dash:?}");
        assert!(second.left - own.right < 1.6, "{own:?} {second:?}");
    }
}

/// Above a chord a circle is read as the string of its top note.
#[test]
fn the_circle_of_the_lowest_note_of_a_chord_is_below() {
    let is_above = |text: &str, note: u32| {
        let mut fixture = fixture(5.0, &[text]);
        let (string, note) = (StringNumber::new(4).unwrap(), NoteId(note));
        fixture.marks.strings.push(StringMark { string, from: note, to: note });
        let drawing = fixture.drawn();
        let circle = drawing.stains.iter().find(|stain| stain.kind == Kind::StringCircle);
        bounds(&circle.expect("a circle").ink).low > 0.0
    };
    let chord = "2 G3+B3+D4=4,3,2";
    assert_eq!([0, 1, 2].map(|note| is_above(chord, note)), [false, true, true]);
    assert!(is_above("2 G3=4", 0));
}

/// Common practice, no source: the dash of a guide stands at the middle of its digit.
#[test]
fn the_dash_of_a_guide_is_level_with_the_middle_of_its_digit() {
    for pitch in ["A4", "E4", "C3"] {
        let drawing = fixture(9.0, &[&format!("1 {pitch}=-4")]).drawn();
        let middle = |kind| {
            let stain = drawing.stains.iter().find(|stain| stain.kind == kind);
            let area = bounds(&stain.expect("ink").ink);
            (area.low + area.high) / 2.0
        };
        let off = middle(Kind::GuideDash) - middle(Kind::LeftDigit);
        assert!(off.abs() < 0.06, "{pitch}: {off}");
    }
}

/// Over a line break the line of a circle stays open to the end of the staff; on the next
/// line the circle is repeated in parentheses, at the first note, and its line goes on.
/// Common practice, no source.
#[test]
fn a_circle_is_repeated_in_parentheses_on_the_next_line() {
    let mut fixture = fixture(5.0, &["4 G4=4 A4=1 B4=3 C5=4 | D5=1 C5=4 B4=3 A4=1"]);
    let string = StringNumber::new(2).unwrap();
    fixture.marks.strings.push(StringMark { string, from: NoteId(2), to: NoteId(6) });
    let whole = fixture.stage();
    let middle = (whole.columns[3].1 + whole.columns[4].1) / 2.0;
    let circle = |first: bool| -> Vec<Stain> {
        let mut stage = fixture.stage();
        stage.heads.retain(|head| (head.note.0 < 4) == first);
        stage.columns.retain(|(_, x)| (*x < middle) == first);
        super::circles::place(&fixture.marks, &mut stage);
        stage.stains.into_iter().filter(|stain| stain.kind == Kind::StringCircle).collect()
    };
    let (before, after) = (circle(true), circle(false));
    let glyphs = |stains: &[Stain]| -> Vec<Rect> {
        let mut areas: Vec<Rect> = stains
            .iter()
            .filter(|stain| matches!(stain.ink, Ink::Glyph { .. }))
            .map(|stain| bounds(&stain.ink))
            .collect();
        areas.sort_by(|a, b| a.left.total_cmp(&b.left));
        areas
    };
    assert_eq!((glyphs(&before).len(), before.len()), (1, 2), "a circle and an open line");
    assert!((bounds(&before[1].ink).right - whole.right).abs() < 1e-9);
    let [left, ring, right] = glyphs(&after)[..] else { panic!("{after:?}") };
    assert!(left.right < ring.left && ring.right < right.left);
    assert!(left.low < ring.low && ring.high < left.high && right.high > ring.high);
    let head = fixture.stage().heads[4].head;
    assert!((ring.left + ring.right - head.left - head.right).abs() < 1e-6);
    // The line begins after the parenthesis and has its hook at the end.
    let lines = after.iter().filter(|stain| matches!(stain.ink, Ink::Line { .. }));
    let lines: Vec<Rect> = lines.map(|stain| bounds(&stain.ink)).collect();
    assert!(lines.len() == 2 && lines[0].left > right.right);
}

#[test]
fn digits_letters_circles_and_numerals_stand_where_they_did() {
    for (name, fixture) in [
        ("scale", scale()),
        ("chords", chords()),
        ("fast", fast()),
        ("two voices", two_voices()),
        ("positions", positions()),
        ("prepared", prepared()),
        ("taken over", taken_over()),
    ] {
        insta::assert_snapshot!(name, marks_of(fixture.drawn()));
    }
}

#[test]
fn the_meters_find_nothing() {
    for (name, fixture) in [
        ("scale", scale()),
        ("chords", chords()),
        ("fast", fast()),
        ("two voices", two_voices()),
        ("positions", positions()),
        ("prepared", prepared()),
        ("taken over", taken_over()),
    ] {
        assert_eq!(fingering_faults(&fixture.drawn(), &fixture.score), [], "{name}");
    }
}

/// Voices that cross: the digit of the lower one would stand below that of the upper one,
/// whose note is lower.
#[test]
fn digits_in_a_row_keep_the_order_of_the_notes() {
    for quarter in [6.0, 8.0, 10.0] {
        let crossed = fixture(quarter, &["2 D3=0 E3=2", "16 G3=0 A3=2 G3=0 F3=3 4 E3=2 2 C3=3"]);
        let drawing = crossed.drawn();
        assert_eq!(fingering_faults(&drawing, &crossed.score), [], "{quarter}");
    }
}

/// In large print, over the first head of a beam, where there would be room under its end.
#[test]
fn a_digit_in_a_row_stands_over_the_beam_that_begins_at_its_stem() {
    let beamed = fixture(7.0, &["16 G3=1 A3 B3 G3"]);
    let sizes = Sizes::of(&Style { print: Print::Large, ..Style::default() });
    let mut stage = beamed.stage();
    super::put_marks(&beamed.score, &beamed.marks, &sizes, &mut stage);
    let of = |kind| stage.stains.iter().filter(move |stain| stain.kind == kind);
    let beam = of(Kind::Beam).map(|stain| bounds(&stain.ink)).reduce(Rect::join).expect("a beam");
    let digits: Vec<Rect> = of(Kind::LeftDigit).map(|stain| bounds(&stain.ink)).collect();
    assert!(digits.len() == 1 && digits[0].low > beam.high, "{digits:?} {beam:?}");
}

//! The house style.

use apoyando_fingering::{Descending, HouseStyle, LeftFinger, Shape, StringState, Term};

use crate::kit::{Held, case, held, score};

fn cost(house: &HouseStyle, bars: &[&str], postures: &[Held<'_>]) -> i64 {
    let mut case = case(score(&[bars]), postures);
    case.house = house.clone();
    assert_eq!(case.hand_faults(), []);
    case.cost_of(Term::House)
}

fn third_fret(finger: LeftFinger) -> HouseStyle {
    HouseStyle { third_fret: Some(finger), ..HouseStyle::NONE }
}

#[test]
fn the_third_fret_in_i_has_its_finger() {
    use LeftFinger::{Four, Three, Two};
    let g4 = |preferred, position, finger| {
        let sounding = [(0, 1, 3, finger)];
        cost(&third_fret(preferred), &["G4/1"], &[held(position, &sounding)])
    };
    assert_eq!(g4(Three, 1, 4), 50);
    assert_eq!(g4(Four, 1, 3), 50);
    assert_eq!((g4(Three, 1, 3), g4(Four, 1, 4), g4(Two, 1, 3)), (0, 0, 0));
    assert_eq!(g4(Three, 2, 2), 0);
    assert_eq!(g4(Three, 2, 4), 0, "in II");
    // Where 3 is at work elsewhere, 4 may be taken; held or struck.
    let with = |chord: &str, sounding: &[_]| {
        cost(&third_fret(Three), &[&format!("{chord}/1")], &[held(1, sounding)])
    };
    assert_eq!(with("A3+G4", &[(0, 3, 2, 3), (1, 1, 3, 4)]), 0);
    assert_eq!(with("A3+G4", &[(0, 3, 2, 2), (1, 1, 3, 4)]), 50);
    // Another fret is another matter, and what is only held is not looked at.
    assert_eq!(with("F#4", &[(0, 1, 2, 3)]), 0);
    let mut held_on = case(
        score(&[&["G4/1"], &["r/2 E2/2"]]),
        &[held(1, &[(0, 1, 3, 4)]), held(1, &[(0, 1, 3, 4), (1, 6, 0, 0)])],
    );
    held_on.house = third_fret(Three);
    assert_eq!(held_on.cost_of(Term::House), 50);
}

fn descending(preferred: Descending) -> HouseStyle {
    HouseStyle { descending: Some(preferred), ..HouseStyle::NONE }
}

/// E4 after F4, on ② or open.
#[test]
fn a_line_comes_down_open_or_stopped() {
    use Descending::{Open, Stopped};
    let line = |preferred, bars: &[&str], second: (u32, u8, u8, u8)| {
        let sounding = [second];
        let postures = [held(5, &[(0, 2, 6, 2)]), held(5, &sounding)];
        cost(&descending(preferred), bars, &postures)
    };
    let (open, stopped) = ((1, 1, 0, 0), (1, 2, 5, 1));
    assert_eq!(line(Open, &["F4/2 E4/2"], stopped), 50);
    assert_eq!(line(Stopped, &["F4/2 E4/2"], open), 50);
    assert_eq!(line(Open, &["F4/2 E4/2"], open), 0);
    assert_eq!(line(Stopped, &["F4/2 E4/2"], stopped), 0);
    // Over a barline all the same, but not over a cut.
    assert_eq!(line(Stopped, &["F4/1", "E4/1"], open), 50);
    // No string but ⑥ gives E2, and none gives E♭4 open.
    let low = |preferred| {
        cost(
            &descending(preferred),
            &["F2/2 E2/2"],
            &[held(1, &[(0, 6, 1, 1)]), held(1, &[(1, 6, 0, 0)])],
        )
    };
    assert_eq!((low(Stopped), low(Open)), (0, 0));
    let between = [held(4, &[(0, 2, 5, 2)]), held(4, &[(1, 2, 4, 1)])];
    assert_eq!(cost(&descending(Open), &["E4/2 Eb4/2"], &between), 0);
    // With ⑥ at E4 there is no thicker string.
    let mut thickest =
        case(score(&[&["F4/2 E4/2"]]), &[held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 6, 0, 0)])]);
    thickest.house = descending(Stopped);
    thickest.instrument.tuning = "6=E4".parse().unwrap();
    assert_eq!((thickest.hand_faults(), thickest.cost_of(Term::House)), (vec![], 0));
    // By a third, upwards or from the same note it is no such line.
    let after = |first: &str, placed: (u32, u8, u8, u8)| {
        let sounding = [placed];
        let postures = [held(5, &sounding), held(5, &[(1, 1, 0, 0)])];
        cost(&descending(Stopped), &[&format!("{first}/2 E4/2")], &postures)
    };
    assert_eq!(after("F#4", (0, 2, 7, 3)), 50);
    assert_eq!(after("G4", (0, 2, 8, 4)), 0);
    assert_eq!(after("E4", (0, 2, 5, 1)), 0);
    assert_eq!(after("Eb4", (0, 3, 8, 4)), 0);
}

#[test]
fn a_line_is_of_single_notes_and_ends_at_a_cut() {
    let style = descending(Descending::Stopped);
    let chord = [held(5, &[(0, 4, 0, 0), (1, 2, 6, 2)]), held(5, &[(2, 1, 0, 0)])];
    assert_eq!(cost(&style, &["D3+F4/2 E4/2"], &chord), 0);
    let chord = [held(5, &[(0, 2, 6, 2)]), held(5, &[(1, 4, 0, 0), (2, 1, 0, 0)])];
    assert_eq!(cost(&style, &["F4/2 D3+E4/2"], &chord), 0);
    let cut = [held(5, &[(0, 2, 6, 2)]), held(5, &[(1, 2, 6, 2)]), held(0, &[(2, 1, 0, 0)])];
    assert_eq!(cost(&style, &["|: F4/1", "|1 F4/1 :|", "|2 E4/1"], &cut), 0);
}

/// A shape with its fingers, thickest string first; `-` where none is named.
fn shape(frets: &str, fingers: &str) -> Shape {
    let mut shape: Shape = frets.parse().unwrap();
    for (state, digit) in shape.strings.iter_mut().zip(fingers.chars().rev()) {
        if let StringState::Stopped { finger, .. } = state {
            *finger = digit.to_digit(10).and_then(|digit| LeftFinger::from_digit(digit as u8));
        }
    }
    shape
}

/// A minor as 2 on ④2, 3 on ③2, 1 on ②1.
#[test]
fn a_shape_has_its_fingers() {
    let style =
        |fingers: &str| HouseStyle { shapes: vec![shape("x02210", fingers)], ..HouseStyle::NONE };
    let (music, other) = (["A2+E3+A3+C4/1"], ["A2+E3+A3/1"]);
    let played =
        |sounding: &[_], fingers: &str| cost(&style(fingers), &music, &[held(1, sounding)]);
    let usual = [(0, 5, 0, 0), (1, 4, 2, 2), (2, 3, 2, 3), (3, 2, 1, 1)];
    let swapped = [(0, 5, 0, 0), (1, 4, 2, 3), (2, 3, 2, 4), (3, 2, 1, 1)];
    assert_eq!(played(&usual, "--231-"), 0);
    assert_eq!(played(&swapped, "--231-"), 100);
    assert_eq!(played(&swapped, "--2-1-"), 50, "no finger is named on ③");
    // Without C4 it is not the shape, nor with a note on ⑥.
    assert_eq!(cost(&style("--231-"), &other, &[held(1, &swapped[..3])]), 0);
    let more = [(0, 6, 0, 0), (1, 5, 0, 0), (2, 4, 2, 3), (3, 3, 2, 4), (4, 2, 1, 1)];
    assert_eq!(cost(&style("--231-"), &["E2+A2+E3+A3+C4/1"], &[held(1, &more)]), 0);
    // Kept notes belong to it, and are not charged again.
    let mut kept = case(
        score(&[&["r/2 C4/2"], &["A2+E3+A3/1"]]),
        &[held(1, &swapped[..3]), held(1, &swapped)],
    );
    kept.house = style("--232-");
    assert_eq!(kept.cost_of(Term::House), 50);
}

/// G major with 4 on ①3, in a house that plays fret 3 with 3; the first shape
/// that fits counts.
#[test]
fn shapes_go_before_the_third_fret() {
    let music = ["G2+B2+D3+G3+B3+G4/1"];
    let chord =
        [(0, 6, 3, 3), (1, 5, 2, 2), (2, 4, 0, 0), (3, 3, 0, 0), (4, 2, 0, 0), (5, 1, 3, 4)];
    let style = |shapes: &[(&str, &str)]| HouseStyle {
        third_fret: Some(LeftFinger::Four),
        shapes: shapes.iter().map(|(frets, fingers)| shape(frets, fingers)).collect(),
        ..HouseStyle::NONE
    };
    // 4 is at work, so fret 3 on ⑥ is for 3 even without a shape.
    let cost = |shapes: &[(&str, &str)]| cost(&style(shapes), &music, &[held(1, &chord)]);
    assert_eq!(cost(&[]), 0);
    assert_eq!(cost(&[("320003", "21---3")]), 150);
    assert_eq!(cost(&[("320003", "32---4"), ("320003", "21---3")]), 0);
    let small = [(0, 6, 3, 3), (1, 5, 2, 2)];
    let small = |shapes| {
        let mut case = case(score(&[&["G2+B2/1"]]), &[held(1, &small)]);
        case.house = style(shapes);
        case.cost_of(Term::House)
    };
    assert_eq!(small(&[]), 50);
    assert_eq!(small(&[("32xxxx", "32----")]), 0);
    assert_eq!(small(&[("32xxxx", "------")]), 0);
}

/// Against two preferences a note is charged once.
#[test]
fn a_note_is_charged_once() {
    let style = HouseStyle {
        third_fret: Some(LeftFinger::Four),
        descending: Some(Descending::Open),
        ..HouseStyle::NONE
    };
    let mut case =
        case(score(&[&["E3/2 D3/2"]]), &[held(1, &[(0, 4, 2, 2)]), held(1, &[(1, 5, 5, 4)])]);
    case.house = style.clone();
    assert_eq!(case.cost_of(Term::House), 50);
    let drop_d = apoyando_fretboard::Instrument {
        tuning: "5=B2".parse().unwrap(),
        ..apoyando_fretboard::Instrument::guitar()
    };
    // ⑤ at B2 gives D3 at fret 3.
    case.instrument = drop_d;
    case.put(1, crate::kit::at(5, 3, 3));
    assert_eq!(case.hand_faults(), []);
    assert_eq!(case.cost_of(Term::House), 50);
}

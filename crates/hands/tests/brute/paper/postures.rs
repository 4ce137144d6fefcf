//! Section 5: what a posture is charged, at the usual prices.

use apoyando_fingering::{Descending, Hinge, HouseStyle, LeftFinger, Shape, StringState, Term};

use super::kit::{Case, alone, charged, hand};
use crate::house::{Against, is_against};
use crate::question::Question;

use Term::{
    BarreHold, BarreLay, Contraction, Crossed, Crowd, Extension, Finger3, Finger4, Height, House,
    Lead, Lean, Ornament, Stop, Stretch, ToneHigh, ToneLong,
};

/// D F by 3 and 1 in I: two notes stopped at 4, and 2 for finger 3.
#[test]
fn fingers_cost_by_the_note() {
    let case = Case::new(&["D4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let at = |text: &str, position| alone(&q, &hand(&q, 0, text, Some(position)));
    assert_eq!(at("2-3-3 1-1-1", 1), [(Stop, 8), (Finger3, 2)]);
    // 4 drawn in by a fret.
    assert_eq!(at("2-3-4 1-1-1", 1), [(Stop, 8), (Finger4, 6), (Contraction, 2)]);
    // 1 below II, 3 drawn in; 66.9 + 2.0 mm where 63.2 are at rest, 5.7 more.
    let out =
        [(Stop, 8), (Finger3, 2), (Height, 1), (Extension, 24), (Contraction, 2), (Stretch, 1)];
    assert_eq!(at("2-3-3 1-1-1", 2), out);
}

/// 2q − 3: 1 in II, 3 in III, 7 in V, once for two notes; the place of the hand
/// counts; a bound finger strikes nothing.
#[test]
fn height_is_of_the_onset() {
    let case = Case::new(&["C4+F4.q E4.q E4.qt"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let height = |layer, text: &str, position, away| {
        let hand = hand(&q, layer, text, Some(position)).going(away);
        alone(&q, &hand).iter().find(|(term, _)| *term == Height).map_or(0, |(_, n)| *n)
    };
    assert_eq!(height(0, "3-5-1 2-6-2", 5, 0), 7);
    assert_eq!(height(0, "3-5-1 2-6-2", 1, 4), 7);
    assert_eq!(height(1, "2-5-4", 2, 0), 1);
    assert_eq!(height(1, "1-0-0", 7, 0), 0);
    let bound = hand(&q, 2, "1-0-0", Some(2)).binding(&q, 1, 1, 1);
    assert_eq!(alone(&q, &bound), [(Extension, 24)]);
}

/// 2 on ⑤3 in I leans towards 4 on ②4, and is paid for once; where 1 comes down it is held
/// open. In a line it is out of its fret, and no hand leans beyond finger 4.
#[test]
fn a_finger_that_opens_nothing_leans() {
    let case = Case::new(&["D#4.q E4.q G#3.h", "C3.w"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let at = |layer, text: &str| alone(&q, &hand(&q, layer, text, Some(1)));
    assert_eq!(at(0, "5-3-2 2-4-4"), [(Stop, 8), (Finger4, 6), (Lean, 10)]);
    assert_eq!(at(1, "1-0-0 | 0=5-3-2"), []);
    // 66.9 + 4.0 mm where 34.4 are at rest.
    assert_eq!(at(2, "3-1-1 | 0=5-3-2"), [(Stop, 4), (Extension, 24), (Stretch, 7)]);
    let case = Case::new(&["C3.h D3+E4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let at = |layer, text: &str| alone(&q, &hand(&q, layer, text, Some(1)));
    assert_eq!(at(0, "5-3-2"), [(Stop, 4), (Extension, 24)]);
    assert_eq!(at(1, "5-5-2 1-0-0"), [(Stop, 4), (Extension, 72)]);
}

/// 1 above its own fret: drawn in by one and leading.
#[test]
fn finger_1_leads() {
    let case = Case::new(&["G4.q F4.q", "C3.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let lead = hand(&q, 0, "x 1-3-1", Some(2));
    assert_eq!(alone(&q, &lead), [(Stop, 4), (Height, 1), (Contraction, 2), (Lead, 4)]);
    // A kept finger neither leads nor is drawn in.
    let kept = hand(&q, 1, "x | 0=5-3-1", Some(2));
    assert_eq!(alone(&q, &kept), []);
}

/// 2 · ex / 100. C E: 3 at ⑤3 and 1 at ②1 are 66.9 mm apart, 6 more by the
/// slant, at rest 66.9: 60, so 1. In II at rest 63.2: 97, so 1. With 2 at ⑤3:
/// 72.9 where 34.4 are at rest: 385, so 7.
#[test]
fn stretches_are_weighed_in_millimetres() {
    let case = Case::new(&["C3+C4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let stretch = |text: &str, position| {
        let items = alone(&q, &hand(&q, 0, text, Some(position)));
        items.iter().find(|(term, _)| *term == Stretch).map_or(0, |(_, n)| *n)
    };
    assert_eq!(stretch("5-3-3 2-1-1", 1), 1);
    assert_eq!(stretch("5-3-3 2-1-1", 2), 1);
    assert_eq!(stretch("5-3-2 2-1-1", 1), 7);
    // Under a barre no slant: 66.9 and 66.9 at rest.
    let case = Case::new(&["C3+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let barre = hand(&q, 0, "5-3-3 2-1-1 1-1-1", Some(1)).laid(1, 2);
    assert_eq!(alone(&q, &barre), [(Stop, 12), (Finger3, 2), (BarreHold, 4), (BarreLay, 8)]);
}

/// A chord of three on fret 2: 1 2 3 from the thick string to the thin. Neighbours
/// crowd; the lower finger on the thinner string is crossed.
#[test]
fn one_fret_is_crowded_and_may_be_crossed() {
    let case = Case::new(&["E3+A3+C#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let pairs = |text: &str| -> Vec<(Term, i64)> {
        let items = alone(&q, &hand(&q, 0, text, Some(1)));
        items.into_iter().filter(|(term, _)| [Crossed, Crowd].contains(term)).collect()
    };
    assert_eq!(pairs("4-2-1 3-2-2 2-2-3"), [(Crowd, 6)]);
    // 1 on ③ is thinner than 2 on ④, and 1 on ③ thicker than 3 on ②.
    assert_eq!(pairs("4-2-2 3-2-1 2-2-3"), [(Crossed, 8), (Crowd, 6)]);
    assert_eq!(pairs("4-2-1 x 2-2-3"), []);
}

/// What is kept on both strings neither crowds nor crosses, until one strikes.
#[test]
fn kept_pairs_do_not_count() {
    let case = Case::new(&["E3+A3.h.", "r.q C#4.q B2.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let strikes = hand(&q, 1, "2-2-3 | 0=4-2-1 1=3-2-2", Some(1));
    let first = || hand(&q, 0, "4-2-1 3-2-2", Some(1));
    assert_eq!(charged(&q, &[first(), strikes.clone()], Crowd), 3);
    let kept = hand(&q, 2, "5-2-4 | 0=4-2-1 1=3-2-2", Some(1));
    // 4 on ⑤ beside 1 on ④, who is lower and thinner, as 2 on ③ is; 1 and 2 are at
    // peace.
    let way = [first(), strikes, kept];
    assert_eq!((charged(&q, &way, Crowd), charged(&q, &way, Crossed)), (3, 24));
}

/// Four for each string beyond the first; what is lifted is not held.
#[test]
fn barres_are_held() {
    let case = Case::new(&["E3+A3+C#4+E4.q F#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let held = |hand: crate::grip::Posture| {
        let items = alone(&q, &hand);
        items.iter().find(|(term, _)| *term == BarreHold).map_or(0, |(_, n)| *n)
    };
    let chord = || hand(&q, 0, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
    assert_eq!(held(chord().laid(2, 4)), 8);
    assert_eq!(held(chord().hinged(1, 4, Some(Hinge::Thin))), 8);
    assert_eq!(held(hand(&q, 0, "4-2-1 3-2-1 2-2-1 x", Some(2)).laid(1, 4)), 12);
    let two = hand(&q, 0, "4-2-1 3-2-1 x 1-0-0", Some(2)).hinged(1, 4, Some(Hinge::Thin));
    assert_eq!(held(two), 4);
    // All three of the chord: 4 · 3, II, laid from the air, and no stretch or pair
    // with itself.
    let items = [(Stop, 12), (Height, 1), (BarreHold, 8), (BarreLay, 16)];
    assert_eq!(alone(&q, &chord().laid(2, 4)), items);
}

/// An open melody note in V is high; one of a second is long; a bass is neither.
#[test]
fn open_strings_have_their_tone() {
    let case = Case::new(&["E4.q E4.e", "E2.q."]).at(0, 60);
    let problem = case.problem();
    let q = Question::new(&problem);
    let open = |layer, text: &str, position| alone(&q, &hand(&q, layer, text, position));
    assert_eq!(open(0, "6-0-0 1-0-0", None), [(ToneLong, 2)]);
    assert_eq!(open(0, "6-0-0 1-0-0", Some(3)), [(ToneLong, 2)]);
    assert_eq!(open(0, "6-0-0 1-0-0", Some(4)), [(ToneHigh, 10), (ToneLong, 2)]);
    assert_eq!(open(1, "1-0-0", Some(4)), [(ToneHigh, 10)]);
    assert_eq!(open(1, "2-5-4", Some(2)), [(Stop, 4), (Finger4, 6), (Height, 1)]);
}

#[test]
fn an_ornament_not_played_is_missed() {
    let case = Case::new(&["F4.qt"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert_eq!(alone(&q, &hand(&q, 0, "1-1-1", Some(1))), [(Stop, 4), (Ornament, 240)]);
    // 1 and 3 a tone apart, at rest: nothing more.
    let bound = hand(&q, 0, "1-1-1", Some(1)).binding(&q, 3, 1, 3);
    assert_eq!(alone(&q, &bound), [(Stop, 4)]);
    // 4 bound a fret below its own: it strikes nothing.
    let drawn_in = hand(&q, 0, "1-1-1", Some(1)).binding(&q, 4, 1, 3);
    assert_eq!(alone(&q, &drawn_in), [(Stop, 4)]);
    assert_eq!(alone(&q, &hand(&q, 0, "x", None)), []);
    // A grace note calls for the same.
    let case = Case::new(&["F4.q,G4"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let bound = hand(&q, 0, "1-1-1", Some(1)).binding(&q, 3, 1, 3);
    assert_eq!(alone(&q, &bound), [(Stop, 4)]);
}

pub fn shape(frets: &str, fingers: [u8; 6]) -> Shape {
    let mut shape: Shape = frets.parse().unwrap();
    for (state, digit) in shape.strings.iter_mut().zip(fingers.into_iter().rev()) {
        if let StringState::Stopped { finger, .. } = state {
            *finger = LeftFinger::from_digit(digit);
        }
    }
    shape
}

/// A minor, x02210 by 2 3 1: what sounds is the shape if all it stops sounds and
/// nothing else but its open strings.
#[test]
fn shapes_have_their_fingers() {
    let mut case = Case::new(&["A2+E3+A3+C4.q E3+A3+C4.q E3+A3.q"]);
    case.house =
        HouseStyle { shapes: vec![shape("x02210", [0, 0, 2, 3, 1, 0])], ..HouseStyle::NONE };
    let problem = case.problem();
    let q = Question::new(&problem);
    let against = |layer: usize, text: &str| -> Vec<bool> {
        let hand = hand(&q, layer, text, Some(1));
        (0..q.struck[layer].len()).map(|index| is_against(&q, &hand, index).is_some()).collect()
    };
    assert_eq!(against(0, "5-0-0 4-2-2 3-2-3 2-1-1"), [false; 4]);
    assert_eq!(against(0, "5-0-0 4-2-3 3-2-4 2-1-1"), [false, true, true, false]);
    assert_eq!(against(1, "4-2-3 3-2-4 2-1-1"), [true, true, false]);
    assert_eq!(against(2, "4-2-3 3-2-4"), [false, false], "C does not sound");
    assert_eq!(against(0, "6-5-4 4-2-3 3-2-2 2-1-1"), [false; 4], "⑥ is not of the shape");
    let charged = alone(&q, &hand(&q, 1, "4-2-3 3-2-4 2-1-1", Some(1)));
    assert!(charged.contains(&(House, 24)), "{charged:?}");
    // No finger given is none preferred.
    case.house.shapes = vec![shape("x02210", [0; 6])];
    let problem = case.problem();
    let q = Question::new(&problem);
    let hand = hand(&q, 1, "4-2-3 3-2-4 2-1-1", Some(1));
    assert!((0..3).all(|index| is_against(&q, &hand, index).is_none()));
}

/// 3 or 4 at fret 3 in I, unless the one preferred stops something already; a
/// shape goes before that for what it stops.
#[test]
fn the_third_fret_has_its_finger() {
    let mut case = Case::new(&["G4.q D4+G4.q", "C3.h"]);
    case.house = HouseStyle { third_fret: Some(LeftFinger::Four), ..HouseStyle::NONE };
    let problem = case.problem();
    let q = Question::new(&problem);
    let against = |q: &Question<'_>, layer: usize, text: &str, position| {
        is_against(q, &hand(q, layer, text, Some(position)), q.struck[layer].len() - 1)
    };
    assert_eq!(against(&q, 0, "x 1-3-3", 1), Some(Against::ThirdFret));
    assert_eq!(against(&q, 0, "x 1-3-4", 1), None);
    assert_eq!(against(&q, 0, "x 1-3-3", 2), None);
    assert_eq!(against(&q, 0, "5-3-4 1-3-3", 1), None, "4 is busy");
    assert_eq!(against(&q, 1, "2-3-4 1-3-3", 1), None);
    assert_eq!(against(&q, 1, "x 1-3-3 | 0=5-3-4", 1), None, "and keeps its bass");
    let mut shaped = Case::new(&["G4.q"]);
    shaped.house.third_fret = Some(LeftFinger::Four);
    shaped.house.shapes = vec![shape("xxxxx3", [0, 0, 0, 0, 0, 3])];
    let problem = shaped.problem();
    let q = Question::new(&problem);
    assert_eq!(against(&q, 0, "1-3-3", 1), None, "the shape says so");
    assert_eq!(against(&q, 0, "1-3-4", 1), Some(Against::Shape));
}

/// From F down to E: open ① or stopped ②5. From G it is three semitones, from a
/// chord no line.
#[test]
fn descending_lines_come_to_open_or_stopped_strings() {
    let against = |voice: &str, style: Descending, layer: usize, text: &str| {
        let mut case = Case::new(&[voice]);
        case.house.descending = Some(style);
        let problem = case.problem();
        let q = Question::new(&problem);
        is_against(&q, &hand(&q, layer, text, Some(2)), 0)
    };
    use Descending::{Open, Stopped};
    let down = Some(Against::Descending);
    assert_eq!(against("F4.q E4.q", Open, 1, "2-5-4"), down);
    assert_eq!(against("F4.q E4.q", Open, 1, "1-0-0"), None);
    assert_eq!(against("F4.q E4.q", Stopped, 1, "1-0-0"), down);
    assert_eq!(against("F4.q E4.q", Stopped, 1, "2-5-4"), None);
    assert_eq!(against("F#4.q E4.q", Open, 1, "2-5-4"), down);
    assert_eq!(against("G4.q E4.q", Open, 1, "2-5-4"), None);
    assert_eq!(against("D4.q E4.q", Open, 1, "2-5-4"), None);
    assert_eq!(against("C4+F4.q E4.q", Open, 1, "2-5-4"), None);
    assert_eq!(against("G4.q F4.q", Open, 1, "2-6-4"), None, "no string is F");
    assert_eq!(against("F2.q E2.q", Stopped, 1, "6-0-0"), None, "no thicker string");
    let mut short = Case::new(&["F4.q E4.q"]);
    short.house.descending = Some(Stopped);
    short.instrument.frets = apoyando_fretboard::Fret(4);
    let problem = short.problem();
    let q = Question::new(&problem);
    assert_eq!(is_against(&q, &hand(&q, 1, "1-0-0", Some(1)), 0), None, "② ends below E");
    // |: G F :| and on to E: from F to E over the seam only.
    assert_eq!(against("|: F4.q | [1 D4.q :| | [2 E4.q", Open, 2, "2-5-4"), None);
}

/// 30 for a barre of which a chord of three needs ② alone. Not for two sounds, nor where
/// a note later in the bar is under it, nor where ① is stopped as well, struck or kept.
#[test]
fn a_barre_that_a_chord_does_not_need_is_idle() {
    let idle = |voices: &[&str], layer, text: &str| {
        let case = Case::new(voices);
        let problem = case.problem();
        let q = Question::new(&problem);
        let items = alone(&q, &hand(&q, layer, text, Some(1)).laid(1, 2));
        items.iter().find(|(term, _)| *term == Term::BarreIdle).map_or(0, |(_, n)| *n)
    };
    let chord = "4-2-2 3-2-3 2-1-1";
    assert_eq!(idle(&["E3+A3+C4.q | F4.q"], 0, chord), 30);
    assert_eq!(idle(&["E3+A3+C4.q G3.q F4.q"], 0, chord), 0);
    assert_eq!(idle(&["E3+A3+C4.q G3.q E4.q"], 0, chord), 30);
    assert_eq!(idle(&["A3+C4.q | F4.q"], 0, "3-2-3 2-1-1"), 0);
    assert_eq!(idle(&["A3+C4+F4.q"], 0, "3-2-2 2-1-1 1-1-1"), 0);
    assert_eq!(idle(&["F4.h", "r.q E3+A3+C4.q"], 1, "4-2-2 3-2-3 2-1-1 | 0=1-1-1"), 0);
}

//! Section 5: what fingers are charged on a move, at the usual prices. Without a mark a
//! quarter lasts 833 ms (hurry 1), an eighth 416 ms (2), a sixteenth 208 ms (3).

use apoyando_fingering::Term;

use super::kit::{Case, charged, hand, moved};
use crate::grip::Posture;
use crate::question::Question;
use crate::whole::items;

use Term::{
    BarreHold, BarreLay, Crossed, Crowd, Exchange, Jump, JumpBass, Land, Leap, Replace, Slide,
    Twice, WeakPair,
};

/// What is struck again while its fingers lie does not crowd anew.
#[test]
fn fingers_come_to_one_fret_once() {
    let case = Case::new(&["E3+A3.q E3+A3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let chord = |layer, text: &str| hand(&q, layer, text, Some(1));
    let (usual, turned) = ("4-2-1 3-2-2", "4-2-2 3-2-1");
    let crowd = |from: &str, to: &str| {
        let way = [chord(0, from), chord(1, to)];
        (charged(&q, &way, Crowd), charged(&q, &way, Crossed))
    };
    assert_eq!(crowd(usual, usual), (0, 0));
    assert_eq!(crowd(turned, turned), (0, 0));
    assert_eq!(crowd(usual, turned), (3, 8));
    assert_eq!(crowd("4-2-1 3-2-3", usual), (3, 0));
}

/// 2 waits on ③2 while 3 comes to ④2, and is crossed when it strikes, whether it stayed or
/// not; the crowd is charged only if it comes.
#[test]
fn a_finger_that_stayed_is_crossed_when_it_strikes() {
    let case = Case::new(&["A3.q B3.q A3.q", "r.q E3.h"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let pairs = |stays: bool, low: u8, high: u8| {
        let between = hand(&q, 1, &format!("4-2-{low} 2-0-0"), Some(1));
        let between = if stays { between.staying(high, 3, 2) } else { between };
        let strikes = hand(&q, 2, &format!("3-2-{high} | 1=4-2-{low}"), Some(1));
        let way = [hand(&q, 0, &format!("3-2-{high}"), Some(1)), between, strikes];
        let items = items(&q, &way);
        let charged = |layer, term| items.get(&(layer, term)).copied().unwrap_or(0);
        [1, 2].map(|layer| (charged(layer, Crossed), charged(layer, Crowd)))
    };
    assert_eq!(pairs(true, 3, 2), [(0, 0), (8, 0)]);
    assert_eq!(pairs(false, 3, 2), [(0, 0), (8, 3)]);
    assert_eq!(pairs(true, 2, 3), [(0, 0), (0, 0)]);
}

/// A3 and E3 running, and F♯4 and D4: the second finger passes the first, by a
/// string.
#[test]
fn fingers_pass_one_another_in_a_melody() {
    let passed = |notes: &str, first: &str, second: (&str, u8)| {
        let case = Case::new(&[notes]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let way = [hand(&q, 0, first, Some(2)), hand(&q, 1, second.0, Some(second.1))];
        charged(&q, &way, Crossed)
    };
    assert_eq!(passed("A3.q E3.q", "3-2-1", ("4-2-2", 2)), 8);
    assert_eq!(passed("A3.q E3.q", "3-2-2", ("4-2-1", 2)), 0);
    assert_eq!(passed("F#4.q D4.q", "1-2-3", ("2-3-2", 2)), 8);
    assert_eq!(passed("F#4.q D4.q", "1-2-1", ("2-3-2", 2)), 0);
    assert_eq!(passed("F#4.q D4.q", "1-2-3", ("2-3-2", 1)), 0, "the hand shifts");
    assert_eq!(passed("F#4.q r.q D4.q", "1-2-3", ("2-3-2", 2)), 0, "a rest");
}

/// A finger lands where it was on none of the strings, down or staying; from
/// another string it jumps.
#[test]
fn fingers_land_and_jump() {
    let case = Case::new(&["F4.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let f = || hand(&q, 0, "1-1-1", Some(1));
    let to = |s: Posture, text: &str| moved(&q, &[s, hand(&q, 1, text, Some(1))]);
    assert_eq!(to(f(), "2-1-1"), [(Land, 2), (Jump, 4), (Twice, 16)]);
    // 2 on the thicker string passes 1.
    assert_eq!(to(f(), "2-1-2"), [(Crossed, 8), (Land, 2)]);
    assert_eq!(to(f().staying(2, 2, 1), "2-1-2"), [(Crossed, 8)]);
    let jumps = to(f().staying(2, 3, 1), "2-1-2");
    assert_eq!(jumps, [(Crossed, 8), (Land, 2)], "staying it does not jump");
    let idle = hand(&q, 0, "1-1-1", Some(1));
    assert_eq!(to(idle, "x"), []);
    // A barre at that fret over both strings: it lies there, and does not jump.
    assert_eq!(to(f().laid(1, 2), "2-1-1"), []);
    let n = hand(&q, 1, "2-1-1", Some(1)).laid(1, 2);
    assert_eq!(
        moved(&q, &[f(), n]),
        [(Land, 2), (BarreLay, 8), (BarreHold, 4)].into_iter().rev().collect::<Vec<_>>()
    );
}

/// ④1 is beyond the barre over ① and ②.
#[test]
fn a_barre_spares_a_jump_only_in_its_span() {
    let case = Case::new(&["C4+F4.e D#3.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let barre = hand(&q, 0, "2-1-1 1-1-1", Some(1)).laid(1, 2);
    let way = [barre, hand(&q, 1, "4-1-1", Some(1))];
    assert_eq!(moved(&q, &way), [(Land, 2), (Jump, 4), (Twice, 16)]);
}

/// In chords of three nobody counts landings and jumps; a sound left out is
/// struck there all the same.
#[test]
fn chords_are_not_landed_in() {
    let case = Case::new(&["F4.e E3+A3+C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let f = hand(&q, 0, "1-1-1", Some(1));
    let moved = |text: &str| moved(&q, &[f.clone(), hand(&q, 1, text, Some(1))]);
    assert_eq!(moved("4-2-2 3-2-3 2-1-1"), [(Crowd, 3)]);
    assert_eq!(moved("x x 2-1-1"), []);
}

/// F, an open string, C: finger 1 leaps over an eighth; 833 ms are too long.
#[test]
fn fingers_leap_over_a_short_note() {
    let leap = |line: &str, middle: &str, last: &str| {
        let case = Case::new(&[line]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let idle = (middle == "1-0-0").then_some(1);
        let way = [
            hand(&q, 0, "1-1-1", Some(1)),
            hand(&q, 1, middle, idle.or(Some(1))),
            hand(&q, 2, last, Some(1)),
        ];
        charged(&q, &way, Leap)
    };
    assert_eq!(leap("F4.s E4.s C4.s", "1-0-0", "2-1-1"), 2, "416 ms: 2 · (2 − 1)");
    assert_eq!(leap("F4.e E4.e C4.e", "1-0-0", "2-1-1"), 0);
    assert_eq!(leap("F4.s E4.s F4.s", "1-0-0", "1-1-1"), 0, "on its string");
    assert_eq!(leap("F4.s E4.s C4.s", "1-0-0", "2-1-2"), 0, "another finger");
    assert_eq!(leap("F4.s C4.s G#3.s", "2-1-1", "3-1-1"), 0, "it is down between");
    assert_eq!(leap("F4.s E4.s C4.s", "2-5-4", "2-1-1"), 2);
    // Into a chord of three and from a chord nothing leaps.
    let case = Case::new(&["F4.s E4.s E3+A3+C4.s"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let chord = hand(&q, 2, "4-2-2 3-2-3 2-1-1", Some(1));
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-0-0", Some(1)), chord];
    assert_eq!(charged(&q, &way, Leap), 0);
    let case = Case::new(&["C4+F4.s E4.s G#3.s"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [
        hand(&q, 0, "2-1-2 1-1-1", Some(1)),
        hand(&q, 1, "1-0-0", Some(1)),
        hand(&q, 2, "3-1-1", Some(1)),
    ];
    assert_eq!(charged(&q, &way, Leap), 0);
}

/// C4 on ② by 1, an open string, C4 again: eight by any other finger on its string, up to
/// four onsets and 3 s on. Not on another string, in a broken chord, by a finger that slides
/// there, nor if finger 1 has been elsewhere or is still there; a note that is struck
/// between comes again from there.
#[test]
fn fingers_are_exchanged_on_a_note_that_comes_again() {
    let exchanged = |line: &str, hands: &[(&str, u8)]| {
        let case = Case::new(&[line]);
        let problem = case.problem();
        let q = Question::new(&problem);
        let way: Vec<Posture> = hands
            .iter()
            .enumerate()
            .map(|(layer, (text, position))| hand(&q, layer, text, Some(*position)))
            .collect();
        charged(&q, &way, Exchange)
    };
    let (one, two, open) = (("2-1-1", 1), ("2-1-2", 1), ("1-0-0", 1));
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, two]), 8);
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, one]), 0);
    assert_eq!(exchanged("C4.q E4.q C4.q", &[one, open, ("3-5-4", 2)]), 0, "on another string");
    assert_eq!(exchanged("C4.q G#3.q C4.q", &[one, ("3-1-1", 1), two]), 0, "it was elsewhere");
    assert_eq!(exchanged("C4.q C#4.q C4.q", &[one, ("2-2-2", 1), two]), 0, "it slides there");
    // A G E is a chord, which is taken as its shape wants it.
    let chord = [("3-2-2", 1), ("3-0-0", 1), open, ("3-2-3", 1)];
    assert_eq!(exchanged("A3.e G3.e E4.e A3.e", &chord), 8);
    let chord = [("3-2-2", 1), ("2-1-1", 1), open, ("3-2-3", 1)];
    assert_eq!(exchanged("A3.e C4.e E4.e A3.e", &chord), 0);
    assert_eq!(exchanged("C4.q G3.q E4.q C4.q", &[one, ("3-0-0", 1), open, two]), 8);
    let more = |last| [one, ("3-0-0", 1), open, ("4-0-0", 1), last];
    assert_eq!(exchanged("C4.e G3.e E4.e D3.e C4.e", &more(two)), 8);
    assert_eq!(exchanged("C4.q G3.q E4.q D3.q C4.q", &more(two)), 0, "after 3333 ms");
    let line = "C4.q E4.q C4.q E4.q C4.q";
    assert_eq!(exchanged(line, &[one, open, two, open, two]), 0, "from the last time");
    assert_eq!(exchanged(line, &[two, open, one, open, two]), 8);
}

/// Five more, times the hurry, where the finger that jumps plays the bass; not into a chord
/// of three, nor for a finger of the melody.
#[test]
fn the_bass_goes_from_finger_to_finger() {
    let case = Case::new(&["G4.e G4.e G3+G4.e", "B2.e E3.e B2.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let low = |text: &str| {
        let way = [hand(&q, 0, "5-2-2 1-3-4", Some(1)), hand(&q, 1, text, Some(1))];
        [Jump, JumpBass].map(|term| charged(&q, &way, term))
    };
    assert_eq!(low("4-2-2 1-3-4"), [4, 10]);
    assert_eq!(low("4-2-3 1-3-4"), [0, 0]);
    assert_eq!(low("4-2-4 1-3-3"), [4, 10], "from the melody");
    let chord = [
        hand(&q, 0, "5-2-2 1-3-4", Some(1)),
        hand(&q, 1, "4-2-2 1-3-4", Some(1)),
        hand(&q, 2, "5-2-2 3-0-0 1-3-4", Some(1)),
    ];
    assert_eq!([Jump, JumpBass].map(|term| charged(&q, &chord, term)), [0, 0]);
    let case = Case::new(&["F4.e C4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "2-1-1", Some(1))];
    assert_eq!([Jump, JumpBass].map(|term| charged(&q, &way, term)), [4, 0]);
}

/// Eight a slide, times the hurry; not with the whole hand, nor from one string
/// to another.
#[test]
fn fingers_slide_on_their_string() {
    let case = Case::new(&["F4.e F#4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let slide = |from, to, away| {
        let n = hand(&q, 1, "1-2-1", Some(to)).going(away);
        charged(&q, &[hand(&q, 0, "1-1-1", Some(from)), n], Slide)
    };
    assert_eq!(slide(1, 1, 0), 16);
    assert_eq!(slide(1, 2, 0), 0, "a shift");
    assert_eq!(slide(1, 1, 2), 0, "the place of the hand is another");
    let other = hand(&q, 1, "2-7-1", Some(1));
    assert_eq!(charged(&q, &[hand(&q, 0, "1-1-1", Some(1)), other], Slide), 0);
    // A glissando is meant to slide.
    let case = Case::new(&["F4.e< F#4.e>"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-1-1", Some(1)), hand(&q, 1, "1-2-1", Some(1))];
    assert_eq!(moved(&q, &way), []);
}

/// Twelve for a place that another finger takes over; two where 3 and 4 follow
/// one another alone.
#[test]
fn fingers_replace_and_alternate() {
    let case = Case::new(&["G4.e G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let from = |s: &str, n: &str| {
        let way = [hand(&q, 0, s, Some(1)), hand(&q, 1, n, Some(1))];
        [Replace, WeakPair].map(|term| charged(&q, &way, term))
    };
    assert_eq!(from("1-3-3", "1-3-3"), [0, 0]);
    assert_eq!(from("1-3-3", "1-3-4"), [24, 4]);
    assert_eq!(from("1-3-2", "1-3-4"), [24, 0]);
    assert_eq!(from("2-8-3", "1-3-4"), [0, 4]);
    // What an ornament bound is replaced as well.
    let case = Case::new(&["F4.et G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let bound = hand(&q, 0, "1-1-1", Some(1)).binding(&q, 3, 1, 3);
    let way = [bound, hand(&q, 1, "1-3-4", Some(1))];
    assert_eq!([Replace, WeakPair].map(|term| charged(&q, &way, term)), [24, 0]);
    // Two sounds are no alternation, though one of them is left out.
    let case = Case::new(&["G4.q D4+G4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let weak =
        |n: &str| charged(&q, &[hand(&q, 0, "1-3-3", Some(1)), hand(&q, 1, n, Some(1))], WeakPair);
    assert_eq!([weak("2-3-4 1-3-3"), weak("2-3-4 x"), weak("x 1-3-4")], [0, 2, 2]);
}

/// Eight more where the hand stays and no chord is struck, a bass that lies there among
/// them, whatever the hurry.
#[test]
fn what_lies_where_it_is_struck_again_keeps_its_finger() {
    let case = Case::new(&["E4.q D4.q D4+G4.q", "C3.h C3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = hand(&q, 0, "5-3-2 1-0-0", Some(1));
    let kept = hand(&q, 1, "2-3-3 | 0=5-3-2", Some(1));
    let bass = |finger: u8, position| {
        let n = hand(&q, 2, &format!("5-3-{finger} 2-3-4 1-3-4"), Some(position));
        charged(&q, &[first.clone(), kept.clone(), n], Exchange)
    };
    assert_eq!(bass(3, 1), 0, "a chord of three");
    let case = Case::new(&["E4.q D4.q D4.q", "C3.h C3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let first = hand(&q, 0, "5-3-2 1-0-0", Some(1));
    let kept = hand(&q, 1, "2-3-3 | 0=5-3-2", Some(1));
    let bass = |text: &str, position| {
        let way = [first.clone(), kept.clone(), hand(&q, 2, text, Some(position))];
        [Exchange, Replace].map(|term| charged(&q, &way, term))
    };
    assert_eq!(bass("5-3-2 2-3-3", 1), [0, 0]);
    assert_eq!(bass("5-3-3 2-3-4", 1), [16, 24], "both");
    assert_eq!(bass("5-3-2 2-3-4", 1), [8, 12]);
    assert_eq!(bass("5-3-2 2-3-4", 2), [0, 12], "the hand goes elsewhere");
    let case = Case::new(&["G4.e G4.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let way = [hand(&q, 0, "1-3-3", Some(1)), hand(&q, 1, "1-3-4", Some(1))];
    assert_eq!(charged(&q, &way, Exchange), 8);
}

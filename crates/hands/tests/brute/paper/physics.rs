//! Section 3: where hands can be, P1 to P11, and what may follow, M1 to M4.

use apoyando_fingering::Hinge;

use super::kit::{Case, hand};
use crate::grip::Posture;
use crate::plain::{follows, stands};
use crate::question::Question;

/// P1: fret 12 an octave above the string; 19, 24 and 28 semitones above as far
/// as the frets go; a stopped place an octave below.
#[test]
fn harmonics_have_their_places() {
    let places = |name: &str| {
        let case = Case::new(&[name]);
        Question::new(&case.problem()).places[0].clone()
    };
    assert_eq!(places("E5.qo"), [(1, 12)]);
    assert_eq!(places("E4.qo"), [(5, 7), (5, 19), (6, 5)]);
    assert_eq!(places("G#4.qo"), [(6, 4), (6, 9), (6, 16)]);
    assert_eq!(places("F5.qa"), [(1, 1), (2, 6), (3, 10), (4, 15)]);
    // E4 an octave below is the open ①, which is not stopped.
    assert_eq!(places("E5.qa"), [(2, 5), (3, 9), (4, 14), (5, 19)]);
}

#[test]
fn p2_and_p3_ask_for_strings_and_fingers() {
    let case = Case::new(&["E4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |text: &str| stands(&q, &hand(&q, 0, text, Some(1)));
    assert!(on("2-5-4 1-1-1") || on("1-0-0 2-6-4") || on("x 1-1-1"));
    assert!(on("x 1-1-1") && !on("1-0-0 1-1-1"));
    assert!(!on("1-0-1 x") && !on("x 1-1-0"));
}

/// The barre at I over ① to ③, as its ends give F and G sharp; ④ gives D sharp,
/// which is not struck here or next.
#[test]
fn p4_lays_a_barre_where_its_ends_are_meant() {
    let case = Case::new(&["F4.q G#3.q D#3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let lies = |layer: usize, text: &str, thin, thick| {
        stands(&q, &hand(&q, layer, text, Some(1)).laid(thin, thick))
    };
    assert!(lies(0, "1-1-1", 1, 3));
    assert!(!lies(0, "1-1-1", 1, 4), "D sharp is two layers off");
    assert!(!lies(0, "1-1-1", 1, 2), "nobody asks for C");
    assert!(!lies(0, "1-1-2", 1, 3), "finger 1 stops nothing");
    assert!(lies(1, "3-1-1", 3, 4));
    assert!(!lies(2, "4-1-1", 3, 4), "G sharp was before");
    assert!(!lies(0, "1-1-1", 1, 1));
}

/// Finger 1 alone lies over strings; it stops nothing outside its span, and where it
/// lies it neither touches nor is bound.
#[test]
fn p4_puts_a_finger_at_one_place() {
    let case = Case::new(&["D#3+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |text: &str| hand(&q, 0, text, Some(1));
    assert!(!stands(&q, &on("x 2-1-2 1-1-2")), "2 on two strings");
    assert!(!stands(&q, &on("4-1-1 2-1-1 1-1-1").laid(1, 2)), "④ is outside");
    // D at ②3 with a mordent: 1 may be bound at C, but not as it lies at ①1 too.
    let case = Case::new(&["D4.qm", "F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let d = |text: &str| hand(&q, 0, text, Some(1));
    assert!(stands(&q, &d("2-3-3 x").binding(&q, 1, 2, 1)));
    assert!(stands(&q, &d("2-3-3 1-1-1")));
    assert!(!stands(&q, &d("2-3-3 1-1-1").binding(&q, 1, 2, 1)));
    assert!(!stands(&q, &d("2-3-3 1-1-1").laid(1, 2).binding(&q, 1, 2, 1)));
}

/// A figure is one: its later layers are all meant.
#[test]
fn p4_looks_ahead_in_a_figure() {
    let case = Case::new(&["F4.e C4.e A3.e F3.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert_eq!(q.heard.figure, [Some(0); 4]);
    let long = hand(&q, 0, "1-1-1", Some(1)).laid(1, 6);
    assert!(!stands(&q, &long), "F2 is not F3");
    let case = Case::new(&["F4.e C4.e A3.e F2.e"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert!(stands(&q, &hand(&q, 0, "1-1-1", Some(1)).laid(1, 6)));
}

/// In the span nothing sounds open or below, and nothing else lies at its fret.
#[test]
fn p4_leaves_no_open_string_under_a_barre() {
    let case = Case::new(&["F4+B3+G#3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let two_on_one = |text: &str| hand(&q, 0, text, Some(1));
    assert!(!stands(&q, &two_on_one("3-1-1 2-0-0 1-1-1")), "two sounds on finger 1");
    assert!(!stands(&q, &two_on_one("3-1-1 2-0-0 1-1-1").laid(1, 3)));
    assert!(!stands(&q, &two_on_one("3-1-1 x 1-1-2").laid(1, 3)), "2 under the barre");
    assert!(stands(&q, &two_on_one("3-1-1 x 1-1-1").laid(1, 3)));
}

/// The A major barre at II on ④ to ② with ① open: the thin side is lifted.
#[test]
fn p4_lifts_a_side() {
    let case = Case::new(&["E3+A3+C#4+E4.q F#4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let chord = || hand(&q, 0, "4-2-1 3-2-1 2-2-1 1-0-0", Some(2));
    assert!(stands(&q, &chord().laid(2, 4)));
    assert!(!stands(&q, &chord().laid(1, 4)), "① sounds open");
    assert!(stands(&q, &chord().hinged(1, 4, Some(Hinge::Thin))));
    assert!(!stands(&q, &chord().hinged(1, 4, Some(Hinge::Thick))), "nothing is lifted");
    assert!(!stands(&q, &chord().hinged(2, 4, Some(Hinge::Thin))), "no string of it is open");
    // On ④ alone, or on ④ and ③: the laid part is two strings at least.
    let one = hand(&q, 0, "4-2-1 x x 1-0-0", Some(2)).hinged(1, 4, Some(Hinge::Thin));
    assert!(!stands(&q, &one), "laid on one string");
    let two = hand(&q, 0, "4-2-1 3-2-1 x 1-0-0", Some(2)).hinged(1, 4, Some(Hinge::Thin));
    assert!(stands(&q, &two));
    let silent = hand(&q, 0, "4-2-1 3-2-1 2-2-1 x", Some(2));
    assert!(!stands(&q, &silent.clone().hinged(1, 4, Some(Hinge::Thin))));
    assert!(stands(&q, &silent.laid(1, 4)));
}

#[test]
fn p5_keeps_fingers_in_order() {
    let case = Case::new(&["C4+F4.q C#4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |layer, text: &str| stands(&q, &hand(&q, layer, text, Some(1)));
    assert!(on(0, "2-1-1 1-1-2") && on(0, "2-1-2 1-1-1"));
    assert!(on(1, "2-2-2 1-1-1") && !on(1, "2-2-2 1-1-3"));
    let second = |text: &str| stands(&q, &hand(&q, 1, text, Some(2)));
    assert!(second("2-2-1 x") && !second("2-2-1 1-1-2"));
    // Beside a barre nobody else is at its fret.
    let case = Case::new(&["D#3+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let barre = |text: &str| stands(&q, &hand(&q, 0, text, Some(1)).laid(1, 2));
    assert!(barre("x 2-1-1 1-1-1") && !barre("4-1-2 2-1-1 1-1-1"));
}

/// Medium hands reach 66 mm from 2 to 3. Frets 1 and 3 are 66.9 mm apart, and the
/// more from ① to ②; 1 reaches 105 mm to 3. Between 2 on ② and 3 on ① it is less.
#[test]
fn p6_is_the_reach() {
    let case = Case::new(&["D4+F4.q C4+G4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |layer, text: &str| stands(&q, &hand(&q, layer, text, Some(1)));
    assert!(on(0, "2-3-3 1-1-1"));
    assert!(!on(0, "2-3-3 1-1-2"), "2 and 3 do not reach two frets");
    // dx 669, slant −20: 649, and 8.6 mm across make 654.
    assert!(on(1, "2-1-2 1-3-3"));
    // 1 reaches 80 mm to 2: from ①1 to ⑥3 it is 66.9 + 10 mm along and 37 across, but
    // under a barre 66.9.
    let case = Case::new(&["G2+C4+F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert!(!stands(&q, &hand(&q, 0, "6-3-2 x 1-1-1", Some(1))));
    assert!(stands(&q, &hand(&q, 0, "6-3-2 2-1-1 1-1-1", Some(1)).laid(1, 2)));
    // 1 reaches 125 mm to 4: frets 1 and 5 are 126.6 mm apart, 2 and 5 92.2.
    let case = Case::new(&["C4+A4.q C#4+A4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let on = |layer, text: &str| stands(&q, &hand(&q, layer, text, Some(2)));
    assert!(!on(0, "2-1-1 1-5-4") && on(1, "2-2-1 1-5-4"));
}

/// In V finger 1 is for fret 5, with up to three frets below and one above.
#[test]
fn p7_gives_each_finger_its_frets() {
    let case = Case::new(&["A4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let positions = |finger: u8| -> Vec<u8> {
        let text = format!("1-5-{finger}");
        (1..=24).filter(|p| stands(&q, &hand(&q, 0, &text, Some(*p)))).collect()
    };
    assert_eq!(positions(1), [4, 5, 6, 7, 8]);
    assert_eq!(positions(2), [1, 2, 3, 4, 5]);
    assert_eq!(positions(3), [1, 2, 3, 4, 5]);
    assert_eq!(positions(4), [1, 2, 3, 4, 5]);
    assert!(!stands(&q, &hand(&q, 0, "1-5-1", None)), "a hand not idle is somewhere");
}

/// F G sharp G F: finger 1 stays for the F to come.
#[test]
fn p9_lets_fingers_stay_for_common_tones() {
    let case = Case::new(&["F4.q G#4.q G4.q F4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let a = |layer| hand(&q, layer, if layer == 1 { "1-4-4" } else { "1-3-3" }, Some(2));
    let at_one =
        |layer: usize| hand(&q, layer, if layer == 1 { "1-4-4" } else { "1-3-3" }, Some(1));
    assert!(stands(&q, &at_one(1).staying(1, 1, 1)));
    assert!(stands(&q, &at_one(2).staying(1, 1, 1)));
    assert!(!stands(&q, &a(1).staying(1, 1, 1)), "an extension");
    assert!(!stands(&q, &at_one(2).staying(1, 2, 1)), "nobody asks for C");
    assert!(!stands(&q, &at_one(2).staying(3, 1, 1)), "3 is down");
    // In the last layer but one F is still to come, in the last nothing is.
    let last = hand(&q, 3, "1-1-1", Some(1));
    assert!(!stands(&q, &last.staying(3, 1, 3)));
}

#[test]
fn p9_lets_guides_stay_behind_or_in_the_air() {
    let case = Case::new(&["C4.q E4.q A4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let open = hand(&q, 1, "1-0-0", Some(1));
    assert!(stands(&q, &open.clone().staying(1, 2, 1)), "idle");
    assert!(!stands(&q, &open.clone().staying(1, 1, 1)), "on the string that sounds open");
    assert!(!stands(&q, &hand(&q, 1, "1-0-0", None).staying(1, 2, 1)), "nowhere");
    let stopped = |layer, text: &str| hand(&q, layer, text, Some(2));
    assert!(stands(&q, &stopped(1, "2-5-4").staying(1, 2, 2)), "behind the note");
    assert!(!stands(&q, &stopped(1, "2-5-4").staying(1, 3, 2)), "on another string, not asked for");
    assert!(!stands(&q, &stopped(2, "1-5-4").staying(1, 1, 2)), "nothing comes next");
    let three = open.staying(1, 2, 1).staying(2, 3, 2).staying(3, 4, 3);
    assert!(!stands(&q, &three), "three stay");
}

/// A pull-off from A to F: finger 1 waits behind 4, though it was not there.
#[test]
fn p9_prepares_slurs() {
    let case = Case::new(&["G3.q G4.q( F4.q) E4.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let g = hand(&q, 0, "3-0-0", None);
    let stopped = hand(&q, 1, "1-3-3", Some(1));
    let prepared = stopped.clone().staying(1, 1, 1);
    assert!(stands(&q, &prepared) && follows(&q, Some(&g), &prepared));
    assert!(!stands(&q, &hand(&q, 1, "2-8-3", Some(6)).staying(1, 1, 1)), "another string");
    // E pulled off to D: D at ③7 is a common tone, but not on the string of E.
    let case = Case::new(&["G3.q E4.q( D4.q)"]);
    let problem = case.problem();
    let q2 = Question::new(&problem);
    let beside = hand(&q2, 1, "2-5-1", Some(5)).staying(3, 3, 7);
    let g2 = hand(&q2, 0, "3-0-0", None);
    assert!(stands(&q2, &beside) && !follows(&q2, Some(&g2), &beside));
    // Fret 2 would be F sharp: no slur leads there, but the place is one of a guide.
    let behind = stopped.staying(2, 1, 2);
    assert!(stands(&q, &behind) && !follows(&q, Some(&g), &behind));
}

/// C with 1, then the hand four frets up for A and straight back.
#[test]
fn p10_and_m4_let_the_hand_go_away() {
    let case = Case::new(&["C4.q C5.q C4.q", "A2.h."]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let c = hand(&q, 0, "5-0-0 2-1-1", Some(1));
    let c5 = |position| hand(&q, 1, "1-8-4 | 0=5-0-0", Some(position));
    let away = c5(1).going(4);
    assert!(stands(&q, &away), "4 at its own fret, in V");
    assert!(stands(&q, &c5(5)) && !stands(&q, &c5(1)));
    assert!(!stands(&q, &c5(4).going(5)) && !stands(&q, &c5(4).going(1)));
    assert!(!stands(&q, &c5(2).going(4)), "4 is drawn in, and nobody is at his own");
    assert!(follows(&q, Some(&c), &away));
    let back = |position| hand(&q, 2, "2-1-1 | 0=5-0-0", Some(position));
    assert!(follows(&q, Some(&away), &back(1)) && !follows(&q, Some(&away), &back(2)));
    assert!(!follows(&q, None, &hand(&q, 0, "5-0-0 2-1-1", Some(1)).going(2)));
    // Neither with a kept finger nor with a staying one.
    let held = hand(&q, 1, "1-8-4 | 0=6-5-1", Some(1)).going(4);
    assert!(!stands(&q, &held));
    assert!(!stands(&q, &away.staying(1, 2, 5)));
}

/// A trill on F at ①1: 2 is bound at G, fret 3, or the note is not ornamented.
#[test]
fn p11_binds_fingers_to_ornaments() {
    let case = Case::new(&["F4.ht"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert_eq!(q.sound(0).auxiliaries, [67]);
    let f = |text: &str, position| hand(&q, 0, text, Some(position));
    assert!(stands(&q, &f("1-1-1", 1)) && !f("1-1-1", 1).is_ornamented(&q, 0));
    let bound = f("1-1-1", 1).binding(&q, 3, 1, 3);
    assert!(stands(&q, &bound) && bound.is_ornamented(&q, 0));
    assert!(!stands(&q, &f("1-1-1", 1).binding(&q, 3, 1, 4)), "A flat is not asked for");
    assert!(!stands(&q, &f("1-1-1", 1).binding(&q, 3, 2, 8)), "on another string");
    assert!(!stands(&q, &f("x", 1).binding(&q, 3, 1, 3)), "left out");
}

/// A turn on B at ③4 needs A (③2) and C (③5); on ② A is below the open string.
#[test]
fn p11_asks_for_the_whole_ornament() {
    let case = Case::new(&["B3.hu"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert_eq!(q.sound(0).auxiliaries, [57, 60]);
    let b = || hand(&q, 0, "3-4-3", Some(2));
    let whole = b().binding(&q, 1, 3, 2).binding(&q, 4, 3, 5);
    assert!(stands(&q, &whole) && whole.is_ornamented(&q, 0));
    assert!(!stands(&q, &b().binding(&q, 4, 3, 5)), "half of it");
    let open = hand(&q, 0, "2-0-0", Some(1)).binding(&q, 1, 2, 1);
    assert!(!stands(&q, &open), "no A on ②");
    // A mordent on C at ②1 has its B open.
    let case = Case::new(&["C4.hm"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    assert!(hand(&q, 0, "2-1-1", Some(1)).is_ornamented(&q, 0));
    assert!(!hand(&q, 0, "3-5-4", Some(2)).is_ornamented(&q, 0));
}

/// A harmonic at ⑥12, kept as the open string, over notes on other strings.
#[test]
fn m1_keeps_harmonics_as_open_strings() {
    let case = Case::new(&["r.q C4.q D4.q", "E3.h.o"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let touched = hand(&q, 0, "6-12-4", Some(9));
    assert!(stands(&q, &touched));
    let next = |text: &str| hand(&q, 1, text, Some(1));
    assert!(stands(&q, &next("2-1-1 | 0=6-0-0")));
    assert!(follows(&q, Some(&touched), &next("2-1-1 | 0=6-0-0")));
    assert!(!stands(&q, &next("2-1-1 | 0=6-12-4")));
    assert!(!follows(&q, Some(&touched), &next("2-1-1 | 0=5-0-0")));
    // A finger does not stay where it touched.
    assert!(!follows(&q, Some(&touched), &hand(&q, 1, "2-10-2", Some(9)).staying(4, 6, 12)));
    // M2: what is let go is gone.
    let gone = next("2-1-1");
    let again = hand(&q, 2, "2-3-3 | 0=6-0-0", Some(1));
    assert!(!follows(&q, Some(&gone), &again));
}

#[test]
fn an_idle_hand_stands_where_it_stood() {
    let case = Case::new(&["C4.q E4.q B3.q"]);
    let problem = case.problem();
    let q = Question::new(&problem);
    let c = hand(&q, 0, "3-5-1", Some(5));
    let e = |position| hand(&q, 1, "1-0-0", position);
    assert!(follows(&q, Some(&c), &e(Some(5))));
    assert!(!follows(&q, Some(&c), &e(Some(4))) && !follows(&q, Some(&c), &e(None)));
    assert!(stands(&q, &e(None)) && stands(&q, &e(Some(5))));
    let from_nothing: Vec<Posture> = vec![hand(&q, 0, "x", None), e(None)];
    assert!(follows(&q, None, &from_nothing[0]) && follows(&q, Some(&from_nothing[0]), &e(None)));
    assert!(!follows(&q, None, &hand(&q, 0, "x", Some(1))));
}

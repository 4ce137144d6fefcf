//! Section 3: the author's rules, A1 to A6.

use apoyando_fingering::{
    BarreLimit, FretSet, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule, Position,
    PositionSet, Scope,
};
use apoyando_fretboard::Fret;
use apoyando_music::{BarIndex, ToneId};

use super::kit::{Case, hand};
use crate::question::Question;
use crate::rules::breaches;

fn positions(numbers: &[u8]) -> PositionSet {
    numbers.iter().filter_map(|n| Position::new(*n)).collect()
}

#[test]
fn a1_to_a5_count_each_breach() {
    let mut case = Case::new(&["E2+C4+A4.h.t E4.q"]);
    case.level = Level {
        highest_fret: Fret(4),
        positions: positions(&[1]),
        fingers: LeftFingerSet::ALL.without(None).without(Some(LeftFinger::Three)),
        barre: BarreLimit::Small,
        extension: 0,
        ..Level::open()
    };
    let problem = case.problem();
    let q = Question::new(&problem);
    let broken = |text: &str, position| breaches(&q, &hand(&q, 0, text, position));
    // E open: A2. Fret 5: A1. 4 at 5 in I: A5.
    assert_eq!(broken("6-0-0 2-1-1 1-5-4", Some(1)), 3);
    // In II: A3, 1 at 1: A5, 4 at its own.
    assert_eq!(broken("6-0-0 2-1-1 1-5-4", Some(2)), 4);
    // Finger 3: A2 and, two frets out, one breach of A5.
    assert_eq!(broken("6-0-0 2-1-1 1-5-3", Some(1)), 4);
    // B by 3, bound to the trill on A: A2 for the finger and A5, as it is a fret out
    // in IV, but not A1 for its fret.
    let bound = hand(&q, 0, "6-0-0 x 1-5-2", Some(4)).binding(&q, 3, 1, 7);
    assert_eq!(breaches(&q, &bound), 5, "open string, fret 5, bound 3, it is out, position IV");
    // Away in III: A3 by the place of the hand.
    assert_eq!(breaches(&q, &hand(&q, 0, "6-0-0 x 1-5-2", Some(1)).going(3)), 3);
    // Idle: the position breaks nothing.
    assert_eq!(breaches(&q, &hand(&q, 1, "1-0-0", Some(7))), 1);
    // Three strings under a barre of two.
    let barre = hand(&q, 0, "x 2-1-1 x", Some(1));
    assert_eq!(breaches(&q, &barre.clone().laid(1, 2)), 0);
    assert_eq!(breaches(&q, &barre.laid(1, 3)), 1);
}

#[test]
fn a6_counts_pins() {
    let case = || {
        let mut case = Case::new(&["C4+F4.q E4.q | D4.h"]);
        case.level.extension = 3;
        case
    };
    let on_tone = |rule| case().pinned(1, rule);
    let count = |case: &Case, layer: usize, text: &str, position| {
        let problem = case.problem();
        let q = Question::new(&problem);
        breaches(&q, &hand(&q, layer, text, position))
    };
    let fret_one = PinRule::Frets(FretSet::NONE.with(Fret(1)));
    let second = PinRule::Positions(positions(&[2]));
    assert_eq!(count(&on_tone(fret_one), 0, "3-5-3 1-1-1", Some(3)), 0);
    assert_eq!(count(&on_tone(fret_one), 0, "2-1-1 2-6-4", Some(3)), 1);
    assert_eq!(count(&on_tone(fret_one), 0, "2-1-1 x", Some(3)), 0, "left out");
    assert_eq!(count(&on_tone(second), 0, "2-1-1 x", Some(3)), 1, "the posture is there");
    assert_eq!(count(&on_tone(second), 0, "2-1-1 1-1-2", Some(2)), 0);
    assert_eq!(count(&on_tone(second), 1, "1-0-0", Some(1)), 0, "another onset");
    let mut over = case();
    for rule in [fret_one, second, PinRule::Barre(BarreLimit::None)] {
        let scope = Scope::Bars { first: BarIndex(0), last: BarIndex(0) };
        over.pins.0.push(Pin { scope, rule, author: PinAuthor::Import });
    }
    // C at fret 1; F at 6; not in II.
    assert_eq!(count(&over, 0, "2-1-1 2-6-4", Some(3)), 2);
    // E open breaks the pin on frets alone: the hand is idle.
    assert_eq!(count(&over, 1, "1-0-0", Some(1)), 1);
    assert_eq!(count(&over, 2, "2-3-3", Some(1)), 0, "behind the bar");
    let both = case().pinned(1, fret_one).pinned(1, fret_one);
    assert_eq!(count(&both, 0, "2-1-1 2-6-4", Some(3)), 2, "each pin");
    // A barre of two breaks a pin against barres, its lifted part included.
    let pinned = on_tone(PinRule::Barre(BarreLimit::Small));
    let problem = pinned.problem();
    let q = Question::new(&problem);
    let chord = hand(&q, 0, "2-1-1 1-1-1", Some(1));
    assert_eq!(breaches(&q, &chord.clone().laid(1, 2)), 0);
    assert_eq!(breaches(&q, &chord.laid(1, 3)), 1);
    // An imported pin gives way on the same tone to one of the same kind.
    let mut given = on_tone(fret_one);
    let five = PinRule::Frets(FretSet::NONE.with(Fret(6)));
    let scope = Scope::Tone(ToneId(1));
    given.pins.0.push(Pin { scope, rule: five, author: PinAuthor::Import });
    given.pins.0.push(Pin { scope, rule: second, author: PinAuthor::Import });
    assert_eq!(count(&given, 0, "2-1-1 1-1-2", Some(2)), 0);
}

//! A1 to A6: each breach is found and counted.

use apoyando_fingering::{
    BarreLimit, FretSet, LeftFinger, LeftFingerSet, Pin, PinAuthor, PinRule, Position, PositionSet,
    Price, Scope, StringSet, Term,
};
use apoyando_fretboard::Fret;
use apoyando_music::{BarIndex, ToneId};
use apoyando_verify::{Fault, Rule};

use crate::kit::{Case, full_barre, held, quarters, score, string, tune};

/// The rules broken, when the price says so many are.
fn counted(mut case: Case, broken: u32) -> Vec<Rule> {
    case.fingering.price.broken = broken;
    assert_eq!(case.price().unwrap().broken, broken);
    case.violations().iter().map(apoyando_verify::Violation::rule).collect()
}

#[test]
fn frets_above_the_level_are_counted() {
    let mut case = tune();
    case.level.highest_fret = Fret(2);
    assert_eq!(counted(case, 2), [Rule::A1, Rule::A1]);
}

#[test]
fn fingers_beyond_the_level_are_counted() {
    let mut case = tune();
    case.level.fingers = LeftFingerSet::ALL.without(Some(LeftFinger::Three));
    assert_eq!(counted(case, 3), [Rule::A2; 3]);
    let mut case = tune();
    case.level.fingers = LeftFingerSet::ALL.without(None);
    assert_eq!(counted(case, 5), [Rule::A2; 5]);
}

/// In the air there is no position to forbid: six of the eight postures.
#[test]
fn positions_beyond_the_level_are_counted() {
    let mut case = tune();
    case.level.positions = [Position::new(2).unwrap()].into_iter().collect();
    assert_eq!(counted(case, 6), [Rule::A3; 6]);
}

#[test]
fn barres_beyond_the_level_are_counted() {
    let mut case = full_barre();
    case.level.barre = BarreLimit::Half;
    assert_eq!(counted(case, 1), [Rule::A4]);
}

/// A4 by finger 4 in I: on paper 2 + 3 + 8 for one fret of extension.
#[test]
fn extensions_beyond_the_level_are_counted() {
    let case = || {
        let postures = [held(1, &[(0, 1, 5, 4)])];
        Case::new(score(&[&["A4/1"]]), &postures, "m", &[]).costing(&[
            (Term::Stop, quarters(0), 2),
            (Term::Finger4, quarters(0), 3),
            (Term::Extension, quarters(0), 8),
        ])
    };
    assert_eq!(counted(case(), 0), []);
    let mut strict = case();
    strict.level.extension = 0;
    assert_eq!(counted(strict, 1), [Rule::A5]);
}

#[test]
fn pins_on_a_tone_are_counted() {
    let scope = Scope::Tone(ToneId(2));
    let strings: StringSet = [string(2)].into_iter().collect();
    let frets: FretSet = [Fret(3)].into_iter().collect();
    let fingers: LeftFingerSet = [Some(LeftFinger::Three)].into_iter().collect();
    let positions: PositionSet = [Position::FIRST].into_iter().collect();
    let rules = |kept: bool| {
        if kept {
            [
                PinRule::Strings(strings),
                PinRule::Frets(frets),
                PinRule::LeftFingers(fingers),
                PinRule::Positions(positions),
                PinRule::Barre(BarreLimit::None),
            ]
        } else {
            [
                PinRule::Strings(StringSet::ALL.without(string(2))),
                PinRule::Frets(FretSet::ALL.without(Fret(3))),
                PinRule::LeftFingers(LeftFingerSet::ALL.without(Some(LeftFinger::Three))),
                PinRule::Positions(PositionSet::ALL.without(Position::FIRST)),
                PinRule::Strings(StringSet::NONE),
            ]
        }
    };
    for rule in rules(true) {
        let pin = Pin { scope, rule, author: PinAuthor::Author };
        assert_eq!(counted(tune().pinned(pin), 0), []);
    }
    for rule in rules(false) {
        let pin = Pin { scope, rule, author: PinAuthor::Author };
        assert_eq!(counted(tune().pinned(pin), 1), [Rule::A6]);
    }
}

/// In the second bar: five placements struck, two postures not in the air.
#[test]
fn pins_over_bars_are_counted() {
    let scope = Scope::Bars { first: BarIndex(1), last: BarIndex(1) };
    let pin = |rule| Pin { scope, rule, author: PinAuthor::Author };
    let strings = tune().pinned(pin(PinRule::Strings(StringSet::NONE)));
    assert_eq!(counted(strings, 5), [Rule::A6; 5]);
    let positions = tune().pinned(pin(PinRule::Positions(PositionSet::NONE)));
    assert_eq!(counted(positions, 2), [Rule::A6; 2]);
    let mut barre = full_barre();
    let scope = Scope::Bars { first: BarIndex(0), last: BarIndex(0) };
    let rule = PinRule::Barre(BarreLimit::Half);
    barre.pins.0.push(Pin { scope, rule, author: PinAuthor::Author });
    assert_eq!(counted(barre, 1), [Rule::A6]);
}

#[test]
fn an_imported_pin_gives_way_to_an_authors_of_its_kind() {
    let pin = |rule, author| Pin { scope: Scope::Tone(ToneId(2)), rule, author };
    let wrong = PinRule::Frets(FretSet::NONE);
    let imported = tune().pinned(pin(wrong, PinAuthor::Import));
    assert_eq!(counted(imported, 1), [Rule::A6]);
    let outranked = tune()
        .pinned(pin(wrong, PinAuthor::Import))
        .pinned(pin(PinRule::Frets(FretSet::ALL), PinAuthor::Author));
    assert_eq!(counted(outranked, 0), []);
    let of_another_kind = tune()
        .pinned(pin(wrong, PinAuthor::Import))
        .pinned(pin(PinRule::Strings(StringSet::ALL), PinAuthor::Author));
    assert_eq!(counted(of_another_kind, 1), [Rule::A6]);
}

#[test]
fn a_count_that_is_not_said_is_found() {
    let mut case = tune();
    case.level.highest_fret = Fret(2);
    let wanted = Price { broken: 2, ..case.fingering.price };
    let last = case.violations().pop().unwrap();
    assert_eq!(last.fault, Fault::Price { found: case.fingering.price, wanted });
}

/// Natural harmonics are placed where they are touched: above the level's frets,
/// and on a pinned one.
#[test]
fn harmonics_are_limited_where_they_are_touched() {
    let case = || Case::new(score(&[&["E5/1o"]]), &[held(12, &[(0, 1, 12, 1)])], "m", &[]);
    let broken = |case: Case| case.price().unwrap().broken;
    let mut low = case();
    low.level.highest_fret = Fret(5);
    assert_eq!(broken(low), 1);
    let scope = Scope::Tone(ToneId(0));
    let pin = |fret| {
        let frets: FretSet = [Fret(fret)].into_iter().collect();
        Pin { scope, rule: PinRule::Frets(frets), author: PinAuthor::Author }
    };
    assert_eq!((broken(case().pinned(pin(12))), broken(case().pinned(pin(7)))), (0, 1));
}

/// A pin on the position counts the place of the hand, on a tone or over bars.
#[test]
fn pins_on_positions_count_the_place_of_the_hand() {
    let hop = |rule| {
        let postures =
            [held(1, &[(0, 1, 1, 1)]), held(1, &[(1, 1, 5, 1)]).away(5), held(1, &[(2, 1, 1, 1)])];
        let case = Case::new(score(&[&["F4/4 A4/4 F4/4 r/4"]]), &postures, "", &[]);
        let pin = |scope| Pin { scope, rule, author: PinAuthor::Author };
        let bars = Scope::Bars { first: BarIndex(0), last: BarIndex(0) };
        let both = case.pinned(pin(Scope::Tone(ToneId(1)))).pinned(pin(bars));
        both.price().unwrap().broken
    };
    let only = |number| PinRule::Positions(PositionSet::only(Position::new(number).unwrap()));
    assert_eq!(hop(only(5)), 2, "F4 twice over the bar");
    assert_eq!(hop(only(1)), 2, "A4 by both pins");
}

//! The price of every alternative (model §8): no sequence of postures with the
//! difference is cheaper, and the first of those as cheap is the one given. Where
//! none is given, there is none.

use apoyando_fingering::{LeftFinger, Position};
use apoyando_fretboard::{Fret, Place as At, StringNumber};
use apoyando_hands::{Difference, RightPlan, solve};

use crate::best_by_itself;
use crate::compare::{differences, price_of};
use crate::grip::{Place, Posture};
use crate::puzzle::Puzzle;
use crate::question::Question;
use crate::walk::Walk;
use crate::ways::Best;
use crate::whole::{Cost, items};

/// A struck sound: its layer, and its number there.
#[derive(Clone, Copy)]
struct Note {
    layer: usize,
    index: usize,
}

/// In what a fingering may differ, read from section 8.
#[derive(Clone, Copy, Debug)]
enum Differs {
    Place(Place),
    Finger(u8),
    Position(u8),
}

/// The position of a posture, which is none in the air.
fn position(posture: &Posture) -> Option<u8> {
    posture.position.filter(|_| !posture.idle())
}

fn differs(note: Note, best: &Posture, difference: Differs, posture: &Posture) -> bool {
    if posture.layer != note.layer {
        return true;
    }
    let (own, spot) = (best.struck[note.index], posture.struck[note.index]);
    match difference {
        Differs::Place(place) => spot.is_some_and(|at| at.place() == place),
        Differs::Finger(digit) => {
            spot.zip(own).is_some_and(|(at, own)| at.place() == own.place() && at.finger == digit)
        }
        Differs::Position(number) => position(posture) == Some(number),
    }
}

/// Every difference that can be spoken of.
fn all_differences(q: &Question<'_>, note: Note, best: &Posture) -> Vec<Differs> {
    let own = best.struck[note.index];
    let frets = q.problem.instrument.frets.0;
    let places = (1..=q.strings).flat_map(|string| (0..=frets).map(move |fret| (string, fret)));
    let other = places.filter(|place| own.is_none_or(|own| own.place() != *place));
    let fingers = (1..=4).filter(|digit| own.is_some_and(|own| own.finger != *digit));
    let positions = (1..=Position::MOST).filter(|number| position(best) != Some(*number));
    other
        .map(Differs::Place)
        .chain(fingers.map(Differs::Finger))
        .chain(positions.map(Differs::Position))
        .collect()
}

fn in_words(difference: Differs) -> Difference {
    match difference {
        Differs::Place((string, fret)) => {
            Difference::Place(At { string: StringNumber::new(string).unwrap(), fret: Fret(fret) })
        }
        Differs::Finger(digit) => Difference::Finger(LeftFinger::from_digit(digit).unwrap()),
        Differs::Position(number) => Difference::Position(Position::new(number).unwrap()),
    }
}

/// What is done with a difference at a sound: the best way with it, and the least
/// price through the states that have it.
type Then<'t> = &'t mut dyn FnMut(Note, Differs, Option<&Best>, Option<Cost>);

/// Goes through every struck sound and every difference.
fn each(q: &Question<'_>, best: &Best, then: Then<'_>) {
    // All fingerings of as few faults, whatever they cost.
    let faults = Cost(best.price.0, best.price.1, i64::MAX / 4);
    let ways = Walk::new(q, faults).ways();
    for layer in 0..q.layers() {
        let through = ways.through(layer);
        for index in 0..q.struck[layer].len() {
            let note = Note { layer, index };
            for difference in all_differences(q, note, &best.way[layer]) {
                let wanted = |p: &Posture| differs(note, &best.way[layer], difference, p);
                let as_good = |cost: &Cost| (cost.0, cost.1) == (best.price.0, best.price.1);
                let found = through.iter().filter(|(posture, _)| wanted(posture));
                let least = found.filter_map(|(_, cost)| *cost).filter(as_good).min();
                let way = ways.best(&wanted).filter(|way| as_good(&way.price));
                then(note, difference, way.as_ref(), least);
            }
        }
    }
}

const PUZZLES: std::ops::Range<u64> = 100_000..100_300;

/// The price through the states of a layer is that of all sequences with the
/// difference, laid out anew without any other posture.
#[test]
fn what_goes_through_a_state_is_what_all_sequences_give() {
    let (mut some, mut none) = (0, 0);
    for seed in PUZZLES {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        let Some(best) = best_by_itself(&q).filter(|_| q.layers() <= 5) else { continue };
        each(&q, &best, &mut |note, difference, way, least| {
            let what = || format!("seed {seed}, layer {}, {difference:?}", note.layer);
            assert_eq!(way.map(|way| way.price), least, "{}", what());
            // One in eight takes long enough.
            if !(some + none + seed).is_multiple_of(8) {
                (some, none) =
                    (some + u64::from(least.is_some()), none + u64::from(least.is_none()));
                return;
            }
            let asked = |p: &Posture| differs(note, &best.way[note.layer], difference, p);
            let bound = least.unwrap_or(Cost(best.price.0, best.price.1, i64::MAX / 4));
            let mut walk = Walk::new(&q, bound);
            walk.asked.push((note.layer, &asked));
            let anew = walk.best();
            assert_eq!(anew.as_ref().map(|anew| anew.price), least, "{}", what());
            let ways = (way.map(|way| &way.way), anew.as_ref().map(|anew| &anew.way));
            assert_eq!(ways.0, ways.1, "{}", what());
            (some, none) = (some + u64::from(least.is_some()), none + u64::from(least.is_none()));
        });
    }
    assert!(some > 1500 && none > 1500, "too few to prove anything: {some}, {none}");
}

#[test]
fn no_sequence_with_a_difference_is_cheaper_than_the_alternative() {
    let mut compared = 0;
    for seed in PUZZLES {
        let puzzle = Puzzle::new(seed);
        let problem = puzzle.problem();
        let q = Question::new(&problem);
        if !(1..=5).contains(&q.layers()) {
            continue;
        }
        let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
        let answer = &solved.solution().fingering;
        let best = Walk::new(&q, price_of(answer)).best();
        let best = best.unwrap_or_else(|| panic!("seed {seed}: nothing costs as little"));
        let mut given_and_found = 0;
        each(&q, &best, &mut |note, difference, way, _| {
            let tone = q.sound(q.struck[note.layer][note.index]).tones[0];
            let what = format!("seed {seed}, {tone:?}, {difference:?}");
            let all = solved.alternatives(tone);
            let given: Vec<_> =
                all.iter().filter(|a| a.difference == in_words(difference)).collect();
            assert_eq!(given.len(), usize::from(way.is_some()), "{what}");
            let (Some(given), Some(way)) = (given.first(), way) else { return };
            given_and_found += 1;
            let price = Cost(
                given.price.escapes.into(),
                given.price.broken.into(),
                given.price.effort as i64,
            );
            assert_eq!(given.price.effort, answer.price.effort + given.more, "{what}");
            let fingering = solved.fingering_of(given).expect("its fingering");
            let found = differences(&q, &fingering, way);
            assert!(found.is_empty(), "{what}:\n{}", found.join("\n"));
            assert_eq!(price, way.price, "{what}");
            // The itemised difference, term by term and onset by onset.
            let mut changes = items(&q, &way.way);
            for (key, amount) in items(&q, &best.way) {
                *changes.entry(key).or_default() -= amount;
            }
            changes.retain(|_, amount| *amount != 0);
            let mut said = std::collections::BTreeMap::new();
            for change in solved.changes(given) {
                let layer = q.heard.layers.iter().position(|at| *at == change.at).unwrap();
                *said.entry((layer, change.term)).or_default() += change.amount;
            }
            assert_eq!(said, changes, "{what}");
        });
        let sounds = (0..q.layers()).flat_map(|layer| &q.struck[layer]);
        let given = sounds.map(|sound| solved.alternatives(q.sound(*sound).tones[0]).len());
        assert_eq!(given.sum::<usize>(), given_and_found, "seed {seed}");
        compared += given_and_found;
    }
    assert!(compared > 1500, "too few to prove anything: {compared}");
}

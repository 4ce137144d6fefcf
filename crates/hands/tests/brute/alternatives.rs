//! The price of every alternative against the brute force (model §8): no
//! sequence of postures with the difference is cheaper, and the first of those
//! as cheap is the one given. Where none is given, there is none.

use apoyando_fingering::{LeftFinger, Position, Price, Problem};
use apoyando_fretboard::{Fret, Place, StringNumber};
use apoyando_hands::{Alternative, Difference, RightPlan, Solved, solve};
use apoyando_music::ToneId;

use crate::grip::Posture;
use crate::{Brute, heard, puzzle, said};

/// A tone with the layer and the number of its sound there.
struct Note {
    tone: ToneId,
    layer: usize,
    index: usize,
}

/// Whether a posture has the difference, read from section 8.
fn differs(note: &Note, best: &Posture, difference: Difference, posture: &Posture) -> bool {
    let spot = posture.struck[note.index];
    match difference {
        Difference::Place(at) => spot.is_some_and(|s| (s.0, s.1) == (at.string.get(), at.fret.0)),
        Difference::Finger(finger) => {
            let own = best.struck[note.index];
            spot.zip(own).is_some_and(|(s, o)| (s.0, s.1) == (o.0, o.1) && s.2 == finger.digit())
        }
        Difference::Position(position) => posture.position == Some(position.get()),
    }
}

/// Every difference from a posture at a note that can be spoken of.
fn all_differences(note: &Note, best: &Posture) -> Vec<Difference> {
    let mut all = Vec::new();
    let own = best.struck[note.index];
    for string in (1..=4).filter_map(StringNumber::new) {
        for fret in (0..=5).map(Fret) {
            if own.is_none_or(|o| (o.0, o.1) != (string.get(), fret.0)) {
                all.push(Difference::Place(Place { string, fret }));
            }
        }
    }
    all.extend(
        LeftFinger::ALL
            .into_iter()
            .filter(|f| own.is_some_and(|o| o.2 != f.digit()))
            .map(Difference::Finger),
    );
    all.extend(
        (1..=Position::MOST)
            .filter(|p| best.position != Some(*p))
            .filter_map(Position::new)
            .map(Difference::Position),
    );
    all
}

/// Every posture with the least faults of its layer, layer by layer, that can
/// be come to through such postures.
fn open_to_the_hand(problem: &Problem<'_>, price: Price) -> Vec<Vec<Posture>> {
    let mut brute = Brute::new(problem, price, None);
    let mut layers: Vec<Vec<Posture>> = Vec::new();
    for layer in 0..brute.heard.layers.len() {
        let mut sounding: Vec<Option<Posture>> = match layers.last() {
            None => vec![None],
            Some(before) => before.iter().cloned().map(Some).collect(),
        };
        let key = |p: &Option<Posture>| p.clone().map(|p| (p.struck, p.kept));
        sounding.sort_by_key(key);
        sounding.dedup_by_key(|p| key(p));
        let mut found: Vec<Posture> = Vec::new();
        for before in &sounding {
            found.extend(brute.next(before.as_ref(), None, layer).into_iter().map(|(p, _)| p));
        }
        let least = found.iter().map(|p| (p.escapes, p.broken)).min().unwrap();
        found.retain(|p| (p.escapes, p.broken) == least);
        layers.push(found);
    }
    layers
}

fn check(seed: u64, solved: &Solved<'_>, (note, here): (&Note, &[Posture])) -> usize {
    let puzzle = puzzle::Puzzle::new(seed);
    let problem = puzzle.problem();
    let heard = heard::hear(&problem);
    let price = solved.solution().fingering.price;
    let best = &said(&heard, &solved.solution().fingering)[note.layer];
    let given = solved.alternatives(note.tone);
    let mut differences = 0;
    for difference in all_differences(note, best) {
        let wanted = |p: &Posture| differs(note, best, difference, p);
        let any = here.iter().any(wanted);
        let found: Vec<&Alternative> =
            given.iter().filter(|a| a.difference == difference).collect();
        let what = format!("seed {seed}, {:?}, {difference:?}", note.tone);
        assert_eq!(found.len(), usize::from(any), "{what}");
        let Some(alternative) = found.first() else { continue };
        differences += 1;
        let other = alternative.price;
        assert_eq!((other.escapes, other.broken), (price.escapes, price.broken), "{what}");
        assert_eq!(other.effort, price.effort + alternative.more, "{what}");
        // One in eight takes long enough.
        if !(differences as u64 + seed).is_multiple_of(8) {
            continue;
        }
        let mut brute = Brute::new(&problem, other, Some((note.layer, &wanted)));
        brute.follow(&mut Vec::new(), None, (0, 0, 0));
        let first = brute.first.take().unwrap_or_else(|| panic!("{what}: none costs {other:?}"));
        let first: Vec<Posture> =
            first.into_iter().map(|p| Posture { escapes: 0, broken: 0, ..p }).collect();
        let fingering = solved.fingering_of(alternative).expect("its fingering");
        assert_eq!(fingering.price, other, "{what}");
        assert_eq!(said(&heard, &fingering), first, "{what}");
        let changes = solved.changes(alternative);
        let sum: i64 = changes.iter().map(|c| c.amount).sum();
        assert_eq!(sum, alternative.more as i64, "{what}");
    }
    assert_eq!(given.len(), differences, "seed {seed}: {given:?}");
    differences
}

#[test]
fn no_sequence_with_a_difference_is_cheaper_than_the_alternative() {
    let mut differences = 0;
    for seed in 1000..1120 {
        let puzzle = puzzle::Puzzle::new(seed);
        let problem = puzzle.problem();
        let solved = solve(&problem, &RightPlan::default()).expect("a fingering");
        let heard = heard::hear(&problem);
        let open = open_to_the_hand(&problem, solved.solution().fingering.price);
        for (layer, here) in open.iter().enumerate() {
            for (index, sound) in heard.struck(layer).into_iter().enumerate() {
                let tone = heard.sounds[sound].tones[0];
                let note = Note { tone, layer, index };
                differences += check(seed, &solved, (&note, here));
            }
        }
    }
    assert!(differences > 1500, "too few to prove anything: {differences}");
}

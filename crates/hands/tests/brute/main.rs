//! The search against a brute force that tries every sequence of postures.
//!
//! The brute force is written from `docs/model.md` with nothing of the search:
//! it lists the postures of each layer in the order of ties and follows every
//! sequence of them that the price found by the search does not already rule
//! out. None may be cheaper, and the first of those as cheap must be the
//! search's own.

mod again;
mod alternatives;
#[path = "../dice/mod.rs"]
mod dice;
mod grip;
mod heard;
mod price;
mod puzzle;

use std::collections::{BTreeMap, HashMap};

use apoyando_fingering::{Fingering, Pin, Price, Problem};
use apoyando_hands::{RightPlan, finger};

use grip::{Posture, Spot, postures, standing};
use heard::Heard;
use price::{Past, of_move, of_posture};

type Listed = std::rc::Rc<Vec<(Posture, i64)>>;
type Kept = BTreeMap<usize, Spot>;

struct Brute<'a> {
    problem: &'a Problem<'a>,
    heard: Heard,
    pins: Vec<Pin>,
    /// The price to beat.
    bound: (u32, u32, i64),
    /// The least that each layer and all after it must cost: faults, and the
    /// effort if there are no more than these.
    ahead: Vec<(u32, u32, i64)>,
    lists: HashMap<(usize, Vec<(usize, Spot)>), Listed>,
    first: Option<Vec<Posture>>,
    /// Postures asked for at a layer.
    asked: Option<Asked<'a>>,
}

type Asked<'a> = (usize, &'a dyn Fn(&Posture) -> bool);

fn add(a: (u32, u32, i64), b: (u32, u32, i64)) -> (u32, u32, i64) {
    (a.0 + b.0, a.1 + b.1, a.2 + b.2)
}

impl<'a> Brute<'a> {
    fn new(problem: &'a Problem<'a>, price: Price, asked: Option<Asked<'a>>) -> Self {
        let heard = heard::hear(problem);
        let pins = standing(problem);
        let bound = (price.escapes, price.broken, price.effort as i64);
        let mut ahead = vec![(0, 0, 0); heard.layers.len() + 1];
        for layer in (0..heard.layers.len()).rev() {
            // Holding sounds only adds faults and, but for the stretch under a
            // barre, effort.
            let all = postures(problem, &heard, &pins, layer, &Kept::new(), false);
            let faults = all.iter().map(|p| (p.escapes, p.broken)).min().unwrap();
            let least = all.iter().filter(|p| (p.escapes, p.broken) == faults);
            let effort = least.map(|p| of_posture(problem, p, false)).min().unwrap();
            let (escapes, broken) = faults;
            ahead[layer] = add(ahead[layer + 1], (escapes, broken, effort));
        }
        Self { problem, heard, pins, bound, ahead, lists: HashMap::new(), first: None, asked }
    }

    fn list(&mut self, layer: usize, kept: &Kept) -> Listed {
        let key = (layer, kept.iter().map(|(s, spot)| (*s, *spot)).collect());
        if let Some(list) = self.lists.get(&key) {
            return list.clone();
        }
        let found = postures(self.problem, &self.heard, &self.pins, layer, kept, true);
        let priced = found.into_iter().map(|p| {
            let cost = of_posture(self.problem, &p, true);
            (p, cost)
        });
        let list = Listed::new(priced.collect());
        self.lists.insert(key, list.clone());
        list
    }

    /// Every posture that may follow, in the order of ties.
    fn next(&mut self, before: Option<&Posture>, past: Past, layer: usize) -> Vec<(Posture, i64)> {
        let wanted = self.heard.wanted(layer);
        let mut sounding = Kept::new();
        if let Some(before) = before {
            sounding.extend(before.kept.iter().map(|(s, spot)| (*s, *spot)));
            for (sound, spot) in self.heard.struck(layer - 1).into_iter().zip(&before.struck) {
                sounding.extend(spot.map(|spot| (sound, spot)));
            }
            sounding.retain(|sound, _| wanted.contains(sound));
        }
        let able: Vec<usize> = sounding.keys().copied().collect();
        let mut all = Vec::new();
        for choice in 0..1u32 << able.len() {
            let keep = |sound: &usize| {
                let bit = able.iter().position(|s| s == sound).unwrap();
                choice & (1 << bit) != 0
            };
            let kept = sounding.iter().filter(|(s, _)| keep(s)).map(|(s, p)| (*s, *p)).collect();
            all.extend(self.list(layer, &kept).iter().cloned());
        }
        let order = |p: &Posture| {
            let struck: Vec<(bool, Spot)> =
                p.struck.iter().map(|s| (s.is_none(), s.unwrap_or_default())).collect();
            let let_go: Vec<bool> = wanted.iter().map(|s| !p.kept.contains_key(s)).collect();
            // In the air the position is the last one.
            (struck, p.position.or(past.map(|(p, _)| p)), let_go, p.barre)
        };
        all.sort_by_key(|(p, _)| order(p));
        all
    }

    fn follow(&mut self, way: &mut Vec<Posture>, past: Past, spent: (u32, u32, i64)) {
        let layer = way.len();
        if layer == self.heard.layers.len() {
            assert!(spent >= self.bound, "cheaper: {spent:?} with {way:#?}");
            if spent == self.bound && self.first.is_none() {
                self.first = Some(way.clone());
            }
            return;
        }
        for (posture, own) in self.next(way.last(), past, layer) {
            if self.asked.is_some_and(|(at, wanted)| at == layer && !wanted(&posture)) {
                continue;
            }
            let mut cost = own;
            if let Some(before) = way.last() {
                cost += of_move(self.problem, &self.heard, layer - 1, (before, past), &posture);
            }
            let spent = add(spent, (posture.escapes, posture.broken, cost));
            let mut least = add(spent, self.ahead[layer + 1]);
            if (least.0, least.1) < (self.bound.0, self.bound.1) {
                // Some layer may have more faults and less effort.
                least.2 = spent.2;
            }
            // Once one as cheap is found, only cheaper ones matter.
            if least > self.bound || (self.first.is_some() && least == self.bound) {
                continue;
            }
            let past = posture.position.map_or(past, |p| Some((p, layer)));
            way.push(posture);
            self.follow(way, past, spent);
            way.pop();
        }
    }
}

/// What the search says, in the brute force's words.
fn said(heard: &Heard, fingering: &Fingering) -> Vec<Posture> {
    let spot = |p: apoyando_fingering::Placement| {
        (p.place.string.get(), p.place.fret.0, p.finger.map_or(0, |f| f.digit()))
    };
    fingering
        .postures
        .iter()
        .enumerate()
        .map(|(layer, posture)| {
            let sounds = heard.struck(layer);
            let struck =
                sounds.iter().map(|s| fingering.tone(heard.sounds[*s].tones[0]).left.map(spot));
            let kept = heard.wanted(layer).into_iter().filter_map(|s| {
                let tone = heard.sounds[s].tones[0];
                let at = posture.sounding.iter().find(|(t, _)| *t == tone)?;
                Some((s, spot(at.1)))
            });
            Posture {
                struck: struck.collect(),
                kept: kept.collect(),
                position: posture.position.map(|p| p.get()).filter(|_| !posture.idle),
                barre: posture.barre.map(|b| (b.thin.get(), b.thick.get())),
                escapes: 0,
                broken: 0,
            }
        })
        .collect()
}

/// What came up in the puzzles, so that none of it goes untested.
#[derive(Default, PartialEq, Eq, Debug)]
struct Seen {
    left_out: bool,
    broken: bool,
    barre: bool,
    early_barre: bool,
    shift: bool,
    shift_over_open: bool,
    cut: bool,
    ring_cut: bool,
    rung_on: bool,
    many_held: bool,
}

impl Seen {
    const fn everything() -> Self {
        Self {
            left_out: true,
            broken: true,
            barre: true,
            early_barre: true,
            shift: true,
            shift_over_open: true,
            cut: true,
            ring_cut: true,
            rung_on: true,
            many_held: true,
        }
    }

    fn note(&mut self, problem: &Problem<'_>, fingering: &Fingering) {
        let tones = problem.score.tones(problem.part);
        self.left_out |= fingering.price.escapes > 0;
        self.broken |= fingering.price.broken > 0;
        self.barre |= !fingering.barres.is_empty();
        self.early_barre |= fingering.postures.iter().any(|p| {
            p.barre.is_some() && p.of_finger(apoyando_fingering::LeftFinger::One).count() == 1
        });
        self.shift |= !fingering.shifts.is_empty();
        self.shift_over_open |= fingering.shifts.iter().any(|s| s.over_open);
        self.cut |= fingering.let_go.iter().any(|l| l.written);
        self.ring_cut |= fingering.let_go.iter().any(|l| !l.written);
        self.rung_on |= tones.as_slice().iter().any(|t| fingering.tone(t.id).sounds_until > t.end);
        self.many_held |= fingering.postures.iter().any(|p| p.sounding.len() >= 4);
    }
}

fn check(seed: u64, seen: &mut Seen) {
    let puzzle = puzzle::Puzzle::new(seed);
    let problem = puzzle.problem();
    let solution = finger(&problem, &RightPlan::default()).expect("a fingering");
    seen.note(&problem, &solution.fingering);
    let faults: Vec<_> = apoyando_verify::verify(&problem, &solution.fingering)
        .into_iter()
        .filter(|violation| !violation.rule().is_authors())
        .collect();
    assert!(faults.is_empty(), "seed {seed}: {faults:#?}");
    let price = solution.fingering.price;
    let mut brute = Brute::new(&problem, price, None);
    brute.follow(&mut Vec::new(), None, (0, 0, 0));
    let found = brute.first.take().unwrap_or_else(|| {
        panic!("seed {seed}: nothing costs as little as {price:?}\n{:#?}", solution.fingering)
    });
    let found: Vec<Posture> =
        found.into_iter().map(|p| Posture { escapes: 0, broken: 0, ..p }).collect();
    assert_eq!(said(&brute.heard, &solution.fingering), found, "seed {seed}, {price:?}");
}

#[test]
fn no_sequence_of_postures_is_cheaper_nor_smaller() {
    let mut seen = Seen::default();
    for seed in 0..300 {
        check(seed, &mut seen);
    }
    assert_eq!(seen, Seen::everything(), "the puzzles no longer ask for all of this");
}

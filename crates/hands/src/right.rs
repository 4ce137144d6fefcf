//! The right hand on the strings that the left hand chose (model §6).

use std::cmp::Ordering;

use apoyando_fingering::{
    EffortTable, Finding, Fingering, Pin, PinRule, Problem, RightFinger, RightFingerSet, Scope,
    Severity, Stroke,
};

use crate::findings::in_words;
use crate::limits::takes_in;
use crate::music::{Music, Role};
use crate::plan::RightPlan;
use crate::when;

/// Two plucks of a finger closer than this are a repetition, in milliseconds.
const REPETITION: i64 = 1000;
const THUMB: u8 = 0;
const RING: u8 = 3;

/// A struck sound as the right hand meets it.
#[derive(Clone, Copy, Debug)]
struct Pluck {
    sound: usize,
    /// Index of the string, 0 for the thinnest.
    string: u8,
    bass: bool,
}

/// The fingers of a layer, from the thickest string on.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Hand {
    fingers: Vec<u8>,
}

impl Hand {
    fn mask(&self) -> u8 {
        self.fingers.iter().fold(0, |set, f| set | 1 << f)
    }
}

/// The right hand's view of one layer.
#[derive(Debug)]
struct Beat {
    plucks: Vec<Pluck>,
    figure: bool,
    /// What it may do and what that costs by itself.
    hands: Vec<(Hand, i64)>,
}

/// Writes right fingers and strokes into a fingering; says what could not be
/// obeyed.
pub(crate) fn pluck(
    problem: &Problem<'_>,
    music: &Music,
    pins: &[Pin],
    plan: &RightPlan,
    time: &dyn Fn(usize, usize) -> i64,
    fingering: &mut Fingering,
) -> Vec<Finding> {
    let table = problem.effort;
    let mut findings = Vec::new();
    let given = given(music, plan);
    let pins: Vec<Pin> =
        pins.iter().filter(|p| matches!(p.rule, PinRule::RightFingers(_))).copied().collect();
    let beats: Vec<Beat> = (0..music.layers.len())
        .map(|layer| {
            let rules = rules(music, &pins, layer);
            let (beat, finding) =
                beat(problem, music, plan, fingering, layer, (&rules, given[layer]));
            findings.extend(finding);
            beat
        })
        .collect();
    let near: Vec<bool> =
        (1..beats.len()).map(|layer| time(layer - 1, layer) < REPETITION).collect();
    let chosen = cheapest(&beats, &near, table, plan);
    for (beat, hand) in beats.iter().zip(chosen) {
        let lone = beat.plucks.len() == 1;
        for (pluck, finger) in beat.plucks.iter().zip(&beat.hands[hand].0.fingers) {
            let finger = RightFinger::ALL[usize::from(*finger)];
            let line = lone && !beat.figure && music.voices < 2 && finger != RightFinger::P;
            let stroke = plan.stroke.unwrap_or(if line { Stroke::Rest } else { Stroke::Free });
            for tone in &music.sounds[pluck.sound].tones {
                let tone = &mut fingering.tones[tone.0 as usize];
                tone.right = Some(finger);
                tone.stroke = Some(stroke);
            }
        }
    }
    findings
}

/// The finger that a pattern gives each layer.
fn given(music: &Music, plan: &RightPlan) -> Vec<Option<u8>> {
    let mut given = vec![None; music.layers.len()];
    for pattern in &plan.patterns {
        let mut turn = pattern.fingers.iter().cycle();
        for (layer, slot) in music.layers.iter().zip(&mut given) {
            let inside = pattern.bars.is_none_or(|(a, b)| a <= layer.bar && layer.bar <= b);
            if inside && let Some(finger) = turn.next() {
                *slot = Some(*finger as u8);
            }
        }
    }
    given
}

/// Pins on right fingers, by sound struck in a layer.
fn rules(music: &Music, pins: &[Pin], layer: usize) -> Vec<(usize, RightFingerSet)> {
    let here = &music.layers[layer];
    let mut rules = Vec::new();
    for pin in pins {
        let PinRule::RightFingers(set) = pin.rule else { continue };
        for sound in here.struck() {
            let concerns = match pin.scope {
                Scope::Tone(tone) => music.sounds[sound].tones.contains(&tone),
                Scope::Bars { .. } => takes_in(pin.scope, here.bar),
            };
            if concerns {
                rules.push((sound, set));
            }
        }
    }
    rules
}

fn beat(
    problem: &Problem<'_>,
    music: &Music,
    plan: &RightPlan,
    fingering: &Fingering,
    layer: usize,
    (rules, given): (&[(usize, RightFingerSet)], Option<u8>),
) -> (Beat, Option<Finding>) {
    let here = &music.layers[layer];
    let mut plucks: Vec<Pluck> = here
        .struck()
        .filter_map(|sound| {
            let tone = music.sounds[sound].tones.first()?;
            let left = fingering.tone(*tone).left?;
            let bass = music.sounds[sound].role == Role::Bass;
            Some(Pluck { sound, string: left.place.string.index() as u8, bass })
        })
        .collect();
    plucks.sort_by_key(|p| std::cmp::Reverse(p.string));
    let figure = here.figure.is_some();
    let pinned = |hand: &Hand| {
        plucks.iter().zip(&hand.fingers).all(|(pluck, finger)| {
            rules.iter().all(|(sound, set)| {
                *sound != pluck.sound || set.contains(RightFinger::ALL[usize::from(*finger)])
            })
        })
    };
    let patterned = |hand: &Hand| match given {
        None => true,
        Some(THUMB) => hand.fingers.first().is_none_or(|f| *f == THUMB),
        Some(finger) => hand.fingers.last().is_none_or(|f| *f == finger),
    };
    let line = plucks.len() == 1 && !figure && !plucks[0].bass;
    let paired = |hand: &Hand| {
        !line || hand.fingers[0] == THUMB || plan.pair.iter().any(|f| *f as u8 == hand.fingers[0])
    };
    let all = in_order(plucks.len());
    let narrow = |tests: &[&dyn Fn(&Hand) -> bool]| -> Vec<Hand> {
        all.iter().filter(|h| tests.iter().all(|t| t(h))).cloned().collect()
    };
    // What is pinned outranks a pattern, a pattern outranks the pair.
    let fixed = !rules.is_empty() || given.is_some();
    let mut hands = narrow(&[&pinned, &patterned, &paired]);
    if hands.is_empty() && fixed {
        hands = narrow(&[&pinned, &patterned]);
    }
    let mut finding = None;
    if hands.is_empty() {
        hands = narrow(&[&pinned]);
    }
    if hands.is_empty() {
        hands = vec![out_of_order(&plucks, rules)];
        let said: Vec<String> =
            rules.iter().map(|(_, set)| in_words(&PinRule::RightFingers(*set))).collect();
        finding = Some(Finding {
            rule: "right-hand-out-of-order",
            severity: Severity::Warning,
            place: when::place(problem.score, problem.part, here.onset),
            message: format!(
                "pinned to {} the right hand does not lie in the order p i m a from the thickest string",
                said.join(", ")
            ),
            remedy: Some("change the pins".to_owned()),
        });
    }
    let hands = hands
        .into_iter()
        .map(|hand| {
            let mut cost = own_cost(problem.effort, music, &plucks, figure, &hand);
            if layer == 0 && line && hand.fingers[0] != plan.pair[0] as u8 {
                cost += i64::from(problem.effort.rh_first);
            }
            (hand, cost)
        })
        .collect();
    (Beat { plucks, figure, hands }, finding)
}

/// Every way for the fingers to lie on so many strings, the smallest first.
fn in_order(plucks: usize) -> Vec<Hand> {
    if plucks > 4 {
        let thumb = std::iter::repeat_n(THUMB, plucks - 3);
        return vec![Hand { fingers: thumb.chain(1..=3).collect() }];
    }
    let mut hands: Vec<Hand> = (0u8..16)
        .filter(|set| set.count_ones() as usize == plucks)
        .map(|set| Hand { fingers: (0..4).filter(|f| set & (1 << f) != 0).collect() })
        .collect();
    hands.sort_by(|a, b| a.fingers.cmp(&b.fingers));
    hands
}

/// What the pins ask for where the order of the fingers cannot be kept; a sound
/// whose pins leave nothing takes any finger that is free.
fn out_of_order(plucks: &[Pluck], rules: &[(usize, RightFingerSet)]) -> Hand {
    let mut fingers: Vec<u8> = Vec::with_capacity(plucks.len());
    for pluck in plucks {
        let allowed = |finger: &u8| {
            rules.iter().all(|(sound, set)| {
                *sound != pluck.sound || set.contains(RightFinger::ALL[usize::from(*finger)])
            })
        };
        let free = |finger: &u8| !fingers.contains(finger);
        let finger = (0..4)
            .find(|f| allowed(f) && free(f))
            .or_else(|| (0..4).find(allowed))
            .or_else(|| (0..4).find(free))
            .unwrap_or(THUMB);
        fingers.push(finger);
    }
    Hand { fingers }
}

/// The home of a string: p on ④ and thicker, i on ③, m on ②, a on ①.
const fn home(string: u8) -> i64 {
    match string {
        0 => 3,
        1 => 2,
        2 => 1,
        _ => 0,
    }
}

fn own_cost(
    table: &EffortTable,
    music: &Music,
    plucks: &[Pluck],
    figure: bool,
    hand: &Hand,
) -> i64 {
    let lone = plucks.len() == 1;
    let mut cost = 0;
    for (pluck, finger) in plucks.iter().zip(&hand.fingers) {
        if pluck.bass && music.voices > 1 && *finger != THUMB {
            cost += i64::from(table.rh_bass);
        }
        if lone && *finger == THUMB && !pluck.bass && (!figure || pluck.string < 3) {
            cost += i64::from(table.rh_thumb_line);
        }
        if !lone || figure {
            let steps = (i64::from(*finger) - home(pluck.string)).abs();
            cost += i64::from(table.rh_home) * steps;
        }
        if lone && !figure && *finger == RING {
            cost += i64::from(table.rh_ring);
        }
    }
    cost
}

fn move_cost(
    table: &EffortTable,
    near: bool,
    (from, a): (&Beat, &Hand),
    (to, b): (&Beat, &Hand),
) -> i64 {
    let both = a.mask() & b.mask();
    let mut cost = 0;
    if near || (from.plucks.len() == 1 && to.plucks.len() == 1) {
        cost += i64::from(table.rh_repeat) * i64::from((both & !1).count_ones());
    }
    if near {
        cost += i64::from(table.rh_thumb_repeat) * i64::from(both & 1);
    }
    if let (&[f], &[g], [s], [t]) =
        (&a.fingers[..], &b.fingers[..], &from.plucks[..], &to.plucks[..])
        && f != THUMB
        && g != THUMB
    {
        // Strings are counted towards the thick ones, fingers away from the
        // thumb.
        let awkward = match t.string.cmp(&s.string) {
            Ordering::Less => g < f,
            Ordering::Greater => g > f,
            Ordering::Equal => false,
        };
        cost += if awkward { i64::from(table.rh_cross) } else { 0 };
    }
    cost
}

/// The cheapest hand of each beat, by its number; the smallest of equals.
fn cheapest(beats: &[Beat], near: &[bool], table: &EffortTable, plan: &RightPlan) -> Vec<usize> {
    let mut totals: Vec<Vec<i64>> = vec![Vec::new(); beats.len()];
    for at in (0..beats.len()).rev() {
        totals[at] = beats[at]
            .hands
            .iter()
            .map(|(hand, own)| {
                let Some(next) = beats.get(at + 1) else { return *own };
                let onward = next.hands.iter().zip(&totals[at + 1]).map(|((other, _), total)| {
                    total + move_cost(table, near[at], (&beats[at], hand), (next, other))
                });
                own + onward.min().unwrap_or(0)
            })
            .collect();
    }
    let rank = |hand: &Hand| -> Vec<u8> {
        hand.fingers.iter().map(|finger| rank(*finger, plan)).collect()
    };
    let mut chosen: Vec<usize> = Vec::with_capacity(beats.len());
    for at in 0..beats.len() {
        let before = chosen.last().map(|hand| (&beats[at - 1], &beats[at - 1].hands[*hand].0));
        let best = beats[at]
            .hands
            .iter()
            .zip(&totals[at])
            .enumerate()
            .min_by_key(|(_, ((hand, _), total))| {
                let moved = before
                    .map_or(0, |before| move_cost(table, near[at - 1], before, (&beats[at], hand)));
                (*total + moved, rank(hand))
            })
            .map_or(0, |(index, _)| index);
        chosen.push(best);
    }
    chosen
}

/// p first, then the pair in its order, then the others.
fn rank(finger: u8, plan: &RightPlan) -> u8 {
    match plan.pair.iter().position(|f| *f as u8 == finger) {
        _ if finger == THUMB => 0,
        Some(place) => 1 + place as u8,
        None => 3 + finger,
    }
}

//! Puts a row to the search and says whether what must hold does hold, and by
//! how much.

use apoyando_fingering::{
    EffortTable, FretSet, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, PositionSet, Price,
    Problem, Scope, StringSet, Term,
};
use apoyando_fretboard::Instrument;
use apoyando_hands::{RightPlan, Solution, finger};
use apoyando_music::{BarIndex, PartIndex, ToneId};

use crate::table::{Demand, Row};

/// More outsides than these are not looked through.
const MOST_OUTSIDES: usize = 3000;

/// What became of a row.
#[derive(Clone, Debug)]
pub struct Verdict {
    pub passes: bool,
    /// What the search writes.
    pub best: Solution,
    /// The best in each accepted way; none where the model forbids it.
    pub inside: Vec<Option<Solution>>,
    /// The best that is accepted in no way, of those that pins can describe;
    /// none where there is no other.
    pub outside: Option<Solution>,
}

impl Verdict {
    /// By how much the best accepted way is cheaper than the best other one;
    /// none where the model forbids one of them.
    pub fn margin(&self) -> Option<i64> {
        let inside = self.inside.iter().flatten().map(effort).min()?;
        Some(effort(self.outside.as_ref()?) - inside)
    }
}

fn effort(solution: &Solution) -> i64 {
    solution.fingering.price.effort as i64
}

fn over_all(rule: PinRule) -> Pin {
    let scope = Scope::Bars { first: BarIndex(0), last: BarIndex(u32::MAX) };
    Pin { scope, rule, author: PinAuthor::Author }
}

fn on_tone(tone: ToneId, rule: PinRule) -> Pin {
    Pin { scope: Scope::Tone(tone), rule, author: PinAuthor::Author }
}

/// Fingers a row under further pins.
fn solve(row: &Row, effort: &EffortTable, more: &[Pin], extension: u8) -> Solution {
    let instrument = Instrument::guitar();
    let given = row.given.iter().map(|rule| over_all(*rule));
    let shapes = row.shapes.iter().map(|(tone, rule)| on_tone(*tone, *rule));
    let pins = Pins(given.chain(shapes).chain(more.iter().copied()).collect());
    let mut level = row.level.clone();
    level.extension = level.extension.min(extension);
    let problem = Problem {
        score: &row.score,
        part: PartIndex(0),
        instrument: &instrument,
        level: &level,
        pins: &pins,
        effort,
        house: &apoyando_fingering::NO_HOUSE,
    };
    finger(&problem, &RightPlan::default())
        .unwrap_or_else(|error| panic!("row {}: {error}", row.number))
}

/// How often each term is charged for a fingering, in thousandths, with the
/// percentages of a table: worked out by the checker, which knows nothing of
/// the search.
pub fn counts(row: &Row, table: &EffortTable, solution: &Solution) -> Vec<(Term, i64)> {
    let instrument = Instrument::guitar();
    let pins = Pins::default();
    let price = |effort: &EffortTable| {
        let problem = Problem {
            score: &row.score,
            part: PartIndex(0),
            instrument: &instrument,
            level: &row.level,
            pins: &pins,
            effort,
            house: &apoyando_fingering::NO_HOUSE,
        };
        let price = apoyando_verify::price(&problem, &solution.fingering);
        price.expect("what the search finds has a price").effort as i64
    };
    let mut lone = table.clone();
    for term in weighed() {
        set(&mut lone, term, 0);
    }
    weighed()
        .map(|term| {
            let mut lone = lone.clone();
            set(&mut lone, term, 1000);
            (term, price(&lone))
        })
        .collect()
}

/// The terms of the left hand that are amounts, not percentages.
pub fn weighed() -> impl Iterator<Item = Term> {
    Term::ALL.iter().map(|info| info.term).filter(|term| {
        !matches!(
            term,
            Term::Ease | Term::EaseGuide | Term::EasePivot | Term::EaseOpen | Term::EaseRest
        ) && *term != Term::CutTail
            && !term.info().name.starts_with("rh_")
    })
}

/// Sets one value of a table.
pub fn set(table: &mut EffortTable, term: Term, value: i32) {
    let name = term.info().name;
    let mut all = serde_json::to_value(&*table).expect("a table");
    all[name] = value.into();
    *table = serde_json::from_value(all).expect("a table");
}

/// Judges a row under a table of effort.
pub fn judge(row: &Row, table: &EffortTable) -> Verdict {
    let best = solve(row, table, &[], u8::MAX);
    let price = best.fingering.price;
    let faults = |price: Price| (price.escapes, price.broken);
    let possible = |solution: Solution| {
        (faults(solution.fingering.price) == faults(price)).then_some(solution)
    };
    let inside = row
        .accepted
        .iter()
        .map(|way| {
            let pins: Vec<Pin> = way.iter().filter_map(pin).collect();
            let still = way.contains(&Demand::NoExtension);
            possible(solve(row, table, &pins, if still { 0 } else { u8::MAX }))
        })
        .collect();
    let held = accepts(row, &best);
    let outside = if held {
        outsides(row)
            .iter()
            .filter_map(|pins| possible(solve(row, table, pins, u8::MAX)))
            .filter(|other| !accepts(row, other))
            .min_by_key(|other| other.fingering.price)
    } else {
        Some(best.clone())
    };
    Verdict { passes: held && plucks(row, &best), best, inside, outside }
}

fn pin(demand: &Demand) -> Option<Pin> {
    match demand {
        Demand::Tone(tone, rule) => Some(on_tone(*tone, *rule)),
        Demand::All(rule) => Some(over_all(*rule)),
        Demand::NoExtension => None,
    }
}

/// Sets of pins that together describe everything that is accepted in no way:
/// one demand of each way turned round.
fn outsides(row: &Row) -> Vec<Vec<Pin>> {
    let mut all: Vec<Vec<Pin>> = vec![Vec::new()];
    for way in &row.accepted {
        let turned: Vec<Pin> = way.iter().flat_map(|demand| turned(row, demand)).collect();
        let mut longer: Vec<Vec<Pin>> = Vec::new();
        for pins in &all {
            // What one way already rules out needs no second pin.
            if pins.iter().any(|pin| turned.contains(pin)) {
                longer.push(pins.clone());
                continue;
            }
            for pin in &turned {
                let pins: Vec<Pin> = pins.iter().copied().chain([*pin]).collect();
                if !longer.contains(&pins) {
                    longer.push(pins);
                }
            }
        }
        all = longer;
    }
    if all.len() > MOST_OUTSIDES {
        all.clear();
    }
    all
}

/// Pins under which a demand does not hold at one tone. What a barre or an
/// extension would break cannot be said with pins.
fn turned(row: &Row, demand: &Demand) -> Vec<Pin> {
    match demand {
        Demand::Tone(tone, rule) => {
            other(*rule).map(|rule| on_tone(*tone, rule)).into_iter().collect()
        }
        Demand::All(rule) => {
            let tones = row.score.tones(PartIndex(0));
            let turned = other(*rule);
            tones
                .as_slice()
                .iter()
                .filter_map(|tone| turned.map(|rule| on_tone(tone.id, rule)))
                .collect()
        }
        Demand::NoExtension => Vec::new(),
    }
}

/// What is left when a rule is turned round.
fn other(rule: PinRule) -> Option<PinRule> {
    use apoyando_fingering::{LeftFinger, Position};
    use apoyando_fretboard::{Fret, StringNumber};
    match rule {
        PinRule::Strings(set) => {
            let all = (1..=StringNumber::MOST).filter_map(StringNumber::new);
            Some(PinRule::Strings(all.filter(|s| !set.contains(*s)).collect::<StringSet>()))
        }
        PinRule::Frets(set) => {
            let all = (0..=Fret::MOST.0).map(Fret);
            Some(PinRule::Frets(all.filter(|f| !set.contains(*f)).collect::<FretSet>()))
        }
        PinRule::LeftFingers(set) => {
            let all = (0..=4).map(LeftFinger::from_digit);
            Some(PinRule::LeftFingers(all.filter(|f| !set.contains(*f)).collect::<LeftFingerSet>()))
        }
        PinRule::Positions(set) => {
            let all = (1..=Position::MOST).filter_map(Position::new);
            Some(PinRule::Positions(all.filter(|p| !set.contains(*p)).collect::<PositionSet>()))
        }
        PinRule::Barre(_) | PinRule::RightFingers(_) | PinRule::SecondFingers(_) => None,
    }
}

/// Whether a fingering is one of the accepted ways.
pub fn accepts(row: &Row, solution: &Solution) -> bool {
    row.accepted.is_empty()
        || row.accepted.iter().any(|way| way.iter().all(|demand| holds(demand, solution)))
}

fn holds(demand: &Demand, solution: &Solution) -> bool {
    let fingering = &solution.fingering;
    let placed = |tone: ToneId, rule: PinRule| {
        let Some(left) = fingering.tone(tone).left else { return false };
        match rule {
            PinRule::Strings(set) => set.contains(left.place.string),
            PinRule::Frets(set) => set.contains(left.place.fret),
            PinRule::LeftFingers(set) => set.contains(left.finger),
            PinRule::Positions(_)
            | PinRule::Barre(_)
            | PinRule::RightFingers(_)
            | PinRule::SecondFingers(_) => true,
        }
    };
    match *demand {
        Demand::Tone(tone, rule) => placed(tone, rule),
        Demand::All(PinRule::Positions(set)) => fingering
            .postures
            .iter()
            .filter(|p| !p.idle)
            .all(|p| p.position.is_none_or(|position| set.contains(position))),
        Demand::All(PinRule::Barre(limit)) => {
            fingering.barres.iter().all(|span| span.barre.width() <= limit.width())
        }
        Demand::All(rule) => {
            (0..fingering.tones.len() as u32).all(|tone| placed(ToneId(tone), rule))
        }
        Demand::NoExtension => fingering.items.iter().all(|item| item.term != Term::Extension),
    }
}

/// Whether the right hand does one of the things that are right.
fn plucks(row: &Row, solution: &Solution) -> bool {
    let right = |tone: ToneId| solution.fingering.tone(tone).right;
    row.plucked.is_empty()
        || row
            .plucked
            .iter()
            .any(|way| way.iter().all(|(tone, finger)| right(*tone) == Some(*finger)))
}

//! What a fingering costs (section 5 of the model), and whether it says so.

mod barre;
mod holding;
mod hopping;
mod house;
mod joining;
mod posture;
mod returning;
mod seams;
mod second;
mod shifting;
mod singing;
mod stepping;

use std::collections::BTreeMap;

use apoyando_fingering::{EffortTable, Fingering, Pin, Price, Problem, Term};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::Moment;

use crate::author::pins_in_force;
use crate::hand::Hand;
use crate::layers::Layers;
use crate::time::Clock;
use crate::violation::{Fault, Violation};

pub(crate) use seams::seam_shift;
pub(crate) use shifting::{Shifting, shifting};

/// Everything that is charged.
pub(crate) struct Bill {
    escapes: usize,
    broken: usize,
    /// Amounts by layer and term; a move is charged at its later layer.
    items: BTreeMap<(usize, Term), i64>,
}

impl Bill {
    /// The bill of postures, `broken` rules of the author on it already.
    pub(crate) fn of(
        problem: &Problem<'_>,
        all: &Layers<'_>,
        hands: &[Hand],
        broken: usize,
    ) -> Self {
        let clock = Clock::of(all.score);
        let pins = pins_in_force(problem);
        let pairs = returning::pairs(all, &clock);
        let mut bill = Self { escapes: 0, broken, items: BTreeMap::new() };
        let mut charges = Charges { bill: &mut bill, layer: 0, table: problem.effort };
        // The last layer not idle, since the last cut.
        let mut last_stopped = None;
        // The latest written end of what has been struck.
        let mut over = None;
        for (layer, hand) in hands.iter().enumerate() {
            charges.layer = layer;
            charges.bill.escapes += hand.left_out.len();
            posture::charge(problem, (all, &clock), hand, &mut charges);
            barre::charge_idle(problem, all, layer, hand, &mut charges);
            house::charge(problem, all, layer, hand, &mut charges);
            if all.layers[layer].reached
                && let Some(before) = layer.checked_sub(1)
            {
                let (from, to) = (all.layers[before].at, all.layers[layer].at);
                let step = Step {
                    problem,
                    all,
                    hands,
                    pins: &pins,
                    clock: &clock,
                    layer,
                    before: &hands[before],
                    after: hand,
                    from,
                    to,
                    hurry: clock.hurry(from, to),
                };
                moved(&step, over < Some(to), last_stopped, &mut charges);
                returning::charge(&step, &pairs, &mut charges);
            } else {
                barre::charge_anew(hand, &mut charges);
                posture::on_one_fret(None, hand, &mut charges);
                last_stopped = None;
            }
            over = over.max(all.struck(layer).iter().map(|sound| sound.written_end).max());
            if !hand.idle() {
                last_stopped = Some(layer);
            }
        }
        seams::charge(problem, all, hands, &clock, &mut charges);
        bill
    }

    pub(crate) fn price(&self) -> Price {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let effort: i64 = self.items.values().sum();
        Price {
            escapes: count(self.escapes),
            broken: count(self.broken),
            effort: u64::try_from(effort).unwrap_or(0),
        }
    }
}

/// Charges a move. `rested` says that everything struck before is over, and
/// `last_stopped` is the last layer not idle before it.
fn moved(step: &Step<'_>, rested: bool, last_stopped: Option<usize>, charge: &mut Charges<'_>) {
    barre::charge(step, charge);
    posture::on_one_fret(Some(step.before), step.after, charge);
    stepping::charge(step, charge);
    singing::charge(step, charge);
    hopping::charge(step, charge);
    joining::charge(step, charge);
    holding::charge(step, charge);
    second::charge(step, charge);
    let since = if step.before.idle() { last_stopped } else { Some(step.layer - 1) };
    if let Some(since) = since {
        let hurry = step.clock.hurry(step.all.layers[since].at, step.to);
        shifting::charge(step, hurry, rested, charge);
    }
}

/// Two layers in succession.
pub(crate) struct Step<'a> {
    problem: &'a Problem<'a>,
    all: &'a Layers<'a>,
    hands: &'a [Hand],
    /// The pins in force.
    pins: &'a [Pin],
    clock: &'a Clock,
    /// The later layer.
    layer: usize,
    before: &'a Hand,
    after: &'a Hand,
    /// The onset of the earlier one.
    from: Moment,
    /// The onset of the later one.
    to: Moment,
    hurry: i64,
}

impl Step<'_> {
    /// Whether the fingers move for a line rather than for a chord.
    fn in_a_line(&self) -> bool {
        self.all.struck(self.layer).len() < 3
    }
}

/// Writes on the bill what one layer costs.
pub(crate) struct Charges<'a> {
    bill: &'a mut Bill,
    layer: usize,
    table: &'a EffortTable,
}

impl Charges<'_> {
    pub(crate) fn value(&self, term: Term) -> i64 {
        i64::from(self.table.value(term))
    }

    /// Charges an amount.
    pub(crate) fn amount(&mut self, term: Term, amount: i64) {
        *self.bill.items.entry((self.layer, term)).or_default() += amount;
    }

    /// Charges the value of a term so many times.
    pub(crate) fn times(&mut self, term: Term, times: i64) {
        self.amount(term, self.value(term) * times);
    }
}

/// Distance of a fret from the nut, in tenths of a millimetre.
pub(crate) fn from_nut(instrument: &Instrument, fret: i64) -> i64 {
    let fret = Fret(u8::try_from(fret).unwrap_or(0));
    i64::from(instrument.point(Place { string: StringNumber::FIRST, fret }).along.0)
}

/// Holds the bill against the fingering's own price and items.
pub(crate) fn compare(
    all: &Layers<'_>,
    bill: &Bill,
    fingering: &Fingering,
    found: &mut Vec<Violation>,
) {
    let mut said: BTreeMap<(usize, Term), i64> = BTreeMap::new();
    let mut sum = 0i64;
    for item in &fingering.items {
        sum = sum.saturating_add(item.amount);
        match all.layers.binary_search_by_key(&item.at, |layer| layer.at) {
            Ok(layer) => {
                let amount = said.entry((layer, item.term)).or_default();
                *amount = amount.saturating_add(item.amount);
            }
            Err(_) => found.push(Violation::whole(Fault::ItemNowhere(*item))),
        }
    }
    let mut keys: Vec<(usize, Term)> = said.keys().chain(bill.items.keys()).copied().collect();
    keys.sort_unstable();
    keys.dedup();
    for (layer, term) in keys {
        let amount = |of: &BTreeMap<_, i64>| of.get(&(layer, term)).copied().unwrap_or(0);
        let (said, wanted) = (amount(&said), amount(&bill.items));
        if said != wanted {
            let fault = Fault::Item { term, found: said, wanted };
            found.push(Violation::at(all.spot(layer), fault));
        }
    }
    if i128::from(sum) != i128::from(fingering.price.effort) {
        found.push(Violation::whole(Fault::ItemSum { sum, price: fingering.price.effort }));
    }
    let wanted = bill.price();
    if fingering.price != wanted {
        found.push(Violation::whole(Fault::Price { found: fingering.price, wanted }));
    }
}

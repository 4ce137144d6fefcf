//! Ledger lines that no note needs, and notes without theirs.

use super::Fault;
use super::scan::{Item, items, middles};
use crate::drawing::{Drawing, Kind};

/// Rounding.
const EXACT: f64 = 0.05;

/// Ledger lines without a rest on them or a head on or beyond them, and heads off the staff that lack
/// one of the lines up to them.
#[must_use]
pub fn orphan_ledgers(drawing: &Drawing) -> Vec<Fault> {
    let (items, middles) = (items(drawing), middles(drawing));
    let of = |kind: Kind| items.iter().filter(|item| item.kind == kind).collect::<Vec<&Item>>();
    let (heads, ledgers) = (of(Kind::Head), of(Kind::LedgerLine));
    let rests = of(Kind::Rest);
    let middle = |y: f64| {
        let nearest =
            middles.iter().copied().min_by(|a, b| (a - y).abs().total_cmp(&(b - y).abs()));
        nearest.unwrap_or(0.0)
    };
    let mut faults = Vec::new();
    let mut fault = |place, what: &str| {
        faults.push(Fault { rule: "ledger-orphan", place, message: what.to_owned() });
    };
    for ledger in &ledgers {
        let staff = middle(ledger.middle());
        let out = ledger.middle() - staff;
        let needed = heads.iter().any(|head| {
            let beyond = (head.middle() - staff) * out.signum() >= out.abs() - EXACT;
            beyond && head.area.left < ledger.area.right && head.area.right > ledger.area.left
        });
        // Whole and half rests off the staff have one, too.
        let rest = rests.iter().any(|rest| rest.area.meets(ledger.area));
        if !needed && !rest {
            fault(ledger.area, "a ledger line has no note");
        }
    }
    for head in &heads {
        let staff = middle(head.middle());
        let out = head.middle() - staff;
        let wanted = (out.abs() + EXACT).floor() as i32;
        let missing = (3..=wanted).any(|line| {
            let y = staff + f64::from(line) * out.signum();
            !ledgers.iter().any(|ledger| {
                (ledger.middle() - y).abs() < EXACT
                    && ledger.area.left <= head.area.left + EXACT
                    && ledger.area.right >= head.area.right - EXACT
            })
        });
        if missing {
            fault(head.area, "a note lacks a ledger line");
        }
    }
    faults
}

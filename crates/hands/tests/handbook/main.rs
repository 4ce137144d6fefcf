//! Every row of the table of cases, judged.

#[path = "../facts/staff.rs"]
#[allow(dead_code)]
mod staff;

mod judge;
mod report;
mod table;

use std::sync::OnceLock;

use apoyando_fingering::EffortTable;

use judge::Verdict;
use table::Row;

/// Every row with its verdict under the table as it stands.
fn judged() -> &'static (Vec<Row>, Vec<Verdict>) {
    static JUDGED: OnceLock<(Vec<Row>, Vec<Verdict>)> = OnceLock::new();
    JUDGED.get_or_init(|| {
        let rows = table::rows();
        let effort = EffortTable::default();
        let verdicts = rows.iter().map(|row| judge::judge(row, &effort)).collect();
        (rows, verdicts)
    })
}

/// Rows fail that are known to fail, and no others.
#[test]
fn known_failures_are_the_failures() {
    let (rows, verdicts) = judged();
    print!("{}", report::page(rows, verdicts));
    let surprises: Vec<String> = rows
        .iter()
        .zip(verdicts)
        .filter(|(row, verdict)| verdict.passes != row.fails.is_none())
        .map(|(row, verdict)| {
            let now = if verdict.passes { "passes now" } else { "fails now" };
            format!("row {} {}: {now}: {}", row.number, row.name, report::shown(row, verdict))
        })
        .collect();
    assert!(
        surprises.is_empty(),
        "the table says otherwise; look at each, then give or take away its line “fails”:\n{}",
        surprises.join("\n")
    );
}

/// The rows are numbered through, so that the halves stay what they are.
#[test]
fn rows_are_numbered_through() {
    let (rows, _) = judged();
    assert!(rows.len() >= 100, "{} rows", rows.len());
    for (row, number) in rows.iter().zip(1..) {
        assert_eq!(row.number, number, "{}", row.name);
        assert!(
            row.source.starts_with("common practice, no source")
                || row.source.starts_with("from memory")
                || row.source.chars().any(|c| c.is_ascii_digit()),
            "row {number}: a source has a year"
        );
    }
}

/// What the search finds inside what is accepted is accepted, what it finds
/// outside is not; a row that passes is cheapest inside.
#[test]
fn inside_and_outside_are_told_apart() {
    let (rows, verdicts) = judged();
    for (row, verdict) in rows.iter().zip(verdicts) {
        let Some(margin) = verdict.margin() else { continue };
        if row.plucked.is_empty() {
            assert_eq!(verdict.passes, judge::accepts(row, &verdict.best));
        }
        if judge::accepts(row, &verdict.best) {
            assert!(margin >= 0, "row {} {}: {margin}", row.number, row.name);
        } else {
            assert!(margin <= 0, "row {} {}: {margin}", row.number, row.name);
        }
    }
}

/// The terms as the checker counts them make up the price of the search: each
/// whole amount is rounded down once, percentages likewise.
#[test]
fn counts_times_values_are_the_price() {
    let effort = EffortTable::default();
    let (rows, verdicts) = judged();
    for (row, verdict) in rows.iter().zip(verdicts).step_by(7) {
        let best = &verdict.best;
        let sum: i64 = judge::counts(row, &effort, best)
            .into_iter()
            .map(|(term, count)| i64::from(effort.value(term)) * count)
            .sum();
        let price = best.fingering.price.effort as i64 * 1000;
        // A stretch, a travel or a discount loses less than 1 by rounding.
        let rounded = 1000 * 8 * best.fingering.postures.len() as i64;
        assert!((sum - price).abs() < rounded, "row {}: {sum} for {price}", row.number);
    }
}

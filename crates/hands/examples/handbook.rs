//! The rows of the handbook as inequalities on the table of effort.
//!
//! Reads questions as lines of JSON, `{"effort": {"shift": 20}, "rows": [1, 3]}`
//! (values left out are as they stand, no rows means all), and answers each in a
//! line: for every row whether it passes and how often each term is charged,
//! in thousandths, for the best fingering in each accepted way and for the
//! best other one. A row asks that some way inside costs less than every one
//! outside.

#[path = "../tests/facts/staff.rs"]
#[allow(dead_code)]
mod staff;

#[path = "../tests/handbook/judge.rs"]
#[allow(dead_code)]
mod judge;
#[path = "../tests/handbook/table.rs"]
#[allow(dead_code)]
mod table;

use std::io::{BufRead, Write};

use apoyando_fingering::EffortTable;
use apoyando_hands::Solution;
use serde_json::{Value, json};

use table::Row;

fn counted(row: &Row, effort: &EffortTable, solution: &Solution) -> Value {
    judge::counts(row, effort, solution)
        .into_iter()
        .filter(|(_, count)| *count != 0)
        .map(|(term, count)| (term.info().name.to_owned(), json!(count)))
        .collect::<serde_json::Map<_, _>>()
        .into()
}

fn answered(row: &Row, effort: &EffortTable) -> Value {
    let verdict = judge::judge(row, effort);
    let inside: Vec<Value> =
        verdict.inside.iter().flatten().map(|s| counted(row, effort, s)).collect();
    json!({
        "number": row.number,
        "name": row.name,
        "half": row.half().name(),
        "left": !row.accepted.is_empty(),
        "held": judge::accepts(row, &verdict.best),
        "passes": verdict.passes,
        "margin": verdict.margin(),
        "inside": inside,
        "outside": verdict.outside.as_ref().map(|s| counted(row, effort, s)),
    })
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let rows = table::rows();
    for line in std::io::stdin().lock().lines() {
        let question: Value = serde_json::from_str(&line?)?;
        let effort: EffortTable = serde_json::from_value(question["effort"].clone())?;
        let wanted = question["rows"].as_array();
        let answers: Vec<Value> = rows
            .iter()
            .filter(|row| wanted.is_none_or(|numbers| numbers.contains(&json!(row.number))))
            .map(|row| answered(row, &effort))
            .collect();
        let mut out = std::io::stdout().lock();
        let effort = serde_json::to_value(&effort)?;
        writeln!(out, "{}", json!({ "effort": effort, "rows": answers }))?;
        out.flush()?;
    }
    Ok(())
}

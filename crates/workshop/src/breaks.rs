//! Lines and pages that the author has decided about, on the bars of a score.

use apoyando_book::{Breaks, PlannedBar};
use apoyando_engrave::{Engraving, System};
use apoyando_fingering::{Finding, FindingPlace, Remedy, Severity};
use apoyando_music::Score;

use crate::pins::spot;

/// Stretch from which on a line is reported that ends where it does because of
/// a break: twice as far from natural as what is called loose. A house value.
const STRAINED: f64 = 1.5;
/// The same of whole phrases: to see them one below the other is worth some white.
const STRAINED_PHRASE: f64 = 2.5;

/// The breaks of an item, by the indices of bars.
#[derive(Default)]
pub struct Placed {
    /// Bars that begin a line; those that begin a page among them.
    pub lines: Vec<u32>,
    /// Bars that begin a page.
    pub pages: Vec<u32>,
    /// A finding for every bar that does not exist or begins the music.
    pub findings: Vec<Finding>,
}

/// Puts breaks on the bars of a score.
pub fn place(score: &Score, breaks: &Breaks) -> Placed {
    let mut findings = Vec::new();
    let mut place = |bars: &[PlannedBar]| -> Vec<u32> {
        let index = |bar: &PlannedBar| match index_of(score, bar) {
            Ok(index) => Some(index),
            Err(finding) => {
                findings.push(*finding);
                None
            }
        };
        bars.iter().filter_map(index).collect()
    };
    let mut lines = place(&breaks.lines);
    let pages = place(&breaks.pages);
    lines.extend(&pages);
    lines.sort_unstable();
    lines.dedup();
    Placed { lines, pages, findings }
}

fn index_of(score: &Score, bar: &PlannedBar) -> Result<u32, Box<Finding>> {
    let numbers = || score.bars().iter().map(|bar| bar.number);
    match numbers().position(|number| number == bar.number) {
        Some(0) => Err(Box::new(finding(
            bar,
            "break-lost",
            "the music begins with this bar".to_owned(),
            "for a new page write new-page = true".to_owned(),
        ))),
        Some(index) => Ok(index as u32),
        None => {
            let (low, high) = (numbers().min().unwrap_or(0), numbers().max().unwrap_or(0));
            Err(Box::new(finding(
                bar,
                "break-lost",
                format!("there is no bar {}", bar.number),
                format!("the bars are {low} to {high}"),
            )))
        }
    }
}

/// What is to be said of lines that are strained because of a break.
pub fn strained(score: &Score, breaks: &Breaks, engraving: &Engraving) -> Vec<Finding> {
    let mut findings = Vec::new();
    for bar in breaks.lines.iter().chain(&breaks.pages) {
        let Ok(index) = index_of(score, bar) else { continue };
        let ends = engraving.systems.iter().find(|system| system.bars.end == index);
        let Some(system) = ends.filter(|system| is_strained(system)) else { continue };
        let number = |index: u32| score.bars()[index as usize].number;
        let (first, last) = (number(system.bars.start), number(system.bars.end - 1));
        let line = if first == last {
            format!("bar {first} alone is on the line before it and")
        } else {
            format!("bars {first} to {last} are on the line before it and")
        };
        let found = finding(
            bar,
            "strained-line",
            format!("{line} stretched {:.1} times", system.stretch),
            "let another bar begin the line".to_owned(),
        );
        if !findings.contains(&found) {
            findings.push(found);
        }
    }
    findings
}

fn is_strained(system: &System) -> bool {
    system.stretch > if system.phrased { STRAINED_PHRASE } else { STRAINED }
}

fn finding(bar: &PlannedBar, rule: &'static str, message: String, remedy: String) -> Finding {
    let severity = if rule == "break-lost" { Severity::Error } else { Severity::Warning };
    Finding {
        rule,
        severity,
        place: FindingPlace {
            file: Some(bar.place.file.to_string()),
            line: Some(bar.place.line),
            bar: Some(bar.number),
            ..FindingPlace::default()
        },
        message,
        remedy: Some(remedy),
        remedies: vec![Remedy::TakeOut(spot(&bar.place))],
    }
}

//! Findings of a reading: each kind once in a bar, bars by their number.

use std::collections::BTreeSet;

use apoyando_fingering::{Finding, FindingPlace, Severity};
use apoyando_music::Bar;

use crate::time::{Time, duration};

/// What is said of something that is not read at all.
pub(crate) const NOT_READ: &str = "not-read";

/// One finding before the bars have their numbers.
struct Entry {
    /// Index of the bar in the score.
    bar: Option<usize>,
    /// Since the beginning of the bar, where it is known.
    onset: Option<Time>,
    finding: Finding,
}

/// Collects findings while a piece is read.
pub(crate) struct Report {
    file: String,
    /// Number of the part or voice being read, as findings name it.
    pub part: Option<String>,
    /// Index of the bar being read.
    pub bar: Option<usize>,
    /// Onset in the bar of the note being read, where that is known.
    pub onset: Option<Time>,
    /// Line being read, from 1.
    pub line: Option<u32>,
    seen: BTreeSet<(Option<usize>, String)>,
    entries: Vec<Entry>,
}

impl Report {
    pub(crate) fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            part: None,
            bar: None,
            onset: None,
            line: None,
            seen: BTreeSet::new(),
            entries: Vec::new(),
        }
    }

    pub(crate) fn file(&self) -> &str {
        &self.file
    }

    /// Something of the file that does not come into the score.
    pub(crate) fn not_read(&mut self, what: &str) {
        self.add(Severity::Warning, NOT_READ, format!("{what} is not read"), None);
    }

    /// The same, once for the whole piece.
    pub(crate) fn not_read_anywhere(&mut self, what: &str) {
        let bar = self.bar.take();
        self.add(Severity::Advice, NOT_READ, format!("{what} is not read"), None);
        self.bar = bar;
    }

    /// A finding at the present place.
    pub(crate) fn add(
        &mut self,
        severity: Severity,
        rule: &'static str,
        message: String,
        remedy: Option<&str>,
    ) {
        if !self.seen.insert((self.bar, format!("{rule} {message}"))) {
            return;
        }
        let place = FindingPlace {
            file: Some(self.file.clone()),
            line: self.line,
            part: self.part.clone(),
            ..FindingPlace::default()
        };
        let remedy = remedy.map(str::to_owned);
        let finding = Finding { rule, severity, place, message, remedy, remedies: Vec::new() };
        self.entries.push(Entry { bar: self.bar, onset: self.onset, finding });
    }

    /// The findings in the order of bars, with the printed bar numbers and the
    /// beats.
    pub(crate) fn finish(mut self, bars: &[Bar]) -> Vec<Finding> {
        self.entries.sort_by_key(|entry| entry.bar);
        self.entries
            .into_iter()
            .map(|Entry { bar, onset, mut finding }| {
                if let Some(bar) = bar.and_then(|bar| bars.get(bar)) {
                    finding.place.bar = Some(bar.number);
                    finding.place.beat =
                        onset.map(|onset| bar.beat_text(bar.start + duration(onset)));
                }
                finding
            })
            .collect()
    }
}

//! What is written of a run.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io;
use std::path::Path;
use std::time::Duration;

use crate::piece::{Outcome, Row};

/// How many of the slowest pieces are named.
const SLOWEST: usize = 10;

/// A finished run.
pub struct Report<'a> {
    /// Every part.
    pub rows: &'a [Row],
    /// How long all of it took.
    pub wall: Duration,
    /// On how many cores.
    pub cores: usize,
}

impl Report<'_> {
    /// Parts with which the program is at fault.
    pub fn faults(&self) -> usize {
        self.rows.iter().filter(|row| row.outcome == Outcome::Fault).count()
    }

    /// Writes the whole report into a folder.
    pub fn write(&self, folder: &Path) -> io::Result<()> {
        std::fs::create_dir_all(folder)?;
        let mut pieces = "piece\tkind\toutcome\tmoved by semitones\ttones\tkeys tried\tleft out\
             \trules broken\teffort\tms reading\tms fingering\tms verifying\n"
            .to_owned();
        let mut not_played = "piece\tkind\toutcome\treason\n".to_owned();
        let mut findings = "piece\tfinding\n".to_owned();
        for row in self.rows {
            let (name, kind) = (cell(&row.name), cell(&row.kind));
            let outcome = row.outcome.word();
            let Row { moved, tones, tries, price, .. } = row;
            let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
            let _ = writeln!(
                pieces,
                "{name}\t{kind}\t{outcome}\t{moved}\t{tones}\t{tries}\t{}\t{}\t{}\t{:.1}\t{:.1}\t{:.1}",
                price.escapes,
                price.broken,
                price.effort,
                milliseconds(row.reading),
                milliseconds(row.fingering),
                milliseconds(row.verifying),
            );
            if row.outcome != Outcome::Played {
                let _ = writeln!(not_played, "{name}\t{kind}\t{outcome}\t{}", cell(&row.reason));
            }
            for said in &row.said {
                let _ = writeln!(findings, "{name}\t{}", cell(said));
            }
        }
        std::fs::write(folder.join("pieces.tsv"), pieces)?;
        std::fs::write(folder.join("not-played.tsv"), not_played)?;
        std::fs::write(folder.join("findings.tsv"), findings)?;
        std::fs::write(folder.join("summary.txt"), self.summary() + "\n")
    }

    /// The counts, the speed and the slowest pieces.
    pub fn summary(&self) -> String {
        let mut text = String::new();
        let mut kinds: BTreeMap<&str, BTreeMap<Outcome, usize>> = BTreeMap::new();
        for row in self.rows {
            *kinds.entry(&row.kind).or_default().entry(row.outcome).or_default() += 1;
        }
        for (kind, outcomes) in kinds {
            let _ = writeln!(text, "{kind}: {}", outcomes.values().sum::<usize>());
            for (outcome, count) in outcomes {
                let _ = writeln!(text, "  {count:6}  {}", outcome.word());
            }
        }
        self.speed(&mut text);
        let mut slowest: Vec<&Row> = self.rows.iter().collect();
        slowest.sort_by_key(|row| std::cmp::Reverse(row.time()));
        text += "slowest:\n";
        for row in slowest.into_iter().take(SLOWEST) {
            let seconds = row.time().as_secs_f64();
            let (tones, tries) = (row.tones, row.tries);
            let _ =
                writeln!(text, "  {seconds:6.2} s  {}, {tones} tones in {tries} keys", row.name);
        }
        let faults: Vec<&Row> =
            self.rows.iter().filter(|row| row.outcome == Outcome::Fault).collect();
        let _ = write!(text, "faults: {}", faults.len());
        for row in faults {
            let _ = write!(text, "\n  {}: {}", row.name, row.reason);
        }
        text
    }

    fn speed(&self, text: &mut String) {
        let sum = |time: fn(&Row) -> Duration| self.rows.iter().map(time).sum::<Duration>();
        let tones: usize = self.rows.iter().map(|row| row.tones * row.tries).sum();
        let fingerings: usize = self.rows.iter().map(|row| row.tries).sum();
        let (reading, fingering) = (sum(|row| row.reading), sum(|row| row.fingering));
        let wall = self.wall.as_secs_f64().max(1e-9);
        let per_second = |count: usize| (count as f64 / wall).round();
        let _ = writeln!(
            text,
            "{fingerings} fingerings of {tones} tones in {wall:.1} s on {} cores: {} pieces a \
             second, {} tones a second",
            self.cores,
            per_second(fingerings),
            per_second(tones),
        );
        let _ = writeln!(
            text,
            "of all cores' time: {:.1} s reading, {:.1} s fingering, {:.1} s verifying",
            reading.as_secs_f64(),
            fingering.as_secs_f64(),
            sum(|row| row.verifying).as_secs_f64(),
        );
        let _ = match peak_memory() {
            Some(kilobytes) => writeln!(text, "peak memory: {} MB", kilobytes / 1024),
            None => writeln!(text, "peak memory: not told by this system"),
        };
    }
}

/// Kilobytes this process has had at most, where the system tells.
fn peak_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}

/// Text that stays within its cell.
fn cell(text: &str) -> String {
    text.replace(['\t', '\n', '\r'], " ")
}

//! Runs: notes shorter than a quarter that follow one another in a bar of a
//! voice. Their digits are all on one side, for digits that hop are misread.

use apoyando_marks::Marks;
use apoyando_music::{Duration, Event, NoteId, Part, PartIndex, Score, Voice};

/// From this length on a note stands alone.
fn alone() -> Duration {
    Duration::QUARTER
}

/// Digits with more notes between them than this do not read as a row.
const APART: usize = 2;

/// Digits near one another in a run, or one by itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// The notes with digits of each onset, from low to high; never none.
    pub onsets: Vec<Vec<NoteId>>,
    /// Whether its notes are too fast for digits between them.
    pub is_fast: bool,
    /// Whether voices above and below it sound with it: digits outside the staff would be
    /// theirs.
    pub is_inner: bool,
}

impl Run {
    /// Whether its digits stand in a row, whatever room there is at the heads. A row has so
    /// many at least.
    pub fn is_a_row(&self, least: usize) -> bool {
        self.is_fast && !self.is_inner && self.onsets.len() >= least
    }
}

/// The runs of a part in some bars. Those of notes shorter than `rows_below` are fast.
pub fn runs(
    score: &Score,
    part: PartIndex,
    marks: &Marks,
    bars: std::ops::Range<u32>,
    rows_below: Duration,
) -> Vec<Run> {
    let mut runs = Vec::new();
    let part = score.part(part);
    for voice in &part.voices {
        for bar in bars.clone() {
            let events = in_bar(voice, bar);
            for run in events.split(|event| event.is_rest() || event.duration >= alone()) {
                let inner = !run.is_empty() && is_inner(score, part, voice, bar, run);
                runs.extend(as_runs(run, marks, inner, rows_below));
            }
        }
    }
    runs
}

fn in_bar(voice: &Voice, bar: u32) -> &[Event] {
    voice.bars.get(bar as usize).map_or(&[][..], Vec::as_slice)
}

/// Whether other voices sound above some notes of a voice and below them.
fn is_inner(score: &Score, part: &Part, voice: &Voice, bar: u32, run: &[Event]) -> bool {
    let steps = |events: &[&Event]| -> Option<(i32, i32)> {
        let notes = events.iter().flat_map(|event| event.notes());
        let steps = notes.map(|note| score.note(*note).pitch.staff_step());
        steps.map(|step| (step, step)).reduce(|all, step| (all.0.min(step.0), all.1.max(step.1)))
    };
    let own: Vec<&Event> = run.iter().collect();
    let Some((low, high)) = steps(&own) else { return false };
    let (from, to) = (run[0].onset, run[run.len() - 1].end());
    let others: Vec<(i32, i32)> = part
        .voices
        .iter()
        .filter(|other| other.number != voice.number)
        .filter_map(|other| {
            let events = in_bar(other, bar).iter();
            let with: Vec<&Event> =
                events.filter(|event| event.onset < to && from < event.end()).collect();
            steps(&with)
        })
        .collect();
    let middle = |(low, high): (i32, i32)| low + high;
    let own = middle((low, high));
    others.iter().any(|other| middle(*other) >= own) && others.iter().any(|o| middle(*o) < own)
}

fn as_runs(events: &[Event], marks: &Marks, is_inner: bool, rows_below: Duration) -> Vec<Run> {
    let digits = |event: &Event| -> Vec<NoteId> {
        event.notes().iter().copied().filter(|note| marks.left_of(*note).is_some()).collect()
    };
    let with_digits: Vec<(usize, Vec<NoteId>)> =
        events.iter().map(digits).enumerate().filter(|(_, notes)| !notes.is_empty()).collect();
    // A note by itself has room at its head.
    let is_fast = events.len() > 1 && events.iter().any(|event| event.duration < rows_below);
    with_digits
        .chunk_by(|(at, _), (next, _)| next - at <= APART + 1)
        .map(|near| {
            let onsets = near.iter().map(|(_, notes)| notes.clone()).collect();
            Run { onsets, is_fast, is_inner }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::fixture::fixture;
    use super::super::sign::Sizes;
    use super::*;
    use crate::style::{Print, Style};

    #[test]
    fn sixteenths_have_rows_and_in_large_print_eighths_too() {
        let is_a_row = |print, text: &str| {
            let fixture = fixture(5.0, &[text]);
            let sizes = Sizes::of(&Style { print, ..Style::default() });
            let runs = runs(&fixture.score, PartIndex(0), &fixture.marks, 0..1, sizes.rows_below);
            assert_eq!(runs.len(), 1);
            runs[0].is_a_row(sizes.row)
        };
        for (text, usual, large) in [
            ("16 E4=0 F4=1 G4=4 F4=1", true, true),
            ("8 E4=0 F4=1 G4=4 F4=1", false, true),
            ("8 E4 F4=1 G4 F4", false, true),
            ("4 E4=0 8 F4=1 4 G4=4", false, false),
            ("16 E4 F4=1 G4 F4", false, true),
        ] {
            assert_eq!(is_a_row(Print::Usual, text), usual, "{text}");
            assert_eq!(is_a_row(Print::Large, text), large, "{text}");
        }
    }
}

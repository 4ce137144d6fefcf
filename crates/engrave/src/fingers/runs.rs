//! Runs: notes shorter than a quarter that follow one another in a bar of a
//! voice. Their digits are all on one side, for digits that hop are misread.

use apoyando_marks::Marks;
use apoyando_music::{Bar, BarIndex, Duration, Event, NoteId, PartIndex, Score};

/// From this length on a note stands alone.
fn alone() -> Duration {
    Duration::QUARTER
}

/// Notes shorter than this have no room for digits between them.
fn fast() -> Duration {
    Duration::new(1, 8)
}

/// A run that has two digits or more.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// The notes with digits of each onset, from low to high.
    pub onsets: Vec<Vec<NoteId>>,
    /// Whether its notes are too fast for digits between them.
    pub is_fast: bool,
}

/// The runs of a part in some bars.
pub fn runs(score: &Score, part: PartIndex, marks: &Marks, bars: std::ops::Range<u32>) -> Vec<Run> {
    let mut runs = Vec::new();
    for voice in &score.part(part).voices {
        for bar in bars.clone() {
            let events = voice.bars.get(bar as usize).map_or(&[][..], Vec::as_slice);
            let grid: Option<&Bar> = score.bars().get(BarIndex(bar).0 as usize);
            let (Some(_), false) = (grid, events.is_empty()) else { continue };
            for run in events.split(|event| event.is_rest() || event.duration >= alone()) {
                runs.extend(as_run(run, marks));
            }
        }
    }
    runs
}

fn as_run(events: &[Event], marks: &Marks) -> Option<Run> {
    let onsets: Vec<Vec<NoteId>> = events
        .iter()
        .map(|event| {
            event.notes().iter().copied().filter(|note| marks.left_of(*note).is_some()).collect()
        })
        .filter(|notes: &Vec<NoteId>| !notes.is_empty())
        .collect();
    let is_fast = events.iter().any(|event| event.duration < fast());
    (onsets.len() >= 2).then_some(Run { onsets, is_fast })
}

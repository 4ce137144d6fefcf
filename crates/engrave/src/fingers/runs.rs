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

/// Digits with more notes between them than this do not read as a row.
const APART: usize = 2;

/// Digits near one another in a run, or one by itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// The notes with digits of each onset, from low to high; never none.
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
                runs.extend(as_runs(run, marks));
            }
        }
    }
    runs
}

fn as_runs(events: &[Event], marks: &Marks) -> Vec<Run> {
    let digits = |event: &Event| -> Vec<NoteId> {
        event.notes().iter().copied().filter(|note| marks.left_of(*note).is_some()).collect()
    };
    let with_digits: Vec<(usize, Vec<NoteId>)> =
        events.iter().map(digits).enumerate().filter(|(_, notes)| !notes.is_empty()).collect();
    let is_fast = events.iter().any(|event| event.duration < fast());
    with_digits
        .chunk_by(|(at, _), (next, _)| next - at <= APART + 1)
        .map(|near| Run { onsets: near.iter().map(|(_, notes)| notes.clone()).collect(), is_fast })
        .collect()
}

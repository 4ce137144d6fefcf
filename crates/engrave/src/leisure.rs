//! Where a page can be turned: how long the left hand has nothing to do at a
//! barline.

use apoyando_fretboard::Fret;
use apoyando_music::{Duration, Moment, Score};

use crate::sheet::Sheet;

/// A tone of any part.
struct Sounding {
    onset: Moment,
    end: Moment,
    /// Whether it is known to be on an open string.
    open: bool,
}

/// All tones of all parts in the order of their onsets.
fn soundings(sheet: &Sheet<'_>) -> Vec<Sounding> {
    let score = sheet.score;
    let mut all = Vec::new();
    for part in score.part_indices() {
        let fretting = sheet.fretting_of(part);
        all.extend(score.tones(part).as_slice().iter().map(|tone| {
            Sounding {
                onset: tone.onset,
                end: tone.end,
                open: fretting
                    .and_then(|fretting| fretting.place_of(tone.head()))
                    .is_some_and(|place| place.fret == Fret::OPEN),
            }
        }));
    }
    all.sort_by_key(|tone| tone.onset);
    all
}

/// For every bar, how many beats of its metre no left hand has anything to do
/// in, at its end or from there on: nothing is struck within that time, and
/// nothing sounds but open strings. 0 after the last bar.
pub fn free_beats(sheet: &Sheet<'_>) -> Vec<f64> {
    let bars = sheet.score.bars();
    let tones = soundings(sheet);
    let mut next = 0;
    // The last onset of an open string, and when the last stopped tone is over.
    let (mut struck, mut stopped) = (Moment::START, Moment::START);
    let mut free = Vec::with_capacity(bars.len());
    for (index, bar) in bars.iter().enumerate() {
        let line = bar.end_moment();
        while let Some(tone) = tones.get(next).filter(|tone| tone.onset < line) {
            if tone.open {
                struck = struck.max(tone.onset);
            } else {
                stopped = stopped.max(tone.end);
            }
            next += 1;
        }
        let last = index + 1 == bars.len();
        let time = if last || stopped > line {
            Duration::ZERO
        } else {
            around(sheet.score, line, struck.max(stopped), &tones[next..])
        };
        free.push(time.whole_notes() / bar.metre.beat().whole_notes());
    }
    free
}

/// The longest time free that touches a barline: nothing has happened since
/// `since`, and `coming` are the tones from the barline on.
fn around(score: &Score, line: Moment, since: Moment, coming: &[Sounding]) -> Duration {
    let there = coming.iter().take_while(|tone| tone.onset == line).count();
    let then = coming.get(there).map_or(score.end(), |tone| tone.onset);
    if there == 0 {
        return then - since;
    }
    let after =
        if coming[..there].iter().all(|tone| tone.open) { then - line } else { Duration::ZERO };
    after.max(line - since)
}

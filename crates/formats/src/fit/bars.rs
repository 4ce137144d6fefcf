//! Lengths and numbers of bars.

use apoyando_fingering::Severity;
use apoyando_music::{BarEnd, DraftBar};

use super::signs::Signs;
use super::{FREE, Lane, Placed};
use crate::report::Report;
use crate::rough::RoughBar;
use crate::time::{Time, duration, zero};

/// The length of every bar: of what is in it, or of the metre where nothing is.
pub(super) fn lengths(bars: &[RoughBar], parts: &[Vec<Lane>]) -> Vec<Time> {
    let content = |bar: usize| {
        let lanes = parts.iter().flatten().filter_map(|lane| lane.get(bar));
        lanes.filter_map(|events| events.last()).map(Placed::end).max().unwrap_or_else(zero)
    };
    bars.iter()
        .enumerate()
        .map(|(index, bar)| {
            let content = content(index);
            let stated = bar.rest_length.unwrap_or_else(zero);
            let whole = metre_of(bar);
            if content > zero() {
                content.max(stated)
            } else if bar.irregular && stated > zero() {
                stated
            } else {
                whole
            }
        })
        .collect()
}

fn metre_of(bar: &RoughBar) -> Time {
    bar.metre.unwrap_or(FREE).bar().ratio()
}

/// A bar that is short where music begins, or that completes the one before.
fn completes(bars: &[RoughBar], lengths: &[Time], index: usize) -> bool {
    index > 0
        && lengths[index] < metre_of(&bars[index])
        && lengths[index - 1] < metre_of(&bars[index - 1])
        && lengths[index] + lengths[index - 1] == metre_of(&bars[index])
}

/// The printed numbers: the file's, or counted. A pickup is 0, and the second
/// half of a bar split by a repeat has the number of the first.
pub(super) fn numbers(bars: &[RoughBar], lengths: &[Time]) -> Vec<u32> {
    let mut numbers: Vec<u32> = Vec::with_capacity(bars.len());
    let mut completed = false;
    for (index, bar) in bars.iter().enumerate() {
        let pickup =
            index == 0 && bars.len() > 1 && bar.metre.is_some() && lengths[0] < metre_of(bar);
        completed = !completed && index > 1 && completes(bars, lengths, index);
        let counted = match numbers.last() {
            None => u32::from(!pickup),
            Some(last) if completed || bar.uncounted => *last,
            Some(last) => last.saturating_add(1),
        };
        numbers.push(bar.number.unwrap_or(counted));
    }
    numbers
}

/// Whether music begins anew with a bar: after a repeat, a double line or an
/// ending, a short bar is a pickup.
fn begins_section(bars: &[RoughBar], index: usize) -> bool {
    index == 0
        || bars[index].repeat_start
        || bars[index].ending.as_ref().is_some_and(|ending| ending.first)
        || ends_section(bars, index - 1)
}

/// Whether music ends with a bar, for what comes next to begin anew.
fn ends_section(bars: &[RoughBar], index: usize) -> bool {
    index + 1 == bars.len()
        || bars[index].repeat_end.is_some()
        || bars[index].end != BarEnd::Plain
        || bars[index].ending.as_ref().is_some_and(|ending| ending.last)
        || bars[index + 1].repeat_start
        || bars[index + 1].ending.as_ref().is_some_and(|ending| ending.first)
}

/// Bars that are neither as long as their metre nor expected not to be.
pub(super) fn report_irregular(bars: &[RoughBar], lengths: &[Time], report: &mut Report) {
    for (index, bar) in bars.iter().enumerate() {
        let edge = begins_section(bars, index) || ends_section(bars, index);
        let short = lengths[index] < metre_of(bar);
        let half = completes(bars, lengths, index)
            || (index + 1 < bars.len() && completes(bars, lengths, index + 1));
        if bar.irregular
            || bar.metre.is_none()
            || lengths[index] == metre_of(bar)
            || (short && (edge || half))
        {
            continue;
        }
        report.bar = Some(index);
        report.line = Some(bar.line);
        report.add(
            Severity::Warning,
            "irregular-bar",
            format!(
                "the bar lasts {} of a whole note, its metre {}; it is read as it stands",
                lengths[index],
                metre_of(bar)
            ),
            Some("add or remove what is missing, or change the metre"),
        );
    }
    report.bar = None;
    report.line = None;
}

/// The grid of the draft.
pub(super) fn grid(
    bars: Vec<RoughBar>,
    signs: &[Signs],
    rehearsals: Vec<String>,
    lengths: &[Time],
    numbers: &[u32],
) -> Vec<DraftBar> {
    bars.into_iter()
        .zip(signs)
        .zip(rehearsals)
        .zip(lengths.iter().zip(numbers))
        .map(|(((bar, signs), rehearsal), (length, number))| {
            let whole = metre_of(&bar);
            DraftBar {
                length: (*length != whole).then(|| duration(*length)),
                repeat_start: bar.repeat_start,
                repeat_end: bar.repeat_end,
                ending: bar.ending,
                end: bar.end,
                tempo: bar.tempo,
                words: bar.words,
                long_rest: bar.long_rest,
                rehearsal,
                landmark: signs.landmark,
                exit: signs.exit,
                jump: signs.jump,
                ..DraftBar::new(*number, bar.metre.unwrap_or(FREE), bar.signature)
            }
        })
        .collect()
}

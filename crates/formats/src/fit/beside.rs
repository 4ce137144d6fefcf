//! Notes beside those of a part, of cues and ossias: fitted into the bars that the part
//! has, or left out.

use super::{Lane, lanes, tuplets};
use crate::report::Report;
use crate::time::{Time, common_grain};

/// Fits the bars of a lane; those without notes are empty, and so are those that are longer
/// than the part's or whose moments cannot be counted with the others, with a finding.
/// `what` is what they are.
pub(super) fn fit(
    lane: &mut Lane,
    lengths: &[Time],
    grain: &mut i64,
    what: &str,
    report: &mut Report,
) {
    lane.truncate(lengths.len());
    for (bar, events) in lane.iter_mut().enumerate() {
        if events.iter().all(|placed| placed.event.notes.is_empty()) {
            events.clear();
            continue;
        }
        report.bar = Some(bar);
        let long = events.iter().any(|placed| placed.end() > lengths[bar]);
        let counted = events.iter().try_fold(*grain, |grain, placed| {
            common_grain(common_grain(grain, *placed.onset.denom())?, *placed.length.denom())
        });
        match counted.filter(|_| !long && lanes::fill(events, lengths[bar]).is_some()) {
            Some(counted) => {
                *grain = counted;
                tuplets::group(events);
            }
            None => {
                report.not_read(&format!("{what} that does not fit its bar"));
                events.clear();
            }
        }
    }
    report.bar = None;
}

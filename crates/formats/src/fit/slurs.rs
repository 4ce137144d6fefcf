//! Slurs without their other end are taken out.

use apoyando_fingering::Severity;
use apoyando_music::EventMark;

use super::Lane;
use crate::report::Report;
use crate::time::Time;

/// Pairs the beginnings and ends of slurs in a lane.
pub(super) fn mend(lane: &mut Lane, report: &mut Report) {
    let mut open: Vec<(usize, usize)> = Vec::new();
    for (bar, events) in lane.iter_mut().enumerate() {
        for (index, placed) in events.iter_mut().enumerate() {
            let marks = &mut placed.event.marks;
            let mut loose = false;
            // What ends here began earlier, in whatever order it is noted.
            marks.retain(|mark| {
                let kept = *mark != EventMark::SlurEnd || open.pop().is_some();
                loose |= !kept;
                kept
            });
            let starts = marks.iter().filter(|m| matches!(m, EventMark::SlurStart { .. })).count();
            open.extend(std::iter::repeat_n((bar, index), starts));
            if loose {
                say(bar, placed.onset, "ends here but begins nowhere", report);
            }
        }
    }
    for (bar, index) in open.into_iter().rev() {
        let placed = &mut lane[bar][index];
        let marks = &mut placed.event.marks;
        if let Some(at) = marks.iter().rposition(|m| matches!(m, EventMark::SlurStart { .. })) {
            marks.remove(at);
        }
        say(bar, placed.onset, "begins here but ends nowhere", report);
    }
}

fn say(bar: usize, onset: Time, what: &str, report: &mut Report) {
    report.bar = Some(bar);
    report.onset = Some(onset);
    report.line = None;
    report.add(
        Severity::Warning,
        "loose-slur",
        format!("a slur {what} in its voice; it is left out"),
        None,
    );
    report.onset = None;
}

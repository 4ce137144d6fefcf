//! Slurs and glissandi without their other end are taken out.

use apoyando_fingering::Severity;
use apoyando_music::EventMark;

use super::Lane;
use crate::report::Report;
use crate::time::Time;

/// Marks that come in pairs.
struct Pair {
    rule: &'static str,
    name: &'static str,
    begins: fn(&EventMark) -> bool,
    ends: fn(&EventMark) -> bool,
}

const PAIRS: [Pair; 2] = [
    Pair {
        rule: "loose-slur",
        name: "slur",
        begins: |mark| matches!(mark, EventMark::SlurStart { .. }),
        ends: |mark| matches!(mark, EventMark::SlurEnd),
    },
    Pair {
        rule: "loose-glide",
        name: "glissando",
        begins: |mark| matches!(mark, EventMark::GlideStart),
        ends: |mark| matches!(mark, EventMark::GlideEnd),
    },
];

/// Pairs the beginnings and ends of slurs and glissandi in a lane.
pub(super) fn mend(lane: &mut Lane, report: &mut Report) {
    PAIRS.iter().for_each(|pair| pair.mend(lane, report));
}

impl Pair {
    fn mend(&self, lane: &mut Lane, report: &mut Report) {
        let mut open: Vec<(usize, usize)> = Vec::new();
        for (bar, events) in lane.iter_mut().enumerate() {
            for (index, placed) in events.iter_mut().enumerate() {
                let marks = &mut placed.event.marks;
                let mut loose = false;
                // What ends here began earlier, in whatever order it is noted.
                marks.retain(|mark| {
                    let kept = !(self.ends)(mark) || open.pop().is_some();
                    loose |= !kept;
                    kept
                });
                let starts = marks.iter().filter(|mark| (self.begins)(mark)).count();
                open.extend(std::iter::repeat_n((bar, index), starts));
                if loose {
                    self.say(bar, placed.onset, "ends here but begins nowhere", report);
                }
            }
        }
        for (bar, index) in open.into_iter().rev() {
            let placed = &mut lane[bar][index];
            let marks = &mut placed.event.marks;
            if let Some(at) = marks.iter().rposition(self.begins) {
                marks.remove(at);
            }
            self.say(bar, placed.onset, "begins here but ends nowhere", report);
        }
    }

    fn say(&self, bar: usize, onset: Time, what: &str, report: &mut Report) {
        report.bar = Some(bar);
        report.onset = Some(onset);
        report.line = None;
        report.add(
            Severity::Warning,
            self.rule,
            format!("a {} {what} in its voice; it is left out", self.name),
            None,
        );
        report.onset = None;
    }
}

//! Ties without their other end are taken out.

use apoyando_fingering::Severity;
use apoyando_music::Pitch;

use super::{Lane, Placed};
use crate::report::Report;

/// A tie must lead to the same pitch in the next event of its lane.
pub(super) fn mend(lane: &mut Lane, report: &mut Report) {
    for bar in 0..lane.len() {
        for index in 0..lane[bar].len() {
            let next = match lane[bar].get(index + 1) {
                Some(next) => Some(next),
                None => lane.get(bar + 1).and_then(|bar| bar.first()),
            };
            let goals: Vec<Pitch> = next.map(pitches).unwrap_or_default();
            let placed = &mut lane[bar][index];
            for note in &mut placed.event.notes {
                if note.tied && !goals.contains(&note.pitch) {
                    note.tied = false;
                    report.bar = Some(bar);
                    report.onset = Some(placed.onset);
                    report.line = None;
                    report.add(
                        Severity::Warning,
                        "loose-tie",
                        format!(
                            "the tie from {0} leads to no {0} in its voice; it is left out",
                            note.pitch
                        ),
                        Some("tie notes of one pitch that follow one another in one voice"),
                    );
                }
            }
        }
    }
    report.onset = None;
}

fn pitches(placed: &Placed) -> Vec<Pitch> {
    placed.event.notes.iter().map(|note| note.pitch).collect()
}

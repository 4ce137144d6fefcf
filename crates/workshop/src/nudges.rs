//! From the nudges of a plan, given by bar, beat and voice, to marks.

use apoyando_book::{NudgedSign, PlannedNudge, PlannedPin, PlannedRule, PlannedScope};
use apoyando_fingering::{Finding, Remedy, RightFingerSet, Severity};
use apoyando_marks::{Marks, Nudge, Nudged};
use apoyando_music::Score;

use crate::pins::{finding, note_at, part_of};

/// Puts nudges into the marks of the parts they are for. What is said of those that
/// mean no note, more than one, or a sign that is not printed.
pub fn place(score: &Score, planned: &[PlannedNudge], marks: &mut [Marks]) -> Vec<Finding> {
    planned.iter().filter_map(|nudge| put(score, nudge, marks).err()).map(|it| *it).collect()
}

fn put(score: &Score, planned: &PlannedNudge, marks: &mut [Marks]) -> Result<(), Box<Finding>> {
    // A note is looked for as that of a pin.
    let pin = PlannedPin {
        place: planned.place.clone(),
        part: planned.part,
        scope: PlannedScope::Note(planned.at.clone()),
        rule: PlannedRule::RightFingers(RightFingerSet::ALL),
    };
    let part = part_of(score, &pin).map_err(reworded)?;
    let note = note_at(score, part, &planned.at, &pin).map_err(reworded)?;
    let Some(marks) = marks.iter_mut().find(|marks| marks.part == part) else { return Ok(()) };
    let (sign, printed, name) = match planned.sign {
        NudgedSign::Digit => (Nudged::Digit, marks.left_of(note).is_some(), "digit"),
        NudgedSign::Letter => (Nudged::Letter, marks.right_of(note).is_some(), "letter"),
    };
    if !printed {
        let mut idle = finding(
            &pin,
            "nudge-idle",
            format!("no {name} is printed at {}", planned.at),
            "take the nudge out, or print fingering at every note".to_owned(),
        );
        idle.severity = Severity::Warning;
        idle.remedies.push(Remedy::EveryNote);
        return Err(idle);
    }
    marks.nudges.push(Nudge { note, sign, right: planned.right, up: planned.up });
    Ok(())
}

/// What is said of a pin, said of a nudge.
fn reworded(mut finding: Box<Finding>) -> Box<Finding> {
    finding.rule = match finding.rule {
        "pin-ambiguous" => "nudge-ambiguous",
        "pin-part" => "nudge-part",
        _ => "nudge-lost",
    };
    finding.message = finding.message.replace("the pin", "the nudge");
    finding
}

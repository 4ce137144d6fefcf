//! Cues: small notes of other parts, in bars in which a part rests.

use apoyando_music::{BarIndex, DraftCue};

use super::{Lane, beside, lanes, ties};
use crate::ReadError;
use crate::report::Report;
use crate::rough::{RoughBar, RoughPart};
use crate::time::Time;

/// Gives a part its cues. Those in bars in which the part plays are not read.
pub(super) fn settle(
    part: &mut RoughPart,
    (own, lengths): (&[Lane], &[Time]),
    grain: &mut i64,
    (file, bars): (&str, &[RoughBar]),
    report: &mut Report,
) -> Result<Vec<DraftCue>, ReadError> {
    let mut noted = std::mem::take(&mut part.cues);
    noted.truncate(lengths.len());
    let plays = |bar: usize| {
        let events = own.iter().filter_map(|lane| lane.get(bar)).flatten();
        events.into_iter().any(|placed| !placed.event.notes.is_empty())
    };
    for (bar, events) in noted.iter_mut().enumerate() {
        if !events.is_empty() && plays(bar) {
            report.bar = Some(bar);
            report.line = events.first().map(|event| event.line);
            report.not_read("cue note where the part plays");
            events.clear();
        }
    }
    report.line = None;
    if noted.iter().all(Vec::is_empty) {
        return Ok(Vec::new());
    }
    let number = own.len() + 1;
    let lane = lanes::lanes(noted, number, report).map_err(|fault| fault.at(file, bars))?;
    let Some(mut lane) = lane.into_iter().next() else { return Ok(Vec::new()) };
    beside::fit(&mut lane, lengths, grain, "cue", report);
    // They are tied within their bar.
    for events in &mut lane {
        for note in events.last_mut().into_iter().flat_map(|last| &mut last.event.notes) {
            note.tied = false;
        }
    }
    ties::mend(&mut lane, report);
    report.bar = None;
    let names = &part.cue_names;
    let cues = lane.into_iter().enumerate().filter_map(|(bar, events)| {
        let events: Vec<_> = events.into_iter().map(|placed| placed.event).collect();
        events.iter().find(|event| !event.notes.is_empty())?;
        let name = names.iter().find(|(of, _)| *of == bar).map(|(_, name)| name.clone());
        let name = name.unwrap_or_default();
        Some(DraftCue { bar: BarIndex(bar as u32), name, events })
    });
    Ok(cues.collect())
}

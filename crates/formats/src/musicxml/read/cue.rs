//! Small notes of other parts, and whose they are.

use super::part::PartReader;
use crate::rough::RoughEvent;

/// The cues of a staff.
#[derive(Debug, Default)]
pub(super) struct CuesRead {
    /// Per bar, the events.
    pub events: Vec<Vec<RoughEvent>>,
    /// Names with their bars.
    pub names: Vec<(usize, String)>,
}

/// What words in an upright face above the staff were read as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Upright {
    /// The tempo of the bar.
    Tempo,
    /// Words of expression, by index.
    Expression(usize),
}

/// Adds an event of a cue. Common practice, no source: the name of its part stands in an
/// upright face where it begins.
pub(super) fn push(reader: &mut PartReader<'_, '_>, staff: u16, event: RoughEvent) {
    let bar = reader.bars.len();
    let begins =
        reader.cues.get(&staff).is_none_or(|cues| cues.events.get(bar).is_none_or(Vec::is_empty));
    let name = reader.upright.take().filter(|(at, _)| begins && *at == event.onset);
    let name = name.and_then(|(_, upright)| match upright {
        Upright::Tempo => Some(std::mem::take(&mut reader.bar.words)),
        Upright::Expression(index) if index + 1 == reader.words.len() => {
            reader.words.pop().map(|(_, words)| words.text)
        }
        Upright::Expression(_) => None,
    });
    let cues = reader.cues.entry(staff).or_default();
    cues.names.extend(name.map(|name| (bar, name)));
    cues.events.resize_with((bar + 1).max(cues.events.len()), Vec::new);
    cues.events[bar].push(event);
    reader.last_cue = Some(staff);
}

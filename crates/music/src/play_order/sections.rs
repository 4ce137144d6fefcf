//! Runs of bars that are played through once or more.

use super::PlayOrderError;
use crate::rhythm::Duration;
use crate::score::{Bar, Landmark};

/// A run of bars with its first and last, by index.
pub(super) struct Section {
    pub first: usize,
    pub last: usize,
    /// Whether a sign shows its beginning.
    pub opened: bool,
    pub passes: u8,
}

/// Cuts the score into sections: each ends with a repeat sign or its last
/// ending, or before the next beginning of a repeat or of a coda.
pub(super) fn sections(bars: &[Bar]) -> Result<Vec<Section>, PlayOrderError> {
    let mut sections = Vec::new();
    let mut first = 0;
    let mut opened = None;
    for (index, bar) in bars.iter().enumerate() {
        if bar.repeat_start {
            if let Some(open) = opened {
                return Err(PlayOrderError::Nested { open, bar: bar.number });
            }
            if first < index {
                sections.push(Section { first, last: index - 1, opened: false, passes: 1 });
            }
            first = index;
            opened = Some(bar.number);
        }
        let coda = bar.landmark == Some(Landmark::Coda) && bar.ending.is_none();
        if coda && opened.is_none() && first < index {
            sections.push(Section { first, last: index - 1, opened: false, passes: 1 });
            first = index;
        }
        let followed = bars.get(index + 1).is_some_and(|next| next.ending.is_some());
        if (bar.repeat_end.is_some() || bar.ending.is_some()) && !followed {
            let passes = passes(&bars[first..=index]);
            sections.push(Section { first, last: index, opened: opened.is_some(), passes });
            first = index + 1;
            opened = None;
        }
    }
    if let Some(open) = opened {
        return Err(PlayOrderError::Unclosed { open });
    }
    if first < bars.len() {
        sections.push(Section { first, last: bars.len() - 1, opened: false, passes: 1 });
    }
    Ok(sections)
}

/// As often as the repeat sign says, and at least once for every ending.
fn passes(bars: &[Bar]) -> u8 {
    bars.iter()
        .flat_map(|bar| {
            let endings = bar.ending.iter().flat_map(|ending| ending.passes.iter().copied());
            endings.chain(bar.repeat_end)
        })
        .fold(1, u8::max)
}

/// Checks that every pass has its ending, and every ending but the last its
/// repeat sign.
pub(super) fn check_endings(bars: &[Bar], section: &Section) -> Result<(), PlayOrderError> {
    let own = &bars[section.first..=section.last];
    let in_pass = |pass: u8| {
        own.iter().any(|bar| bar.ending.as_ref().is_some_and(|e| e.passes.contains(&pass)))
    };
    let last_marked =
        own.iter().filter_map(|bar| bar.ending.as_ref()?.passes.iter().max()).max().copied();
    let Some(last_marked) = last_marked else { return Ok(()) };
    if let Some(pass) = (1..last_marked).find(|pass| !in_pass(*pass)) {
        return Err(PlayOrderError::MissingEnding {
            from: own[0].number,
            to: own[own.len() - 1].number,
            pass,
            passes: section.passes,
        });
    }
    // Within the section every ending but the last leads back.
    for pair in own.windows(2) {
        if let (Some(ending), Some(next)) = (&pair[0].ending, &pair[1].ending) {
            let over = ending.last || next.first || ending.passes != next.passes;
            if over && pair[0].repeat_end.is_none() {
                return Err(PlayOrderError::EndingWithoutRepeat { bar: pair[0].number });
            }
        }
    }
    Ok(())
}

/// Whether a bar of a repeated section is played in a pass.
pub(super) fn is_played(bar: &Bar, pass: u8) -> bool {
    bar.ending.as_ref().is_none_or(|ending| ending.passes.contains(&pass))
}

/// The last bar that is played in a pass through a section.
pub(super) fn last_of_pass(bars: &[Bar], section: &Section, pass: u8) -> Option<usize> {
    (section.first..=section.last).rev().find(|index| is_played(&bars[*index], pass))
}

/// Whether the bar from which play goes back to the start and the pickup there
/// together fill no more than a bar. A score without pickup always has room.
pub(super) fn has_room_for_pickup(bars: &[Bar], before: Option<usize>) -> bool {
    let Some((pickup, before)) = bars.first().zip(before.filter(|index| *index > 0)) else {
        return true;
    };
    let full: Duration = pickup.metre.bar();
    pickup.length >= full || bars[before].length + pickup.length <= full
}

//! The order in which bars are played: repeats and endings unfolded.

use crate::rhythm::Duration;
use crate::score::{Bar, BarIndex, Score};

/// A bar as it is played.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PlayedBar {
    /// The bar.
    pub bar: BarIndex,
    /// The pass through its section, from 1.
    pub pass: u8,
}

/// Why repeats cannot be unfolded. Bars are named by their printed numbers.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum PlayOrderError {
    /// A repeat begins inside another.
    #[error(
        "bar {bar}: a repeat begins while the one from bar {open} is not over; close the first, or take one of the signs away"
    )]
    Nested { open: u32, bar: u32 },
    /// A repeat begins and is never closed.
    #[error("bar {open}: a repeat begins here and is never closed; close it or take the sign away")]
    Unclosed { open: u32 },
    /// No ending for a pass that a later ending follows.
    #[error(
        "bars {from} to {to}: there is no ending for pass {pass} of {passes}; add it to one of the endings"
    )]
    MissingEnding { from: u32, to: u32, pass: u8, passes: u8 },
    /// An ending that another follows does not lead back.
    #[error("bar {bar}: this ending is not the last and has no repeat sign; add the sign")]
    EndingWithoutRepeat { bar: u32 },
}

/// A run of bars played through once or more.
struct Section {
    first: usize,
    last: usize,
    /// Whether a sign shows its beginning.
    opened: bool,
    passes: u8,
}

/// The bars in playing order.
///
/// A repeat without a beginning goes back to the end of the one before, or to
/// the start of the piece; there a pickup is played again only if the bar
/// before leaves room for it. Where only a first ending is marked, the last
/// pass goes on behind it. Common practice, no source.
///
/// # Errors
/// If repeats are nested or left open, or endings do not fit the passes.
pub fn play_order(score: &Score) -> Result<Vec<PlayedBar>, PlayOrderError> {
    let bars = score.bars();
    let mut played = Vec::with_capacity(bars.len());
    for section in sections(bars)? {
        check_endings(bars, &section)?;
        for pass in 1..=section.passes {
            let mut from = section.first;
            if pass > 1 && from == 0 && !section.opened && !has_room_for_pickup(bars, &section) {
                from += 1;
            }
            for (index, bar) in bars.iter().enumerate().take(section.last + 1).skip(from) {
                if bar.ending.as_ref().is_none_or(|ending| ending.passes.contains(&pass)) {
                    played.push(PlayedBar { bar: BarIndex(index as u32), pass });
                }
            }
        }
    }
    Ok(played)
}

/// Cuts the score into sections: each ends with a repeat sign or its last
/// ending, or before the next beginning of a repeat.
fn sections(bars: &[Bar]) -> Result<Vec<Section>, PlayOrderError> {
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

fn check_endings(bars: &[Bar], section: &Section) -> Result<(), PlayOrderError> {
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

/// Whether the last bar of the first pass and the pickup together fill no
/// more than a bar. A score without pickup always has room.
fn has_room_for_pickup(bars: &[Bar], section: &Section) -> bool {
    let pickup = &bars[section.first];
    let full: Duration = pickup.metre.bar();
    if pickup.length >= full || section.first == section.last {
        return true;
    }
    let own = &bars[section.first..=section.last];
    let before = own
        .iter()
        .rev()
        .find(|bar| bar.ending.as_ref().is_none_or(|ending| ending.passes.contains(&1)));
    before.is_none_or(|bar| bar.length + pickup.length <= full)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::KeySignature;
    use crate::rhythm::Metre;
    use crate::score::{Draft, DraftBar, DraftPart, Ending};

    /// Bars in signs: `|:` and `:|` (or `:|3`) on either side, `1`, `2`, `12`
    /// for endings, `p` for a pickup of a quarter, `-` for a bar short of one.
    fn score(text: &str) -> Score {
        let mut bars: Vec<DraftBar> = Vec::new();
        for (index, word) in text.split_whitespace().enumerate() {
            let mut bar = DraftBar::new(index as u32 + 1, Metre::COMMON, KeySignature::NONE);
            let (open, word) = match word.strip_prefix("|:") {
                Some(word) => (true, word),
                None => (false, word),
            };
            bar.repeat_start = open;
            let (word, end) = match word.split_once(":|") {
                Some((word, count)) => (word, Some(count.parse().unwrap_or(2))),
                None => (word, None),
            };
            bar.repeat_end = end;
            let passes: Vec<u8> =
                word.bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
            if !passes.is_empty() {
                bar.ending = Some(Ending { passes, first: true, last: true });
            }
            if word.contains('p') {
                bar.length = Some(Duration::QUARTER);
            }
            if word.contains('-') {
                bar.length = Some(Duration::new(3, 4));
            }
            bars.push(bar);
        }
        let part = DraftPart::guitar(String::new());
        Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
    }

    fn order(text: &str) -> Vec<(u32, u8)> {
        play_order(&score(text)).unwrap().iter().map(|p| (p.bar.0 + 1, p.pass)).collect()
    }

    #[test]
    fn repeats_are_counted() {
        assert_eq!(order("x x"), [(1, 1), (2, 1)]);
        assert_eq!(order("x :| x"), [(1, 1), (2, 1), (1, 2), (2, 2), (3, 1)]);
        assert_eq!(order("x |::|3 x"), [(1, 1), (2, 1), (2, 2), (2, 3), (3, 1)]);
        assert_eq!(order(":| :|"), [(1, 1), (1, 2), (2, 1), (2, 2)]);
        assert_eq!(order(""), []);
    }

    #[test]
    fn endings_are_taken_by_pass() {
        assert_eq!(order("|:x 1:| 2 x"), [(1, 1), (2, 1), (1, 2), (3, 2), (4, 1)]);
        assert_eq!(order("x 12:| 3"), [(1, 1), (2, 1), (1, 2), (2, 2), (1, 3), (3, 3)],);
        // Only a first ending: the second pass goes on behind it.
        assert_eq!(order("x 1:| x"), [(1, 1), (2, 1), (1, 2), (3, 1)]);
    }

    #[test]
    fn a_pickup_is_played_again_where_there_is_room() {
        assert_eq!(order("p x -:|"), [(1, 1), (2, 1), (3, 1), (1, 2), (2, 2), (3, 2)]);
        assert_eq!(order("p x x:|"), [(1, 1), (2, 1), (3, 1), (2, 2), (3, 2)]);
        assert_eq!(order("p |:x -:|"), [(1, 1), (2, 1), (3, 1), (2, 2), (3, 2)]);
    }

    #[test]
    fn faults_are_named() {
        let fault = |text: &str| play_order(&score(text)).unwrap_err();
        assert_eq!(fault("|:x |:x :|"), PlayOrderError::Nested { open: 1, bar: 2 });
        assert_eq!(fault("x |:x"), PlayOrderError::Unclosed { open: 2 });
        assert_eq!(fault("x 1 2"), PlayOrderError::EndingWithoutRepeat { bar: 2 });
        assert_eq!(
            fault("x 1:| 3"),
            PlayOrderError::MissingEnding { from: 1, to: 3, pass: 2, passes: 3 }
        );
    }
}

//! The order in which bars are played: repeats, endings and jumps unfolded.

mod sections;
#[cfg(test)]
mod tests;

use crate::score::{Bar, BarIndex, Exit, Jump, JumpTo, Landmark, Score, Until};
use sections::Section;

/// A bar as it is played.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PlayedBar {
    /// The bar.
    pub bar: BarIndex,
    /// The pass through its section, from 1; after a jump back it is the last.
    pub pass: u8,
}

/// Why repeats and jumps cannot be unfolded. Bars are named by their printed
/// numbers.
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
    /// *D.S.* without a segno.
    #[error(
        "bar {bar}: {jump} leads back to a segno, and none stands at this bar or before it; add the sign, or write D.C."
    )]
    NoSegno { bar: u32, jump: Jump },
    /// *Al Fine*, and the jump comes again before a Fine.
    #[error(
        "bar {bar}: {jump} never ends, for no Fine stands where it leads; add Fine at the end of a bar before this one"
    )]
    NoFine { bar: u32, jump: Jump },
    /// *Al Coda*, and the jump comes again before a *To Coda*.
    #[error(
        "bar {bar}: {jump} never leaves for the coda, for no To Coda stands where it leads; add it at the end of a bar before this one"
    )]
    NoToCoda { bar: u32, jump: Jump },
    /// *To Coda* without a coda.
    #[error("bar {bar}: To Coda leads to a coda, and none begins after this bar; add its sign")]
    NoCoda { bar: u32 },
    /// A coda without *To Coda*.
    #[error(
        "bar {bar}: a coda begins here, and no To Coda before it leads to it; add To Coda, or take the sign away"
    )]
    LoneCoda { bar: u32 },
    /// *To Coda* that no jump back brings about.
    #[error(
        "bar {bar}: To Coda is heeded after a jump back, and there is none to it; add D.C. al Coda or D.S. al Coda, or take To Coda away"
    )]
    LoneToCoda { bar: u32 },
}

/// The bars in playing order.
///
/// A repeat without a beginning goes back to the end of the one before, to the
/// beginning of the coda, or to the start of the piece; there a pickup is played
/// again only if the bar before leaves room for it. Where only a first ending is
/// marked, the last pass goes on behind it.
///
/// *D.C.* and *D.S.* are each heeded once, when their bar is played for the last
/// time among its repeats. After a jump back, repeats that have been played are
/// not taken again: they go through their last endings. Fine and *To Coda* are
/// heeded only after a jump back. Common practice, no source.
///
/// # Errors
/// If repeats are nested or left open, endings do not fit the passes, or a jump
/// has no goal or no end.
pub fn play_order(score: &Score) -> Result<Vec<PlayedBar>, PlayOrderError> {
    let bars = score.bars();
    let sections = sections::sections(bars)?;
    for section in &sections {
        sections::check_endings(bars, section)?;
    }
    check_codas(bars)?;
    let mut player = Player {
        bars,
        seen: vec![false; sections.len()],
        sections: &sections,
        made: vec![false; bars.len()],
        heeded: Heeded::default(),
        played: Vec::with_capacity(bars.len()),
    };
    player.play()?;
    Ok(player.played)
}

/// The first coda that begins after a bar.
fn coda_after(bars: &[Bar], index: usize) -> Option<usize> {
    (index + 1..bars.len()).find(|at| bars[*at].landmark == Some(Landmark::Coda))
}

/// Every *To Coda* has its coda and a jump back, every coda its *To Coda*.
fn check_codas(bars: &[Bar]) -> Result<(), PlayOrderError> {
    let mut led_to = vec![false; bars.len()];
    for (index, bar) in bars.iter().enumerate().filter(|(_, b)| b.exit == Some(Exit::ToCoda)) {
        let number = bar.number;
        let coda = coda_after(bars, index).ok_or(PlayOrderError::NoCoda { bar: number })?;
        led_to[coda] = true;
        let jumps = bars[index..].iter().filter_map(|bar| bar.jump);
        if jumps.filter(|jump| jump.until != Until::Fine).count() == 0 {
            return Err(PlayOrderError::LoneToCoda { bar: number });
        }
    }
    let lone = (0..bars.len())
        .find(|index| bars[*index].landmark == Some(Landmark::Coda) && !led_to[*index]);
    lone.map_or(Ok(()), |index| Err(PlayOrderError::LoneCoda { bar: bars[index].number }))
}

/// Which words are heeded, and what the last jump back still waits for.
#[derive(Clone, Copy, Default)]
struct Heeded {
    fine: bool,
    to_coda: bool,
    /// A jump *al Fine* or *al Coda* that has not come to it yet, and its bar.
    waiting: Option<(usize, Jump)>,
}

impl Heeded {
    const fn after(jump: Jump, bar: usize) -> Self {
        match jump.until {
            Until::End => Self { fine: true, to_coda: true, waiting: None },
            Until::Fine => Self { fine: true, to_coda: false, waiting: Some((bar, jump)) },
            Until::Coda => Self { fine: false, to_coda: true, waiting: Some((bar, jump)) },
        }
    }

    const IN_CODA: Self = Self { fine: true, to_coda: false, waiting: None };
}

/// Where play goes after a bar.
enum Next {
    On,
    To(usize),
    Over,
}

/// Plays the sections one after another, jumping as the signs say.
struct Player<'a> {
    bars: &'a [Bar],
    sections: &'a [Section],
    /// Per section, whether play has come to it.
    seen: Vec<bool>,
    /// Per bar, whether its jump has been made.
    made: Vec<bool>,
    heeded: Heeded,
    played: Vec<PlayedBar>,
}

impl Player<'_> {
    fn play(&mut self) -> Result<(), PlayOrderError> {
        let mut at = 0;
        while let Some(index) = self.sections.iter().position(|s| s.last >= at) {
            match self.section(index, at)? {
                Next::On => at = self.sections[index].last + 1,
                Next::To(bar) => at = bar,
                Next::Over => return Ok(()),
            }
        }
        // Behind the last bar there is nothing to wait for.
        self.heeded.waiting.map_or(Ok(()), |(bar, jump)| Err(self.endless(bar, jump)))
    }

    /// Plays a section from one of its bars on, with its repeats if they have
    /// not been played.
    fn section(&mut self, index: usize, start: usize) -> Result<Next, PlayOrderError> {
        let section = &self.sections[index];
        let again = std::mem::replace(&mut self.seen[index], true);
        let first_pass = if again { section.passes } else { 1 };
        for pass in first_pass..=section.passes {
            let mut from = if pass == first_pass { start } else { section.first };
            if pass > first_pass && from == 0 && !section.opened {
                let before = sections::last_of_pass(self.bars, section, 1);
                from += usize::from(!sections::has_room_for_pickup(self.bars, before));
            }
            for at in from..=section.last {
                if !sections::is_played(&self.bars[at], pass) {
                    continue;
                }
                self.played.push(PlayedBar { bar: BarIndex(at as u32), pass });
                let comes_again =
                    (pass + 1..=section.passes).any(|p| sections::is_played(&self.bars[at], p));
                if comes_again {
                    continue;
                }
                match self.after(at)? {
                    Next::On => {}
                    next => return Ok(next),
                }
            }
        }
        Ok(Next::On)
    }

    /// What the words at the end of a bar say, once its repeats are played.
    fn after(&mut self, at: usize) -> Result<Next, PlayOrderError> {
        let bar = &self.bars[at];
        match bar.exit {
            Some(Exit::Fine) if self.heeded.fine => {
                return Ok(Next::Over);
            }
            Some(Exit::ToCoda) if self.heeded.to_coda => {
                let coda =
                    coda_after(self.bars, at).ok_or(PlayOrderError::NoCoda { bar: bar.number })?;
                self.heeded = Heeded::IN_CODA;
                return Ok(Next::To(coda));
            }
            _ => {}
        }
        let Some(jump) = bar.jump else { return Ok(Next::On) };
        if std::mem::replace(&mut self.made[at], true) {
            return match self.heeded.waiting {
                Some((from, _)) if from == at => Err(self.endless(at, jump)),
                _ => Ok(Next::On),
            };
        }
        self.heeded = Heeded::after(jump, at);
        match jump.to {
            JumpTo::Capo => {
                Ok(Next::To(usize::from(!sections::has_room_for_pickup(self.bars, Some(at)))))
            }
            JumpTo::Segno => (0..=at)
                .rev()
                .find(|index| self.bars[*index].landmark == Some(Landmark::Segno))
                .map(Next::To)
                .ok_or(PlayOrderError::NoSegno { bar: bar.number, jump }),
        }
    }

    /// A jump that does not come to what it is to come to.
    fn endless(&self, at: usize, jump: Jump) -> PlayOrderError {
        let bar = self.bars[at].number;
        match jump.until {
            Until::Coda => PlayOrderError::NoToCoda { bar, jump },
            Until::Fine | Until::End => PlayOrderError::NoFine { bar, jump },
        }
    }
}

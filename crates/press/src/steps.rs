//! How far the setting of pages has come, told to whoever waits for them.

use std::ops::ControlFlow;

use crate::error::PressError;

/// What has been done, or is begun.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Step {
    /// So many takes of the book have been measured.
    Measured {
        /// How many.
        takes: usize,
        /// Of how many.
        of: usize,
    },
    /// Lines and pages are chosen and set; once more where words ran otherwise than measured.
    Setting {
        /// Which time it is, from 1.
        time: usize,
    },
    /// The pages are written as PDF.
    Writing,
}

/// Who is told of every step, from any thread, and says whether to go on.
pub type Watch<'a> = &'a (dyn Fn(Step) -> ControlFlow<()> + Sync);

/// Nobody: all steps are made.
pub const UNWATCHED: Watch<'static> = &|_| ControlFlow::Continue(());

/// Tells of a step; an error if there is to be no other.
pub fn step(watch: Watch<'_>, step: Step) -> Result<(), PressError> {
    match watch(step) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(PressError::Stopped),
    }
}

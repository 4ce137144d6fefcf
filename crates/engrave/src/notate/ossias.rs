//! Ossias: how much smaller they are, and the room they want.

use super::{Stack, StaffBar};

/// Size of the staff of an ossia [engraving handbooks: about two thirds to three quarters].
pub const SCALE: f64 = 0.7;

/// A bar of an ossia as far as it wants room: its onsets with smaller ink.
pub fn room(bar: &StaffBar) -> StaffBar {
    let small = |stack: &Stack| Stack {
        left: SCALE * stack.left,
        contour: stack.contour.scaled(SCALE),
        ..stack.clone()
    };
    StaffBar { stacks: bar.stacks.iter().map(small).collect(), ..bar.clone() }
}

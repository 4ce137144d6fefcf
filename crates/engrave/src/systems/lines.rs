//! Line breaks, which do not go through long rests.

use crate::cast::{self, Line};
use crate::space::BarRoom;
use crate::style::Style;

/// Breaks a score into lines; the bars of a long rest stay together.
pub fn lines(rooms: &[BarRoom], style: &Style, indents: (f64, f64)) -> Vec<Line> {
    if rooms.iter().all(|room| !room.within) {
        return cast::cast(rooms, style, indents);
    }
    // Where what stays together begins, and the room of all of it.
    let mut starts: Vec<usize> = Vec::new();
    let mut whole: Vec<BarRoom> = Vec::new();
    for (index, room) in rooms.iter().enumerate() {
        match whole.last_mut() {
            Some(rest) if room.within => (rest.joint, rest.end) = (room.joint, room.end),
            _ => {
                starts.push(index);
                whole.push(room.clone());
            }
        }
    }
    starts.push(rooms.len());
    let mut lines = cast::cast(&whole, style, indents);
    for line in &mut lines {
        line.bars = starts[line.bars.start]..starts[line.bars.end];
    }
    lines
}

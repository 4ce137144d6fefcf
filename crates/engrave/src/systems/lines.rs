//! What line breaks do not go through: the bars of a long rest stay together.

use crate::cast::Line;
use crate::space::BarRoom;

/// Bars of which those of a long rest count as one.
pub struct Joined {
    /// The room of each.
    pub rooms: Vec<BarRoom>,
    /// The bar that each begins with, and the number of all bars.
    starts: Vec<usize>,
}

impl Joined {
    pub fn of(rooms: &[BarRoom]) -> Self {
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
        Self { rooms: whole, starts }
    }

    /// The bar that one of them begins with.
    pub fn bar(&self, index: usize) -> usize {
        self.starts[index]
    }

    /// A line of them, as a line of bars.
    pub fn apart(&self, mut line: Line) -> Line {
        line.bars = self.bar(line.bars.start)..self.bar(line.bars.end);
        line
    }
}

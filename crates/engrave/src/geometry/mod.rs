//! Rectangles, outlines and skylines: what is where on a staff, for whoever
//! has to find room on it. All numbers are staff spaces, x to the right, y up
//! from the middle line of the staff in question.

mod extent;
mod rect;
mod scaled;
mod skyline;
mod stage;

pub use extent::{bounds, flatten, strips};
pub use rect::Rect;
pub use scaled::scaled;
pub use skyline::Skyline;
pub use stage::{Obstacle, PlacedHead, PlacedStem, Side, Stage};

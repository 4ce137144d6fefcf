//! Lines that show how far a sign holds.

use super::clear;
use crate::drawing::{Ink, Kind, Owner, Point, StaffSpaces, Stain};
use crate::geometry::Stage;

/// A level line with a hook at its end.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Extent {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub end: f64,
    /// Its height.
    pub y: f64,
    /// How far its hook reaches up; negative is down, `None` is open.
    pub hook: Option<f64>,
    /// Dashed or solid.
    pub dashed: bool,
}

/// Puts an extent line on a staff; nothing where it would be shorter than a
/// dash, but always its hook, which tells the end.
pub fn put_extent(stage: &mut Stage, kind: Kind, owner: Owner, extent: &Extent) {
    let half = clear::EXTENT / 2.0;
    let mut line = |from: (f64, f64), to: (f64, f64), dash| {
        let ink = Ink::Line {
            from: Point::new(from.0, from.1),
            to: Point::new(to.0, to.1),
            thickness: StaffSpaces(clear::EXTENT),
            dash,
        };
        stage.add(Stain { ink, kind, owner });
    };
    let end = extent.end.max(extent.from + 0.1);
    if extent.dashed {
        // Dashes and gaps that come out even, so that a dash meets the hook.
        let (dash, gap) = clear::DASH;
        let length = end - extent.from;
        let count = ((length + gap) / (dash + gap)).round().max(1.0);
        let gap = if count > 1.0 { (length - count * dash) / (count - 1.0) } else { 0.0 };
        let dash = if count > 1.0 && gap > 0.1 { dash } else { length };
        let pattern = (gap > 0.1).then_some((StaffSpaces(dash), StaffSpaces(gap)));
        line((extent.from, extent.y), (end, extent.y), pattern);
    } else {
        line((extent.from, extent.y), (end, extent.y), None);
    }
    if let Some(hook) = extent.hook {
        // From the outer edge of the line, so that the corner is square.
        let outer = extent.y - half * hook.signum();
        line((end - half, outer), (end - half, extent.y + hook), None);
    }
}

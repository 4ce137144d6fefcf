//! What the author has decided about lines and pages.

use crate::source::SourcePlace;

/// A bar at which something begins.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PlannedBar {
    /// Where it stands in the plan.
    pub place: SourcePlace,
    /// Its printed number.
    pub number: u32,
}

/// Where lines and pages of an item begin, whatever else would be better.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Breaks {
    /// Bars that begin a line.
    pub lines: Vec<PlannedBar>,
    /// Bars that begin a page.
    pub pages: Vec<PlannedBar>,
    /// Whether the item itself begins a page.
    pub new_page: bool,
}

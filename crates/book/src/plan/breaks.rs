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
    /// Bars that begin a line in large print, which is broken into lines of its own.
    pub large_lines: Vec<PlannedBar>,
    /// Bars that begin a page in large print.
    pub large_pages: Vec<PlannedBar>,
    /// Whether the item itself begins a page.
    pub new_page: bool,
}

impl Breaks {
    /// Those that hold in large print, as its lines and pages.
    #[must_use]
    pub fn in_large_print(&self) -> Self {
        Self { lines: self.large_lines.clone(), pages: self.large_pages.clone(), ..self.clone() }
    }
}

//! Lines and pages that an author decides about.

use crate::node::{Fields, Node};
use crate::plan::{Breaks, PlannedBar};

/// Reads `line-breaks`, `page-breaks` and `new-page` of an item, and the breaks of large print;
/// prose has no bars.
pub(crate) fn read(fields: &Fields<'_>, has_bars: bool) -> Breaks {
    let new_page = fields.get("new-page").and_then(|node| node.yes_or_no()).unwrap_or(false);
    if !has_bars {
        return Breaks { new_page, ..Breaks::default() };
    }
    Breaks {
        lines: bars(fields, "line-breaks"),
        pages: bars(fields, "page-breaks"),
        large_lines: bars(fields, "large-line-breaks"),
        large_pages: bars(fields, "large-page-breaks"),
        new_page,
    }
}

/// A bar or a list of them.
fn bars(fields: &Fields<'_>, key: &'static str) -> Vec<PlannedBar> {
    let bar = |node: Node<'_>| {
        let number = node.whole(1..=100_000)? as u32;
        Some(PlannedBar { place: node.place().clone(), number })
    };
    fields.get(key).iter().flat_map(Node::each).filter_map(bar).collect()
}

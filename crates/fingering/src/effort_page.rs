//! The table of effort as a page of the documentation.

use std::fmt::Write;

use crate::effort::{EffortTable, Term};

/// The page `docs/effort.md`, in Markdown.
pub fn effort_page(table: &EffortTable) -> String {
    let mut page = String::from(
        "# The table of effort\n\n\
         What each term of [the hand model](model.md) costs. Values are whole numbers of no\n\
         unit of their own; only their proportions matter. A book may set its own under\n\
         `[effort]` in `book.toml`.\n\n\
         Written from `crates/fingering/src/effort.rs`; a test keeps the two alike.\n\n\
         | term | value | for each | why | source |\n|---|---:|---|---|---|\n",
    );
    for info in Term::ALL {
        let value = table.value(info.term);
        let _ = writeln!(
            page,
            "| `{}` | {value} | {} | {} | {} |",
            info.name, info.unit, info.why, info.source
        );
    }
    page.push_str(
        "\n## Sources\n\n\
         - H. Heijink and R. G. J. Meulenbroek, *On the complexity of classical guitar playing:\n  \
         functional adaptations to task constraints*, Journal of Motor Behavior 34 (2002).\n\
         - S. I. Sayegh, *Fingering for string instruments with the optimum path paradigm*,\n  \
         Computer Music Journal 13 (1989).\n\
         - D. Radicioni and V. Lombardo, *A constraint-based approach for annotating music\n  \
         scores with gestural information*, Constraints 12 (2007).\n\n\
         All from memory; what is taken from them is the kind of the term, not its value.\n",
    );
    page
}

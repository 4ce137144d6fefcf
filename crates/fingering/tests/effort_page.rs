//! `docs/effort.md` says what the table says.

use apoyando_fingering::{EffortTable, effort_page};

/// Run with `UPDATE_DOCS=1` to write the page anew after a change of the table.
#[test]
fn the_page_agrees_with_the_table() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/effort.md");
    let wanted = effort_page(&EffortTable::default());
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(path, &wanted).expect("docs/effort.md can be written");
    }
    let found = std::fs::read_to_string(path).unwrap_or_default();
    assert_eq!(found, wanted, "run `UPDATE_DOCS=1 cargo test -p apoyando-fingering`");
}

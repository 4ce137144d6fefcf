//! The generated pages of `docs/` say what the tables say.

use apoyando_fingering::{EffortTable, effort_page, hand_page};

/// Run with `UPDATE_DOCS=1` to write the pages anew after a change of a table.
fn agrees(file: &str, wanted: &str) {
    let path = format!("{}/../../docs/{file}", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, wanted).expect("the page can be written");
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(found, wanted, "run `UPDATE_DOCS=1 cargo test -p apoyando-fingering`");
}

#[test]
fn the_page_agrees_with_the_table() {
    agrees("effort.md", &effort_page(&EffortTable::default()));
}

#[test]
fn the_page_of_hands_agrees_with_the_sizes() {
    agrees("hand.md", &hand_page());
}

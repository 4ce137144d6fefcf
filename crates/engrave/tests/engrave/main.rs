//! Tests of the engraver from outside.

mod font_table;
#[path = "../scores/mod.rs"]
mod scores;

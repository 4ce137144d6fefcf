//! Tests of the engraver from outside.

mod alone;
mod bar_repeats;
mod breaths;
mod cues;
mod dashes;
mod dynamics;
mod faults;
#[path = "../scores/fingered.rs"]
mod fingered;
mod fingering;
mod font_table;
#[path = "../scores/fretted.rs"]
mod fretted;
#[path = "../scores/gallery.rs"]
mod gallery;
mod glissandi;
mod graces;
mod holds;
mod ink;
mod lines;
mod long_rests;
mod lyrics;
mod neck;
mod ornaments;
mod ossias;
mod pages;
mod placed;
mod properties;
mod rehearsal;
mod rhythm;
#[path = "../scores/mod.rs"]
mod scores;
mod signs;
mod smaller;
mod snapshots;
mod strums;
mod tablature;
mod unusual;
mod voices;
mod wavy;
mod words;

//! What the tests of the writers share.

use apoyando_fingering::{Level, Position};
use apoyando_fretboard::Instrument;
use apoyando_music::PartIndex;

use crate::setting::Setting;
use crate::written::Written;

pub(crate) fn setting<'a>(
    key: &str,
    position: u8,
    instrument: &'a Instrument,
    level: &'a Level,
) -> Setting<'a> {
    let position = Position::new(position).unwrap();
    Setting::new(key.parse().unwrap(), position, instrument, level)
}

/// The tones of an exercise, as written in guitar music.
pub(crate) fn shown(written: &Written) -> String {
    let tones = written.score.tones(PartIndex(0));
    let shown: Vec<String> =
        tones.as_slice().iter().map(|tone| tone.pitch.up_octaves(1).to_string()).collect();
    shown.join(" ")
}

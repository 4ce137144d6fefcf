//! One small file for every construct; what is read from it is kept as a
//! snapshot, checked by eye against the file when it was taken.

use super::dump;
use std::path::Path;

fn check(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/files").join(name);
    let bytes = std::fs::read(path).expect("the test file");
    let text = match apoyando_formats::read(name, &bytes) {
        Ok(reading) => dump::reading(&reading),
        Err(error) => format!("error: {error}\n"),
    };
    let source = String::from_utf8_lossy(&bytes).into_owned();
    insta::with_settings!({ description => source, omit_expression => true }, {
        insta::assert_snapshot!(name, text);
    });
}

macro_rules! files {
    ($($name:ident = $file:literal,)*) => {
        $(#[test] fn $name() { check($file); })*

        /// No file lies there without being read.
        #[test]
        fn every_file_is_read() {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/files");
            let mut found: Vec<String> = std::fs::read_dir(folder)
                .expect("the folder of test files")
                .map(|entry| entry.expect("an entry").file_name().into_string().expect("a name"))
                .collect();
            found.sort();
            let mut named = vec![$($file.to_owned(),)*];
            named.sort();
            assert_eq!(found, named);
        }
    };
}

files! {
    abc_accidentals_not = "accidentals-not.abc",
    abc_accidentals_octave = "accidentals-octave.abc",
    abc_accidentals = "accidentals.abc",
    xml_articulations = "articulations.musicxml",
    xml_backup_too_far = "backup-too-far.musicxml",
    abc_breath = "breath.abc",
    xml_breaths_and_waves = "breaths-and-waves.musicxml",
    abc_broken = "broken.abc",
    abc_chords = "chords.abc",
    xml_chords = "chords.musicxml",
    xml_clef_bass = "clef-bass.musicxml",
    xml_clef_change = "clef-change.musicxml",
    xml_clef_treble = "clef-treble.musicxml",
    abc_decorations = "decorations.abc",
    xml_cues = "cues.musicxml",
    xml_dashes = "dashes.musicxml",
    xml_directions = "directions.musicxml",
    xml_divisions_change = "divisions-change.musicxml",
    xml_doctype = "doctype.musicxml",
    abc_endings = "endings.abc",
    abc_fields = "fields.abc",
    abc_fingering = "fingering.abc",
    xml_fingering = "fingering.musicxml",
    xml_four_voices = "four-voices.musicxml",
    abc_free = "free.abc",
    abc_grace = "grace.abc",
    xml_heading = "heading.musicxml",
    abc_irregular = "irregular.abc",
    abc_key_accidentals = "key-accidentals.abc",
    xml_keys_and_metres = "keys-and-metres.musicxml",
    abc_latin1 = "latin1.abc",
    abc_lengths = "lengths.abc",
    abc_line_ends = "line-ends.abc",
    abc_metre_change = "metre-change.abc",
    abc_modes = "modes.abc",
    xml_no_duration = "no-duration.musicxml",
    abc_no_key = "no-key.abc",
    abc_no_music = "no-music.abc",
    xml_no_octave = "no-octave.musicxml",
    xml_no_voice_numbers = "no-voice-numbers.musicxml",
    xml_not_read = "not-read.musicxml",
    xml_note_ids = "note-ids.musicxml",
    abc_octaves = "octaves.abc",
    abc_open_chord = "open-chord.abc",
    xml_overlap = "overlap.musicxml",
    xml_ossias = "ossias.musicxml",
    abc_overlay = "overlay.abc",
    xml_pickup_unmarked = "pickup-unmarked.musicxml",
    abc_pickup = "pickup.abc",
    xml_pickup = "pickup.musicxml",
    abc_pipes = "pipes.abc",
    abc_plain_treble = "plain-treble.abc",
    abc_repeats = "repeats.abc",
    xml_repeats = "repeats.musicxml",
    abc_rests = "rests.abc",
    xml_rests = "rests.musicxml",
    abc_several = "several.abc",
    abc_slurs = "slurs.abc",
    xml_slurs = "slurs.musicxml",
    xml_strums = "strums.musicxml",
    xml_tablature = "tablature.musicxml",
    abc_ties = "ties.abc",
    xml_ties = "ties.musicxml",
    xml_timewise = "timewise.musicxml",
    xml_transpose_octave = "transpose-octave.musicxml",
    xml_transpose_second = "transpose-second.musicxml",
    abc_tuplets_compound = "tuplets-compound.abc",
    xml_tuplets_rounded = "tuplets-rounded.musicxml",
    abc_tuplets = "tuplets.abc",
    xml_tuplets = "tuplets.musicxml",
    xml_two_parts = "two-parts.musicxml",
    xml_two_staves = "two-staves.musicxml",
    xml_two_voices = "two-voices.musicxml",
    abc_unit_change = "unit-change.abc",
    xml_value_disagrees = "value-disagrees.musicxml",
    xml_values = "values.musicxml",
    abc_voices_parts = "voices-parts.abc",
    abc_voices_unequal = "voices-unequal.abc",
    abc_voices = "voices.abc",
    xml_octave_by_frets = "octave-by-frets.musicxml",
    xml_odd_length = "odd-length.musicxml",
    xml_many_voices = "many-voices.musicxml",
    xml_sections = "sections.musicxml",
    xml_zero_divisions = "zero-divisions.musicxml",
    abc_words = "words.abc",
    xml_words = "words.musicxml",
    abc_rehearsals = "rehearsals.abc",
    xml_rehearsals = "rehearsals.musicxml",
    abc_lyrics = "lyrics.abc",
    xml_lyrics = "lyrics.musicxml",
    xml_long_rests = "long-rests.musicxml",
    xml_bar_repeats = "bar-repeats.musicxml",
    abc_dynamics = "dynamics.abc",
    xml_dynamics = "dynamics.musicxml",
    abc_graces = "graces.abc",
    xml_graces = "graces.musicxml",
    xml_ornaments = "ornaments.musicxml",
    abc_ornaments = "ornaments.abc",
    xml_harmonics = "harmonics.musicxml",
    xml_harmonics_tuned = "harmonics-tuned.musicxml",
    xml_glides = "glides.musicxml",
    xml_jumps = "jumps.musicxml",
    xml_jumps_words = "jumps-words.musicxml",
    xml_jumps_endless = "jumps-endless.musicxml",
    abc_jumps = "jumps.abc",
    xml_jumps_labels = "jumps-labels.musicxml",
}

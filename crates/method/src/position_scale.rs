//! The scale through the whole position.

use apoyando_music::ScaleKind;

use crate::error::MethodError;
use crate::ladder::Ladder;
use crate::scale::write_run;
use crate::setting::Setting;
use crate::written::Written;

/// Writes the lowest tonic of an octave, up to the highest note that the
/// position has, down to its lowest, and back to the tonic. In melodic minor
/// the sixth and seventh are raised only on the way from the fifth to the
/// tonic; at the turning points they stay natural.
///
/// # Errors
/// If the scale is not of the key's mode, no tonic octave lies in the
/// position, or a note needs an extension that the level does not allow.
pub fn write(setting: &Setting<'_>, kind: ScaleKind) -> Result<Written, MethodError> {
    let ladder = Ladder::new(setting, kind)?;
    let tonic = *ladder.octaves().first().ok_or_else(|| ladder.no_octave())?;
    let (lowest, highest) = ladder.ends().ok_or_else(|| ladder.no_octave())?;
    let mut run = ladder.ascend(tonic, highest)?;
    run.extend(ladder.descend(highest, lowest)?.into_iter().skip(1));
    run.extend(ladder.ascend(lowest, tonic)?.into_iter().skip(1));
    let title = format!("{} {kind} through {}", setting.key.tonic(), setting.position);
    write_run(setting, "position-scale", title, &run)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{self, shown};
    use apoyando_fingering::Level;
    use apoyando_fretboard::Instrument;

    fn notes(key: &str, position: u8, kind: ScaleKind) -> String {
        let (guitar, level) = (Instrument::guitar(), Level::open());
        shown(&write(&trial::setting(key, position, &guitar, &level), kind).unwrap())
    }

    #[test]
    fn the_position_is_gone_through_from_end_to_end() {
        assert_eq!(
            notes("C major", 1, ScaleKind::Major),
            "C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 F5 E5 D5 C5 B4 A4 G4 F4 E4 D4 C4 B3 A3 G3 F3 E3 \
             F3 G3 A3 B3 C4"
        );
        assert_eq!(
            notes("A minor", 1, ScaleKind::MelodicMinor),
            "A3 B3 C4 D4 E4 F♯4 G♯4 A4 B4 C5 D5 E5 F5 G5 F5 E5 D5 C5 B4 A4 G4 F4 E4 D4 C4 B3 A3 \
             G3 F3 E3 F♯3 G♯3 A3"
        );
    }

    /// Common practice, no source: II reaches written A5.
    #[test]
    fn the_second_position_reaches_a() {
        let notes = notes("D major", 2, ScaleKind::Major);
        assert!(notes.contains("G5 A5 G5"), "{notes}");
        assert!(notes.contains("F♯3 E3 F♯3"), "{notes}");
    }
}

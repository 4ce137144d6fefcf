//! The scale of one octave, up and down.

use apoyando_fingering::{LeftFingerSet, Pin, PinAuthor, PinRule, Scope};
use apoyando_hands::RightPlan;
use apoyando_music::{PartIndex, Pitch, ScaleKind, Score, Tone};

use crate::bars::{Bars, Struck};
use crate::error::MethodError;
use crate::ladder::{Ladder, ground};
use crate::setting::Setting;
use crate::written::Written;

/// Writes a tonic octave of the position up and down, ending on a long tonic.
/// `octave` is that of the lower tonic *as written* in guitar music (C4 is the
/// note on the ledger line below the staff); `None` takes the lowest octave in
/// the position.
///
/// # Errors
/// If the scale is not of the key's mode, the octave does not lie in the
/// position, or a note needs an extension that the level does not allow.
pub fn write(
    setting: &Setting<'_>,
    kind: ScaleKind,
    octave: Option<i8>,
) -> Result<Written, MethodError> {
    let ladder = Ladder::new(setting, kind)?;
    let octaves = ladder.octaves();
    let lowest = *octaves.first().ok_or_else(|| ladder.no_octave())?;
    let low = match octave {
        None => lowest,
        Some(wanted) => {
            let tonic = setting.key.tonic().in_octave(wanted);
            let found = octaves.iter().find(|low| low.up_octaves(1) == tonic);
            *found.ok_or_else(|| MethodError::OctaveElsewhere {
                tonic,
                position: setting.position,
                octaves: octaves.iter().map(|low| low.up_octaves(1)).collect(),
            })?
        }
    };
    let high = low.up_octaves(1);
    let mut run = ladder.ascend(low, high)?;
    run.extend(ladder.descend(high, low)?.into_iter().skip(1));
    let title = format!("{} {kind}, one octave", setting.key.tonic());
    write_run(setting, "scale", title, &run)
}

/// A line of even notes that ends on a long one, in one position.
pub(crate) fn write_run(
    setting: &Setting<'_>,
    writer: &'static str,
    title: String,
    run: &[Pitch],
) -> Result<Written, MethodError> {
    let mut bars = Bars::new(setting, writer, title)?;
    bars.stay_in(setting.position);
    let struck: Vec<Struck> = run.iter().map(|pitch| (*pitch, None)).collect();
    if let Some((last, before)) = struck.split_last() {
        for note in before {
            bars.play(&[*note], setting.value.duration())?;
        }
        bars.end_on(&[*last])?;
    }
    let mut written = bars.finish(RightPlan::default())?;
    if setting.position.get() >= CLOSED {
        let pins = closed(setting, &written.score)?;
        for part in &mut written.pins {
            part.0.extend(pins.iter().copied());
        }
    }
    Ok(written)
}

/// From this position on a scale is played closed: an open string serves only
/// where the position has no stopped place for a note. Below, open strings are
/// a matter of course. Common practice, no source.
const CLOSED: u8 = 4;

/// Keeps the notes that the position can stop off the open strings.
fn closed(setting: &Setting<'_>, score: &Score) -> Result<Vec<Pin>, MethodError> {
    let ground = ground(setting)?;
    let stopped = LeftFingerSet::ALL.without(None);
    let tones = score.tones(PartIndex(0));
    let at_hand =
        |tone: &&Tone| ground.covered(tone.pitch.key_number()).any(|place| !place.fret.is_open());
    let pin = |tone: &Tone| Pin {
        scope: Scope::Tone(tone.id),
        rule: PinRule::LeftFingers(stopped),
        author: PinAuthor::Author,
    };
    Ok(tones.as_slice().iter().filter(at_hand).map(pin).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::{self, shown};
    use apoyando_fingering::{Level, Position};
    use apoyando_fretboard::Instrument;
    use apoyando_music::{Duration, Metre};

    #[test]
    fn scales_go_up_and_down_one_octave() {
        for (key, position, kind, notes) in [
            ("C major", 1, ScaleKind::Major, "C4 D4 E4 F4 G4 A4 B4 C5 B4 A4 G4 F4 E4 D4 C4"),
            (
                "A minor",
                1,
                ScaleKind::MelodicMinor,
                "A3 B3 C4 D4 E4 F♯4 G♯4 A4 G4 F4 E4 D4 C4 B3 A3",
            ),
            (
                "B minor",
                2,
                ScaleKind::HarmonicMinor,
                "B3 C♯4 D4 E4 F♯4 G4 A♯4 B4 A♯4 G4 F♯4 E4 D4 C♯4 B3",
            ),
        ] {
            let (guitar, level) = (Instrument::guitar(), Level::open());
            let setting = trial::setting(key, position, &guitar, &level);
            let written = write(&setting, kind, None).unwrap();
            assert_eq!(shown(&written), notes, "{key}");
        }
    }

    #[test]
    fn the_last_note_is_long_in_every_metre() {
        let (guitar, level) = (Instrument::guitar(), Level::open());
        for (count, unit) in [(4, 4), (3, 4), (2, 4), (6, 8), (5, 4), (3, 8)] {
            let metre = Metre::new(count, unit);
            let setting = Setting { metre, ..trial::setting("C major", 1, &guitar, &level) };
            let written = write(&setting, ScaleKind::Major, None).unwrap();
            let tones = written.score.tones(PartIndex(0));
            let last = tones.as_slice().last().unwrap();
            let least = Duration::QUARTER * 2;
            assert!(last.duration() >= least.min(metre.bar()), "{count}/{unit}");
            assert_eq!(last.end, written.score.end());
        }
    }

    #[test]
    fn octaves_are_chosen_as_written() {
        let (guitar, level) = (Instrument::guitar(), Level::open());
        let setting = trial::setting("E minor", 1, &guitar, &level);
        let high = write(&setting, ScaleKind::NaturalMinor, Some(4)).unwrap();
        assert!(shown(&high).starts_with("E4 F♯4 G4"));
        let error = write(&setting, ScaleKind::NaturalMinor, Some(5)).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the octave from written E5 does not lie in I; begin on written E3 or E4"
        );
    }

    #[test]
    fn refusals_say_what_to_do() {
        let (guitar, level) = (Instrument::guitar(), Level::first());
        let setting = trial::setting("A major", 2, &guitar, &level);
        let error = write(&setting, ScaleKind::Major, None).unwrap_err();
        assert_eq!(
            error.to_string(),
            "written G♯4 lies outside II (at ③1) and the level allows no extension; allow one of 1 fret, or choose I"
        );
        let error = write(&setting, ScaleKind::HarmonicMinor, None).unwrap_err();
        assert!(matches!(error, MethodError::ScaleOfOtherMode { .. }));
        let one = Level { positions: [Position::FIRST].into_iter().collect(), ..Level::first() };
        let setting = trial::setting("A major", 5, &guitar, &one);
        let error = write(&setting, ScaleKind::Major, None).unwrap_err();
        assert_eq!(error.to_string(), "V is not a position of this level; choose I");
    }
}

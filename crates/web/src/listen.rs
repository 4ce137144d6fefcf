//! How an item sounds: what is struck when, for the browser to play, and files of it.

use apoyando_fingering::Fingering;
use apoyando_fretboard::Instrument;
use apoyando_music::{PartIndex, Score, Tones};
use apoyando_sound::files::{SoundFileError, flac, midi, wav};
use apoyando_sound::strings::{SAMPLE_RATE, ring};
use apoyando_sound::studio::{A4, Sounding, Studio, levelled};
use apoyando_sound::{Performance, perform};
use apoyando_workshop::BuiltItem;
use serde::Serialize;

/// Sounds for the browser last no longer, in seconds; they fade over the last of them.
const LONGEST: usize = 6;
/// How far below full scale they are, so that many together are not too loud.
const QUIETER: f32 = 0.25;

/// An item as it is played.
#[derive(Serialize)]
pub struct Heard {
    title: String,
    /// The names of its parts.
    parts: Vec<String>,
    /// Of each part the numbers of its voices.
    voices: Vec<Vec<u8>>,
    /// The open strings from ①, by name.
    strings: Vec<String>,
    frets: u8,
    bars: Vec<HeardBar>,
    strikes: Vec<HeardStrike>,
}

#[derive(Serialize)]
struct HeardBar {
    number: u32,
    pass: u8,
    from: f64,
    to: f64,
    /// When its beats begin.
    beats: Vec<f64>,
}

#[derive(Serialize)]
struct HeardStrike {
    at: f64,
    until: f64,
    /// The name of its sound.
    sound: String,
    /// How much louder than that.
    gain: f64,
    part: u16,
    voice: u8,
    note: u32,
    string: usize,
    fret: u8,
    /// The left-hand finger that stops it; none at an open string.
    finger: Option<u8>,
}

/// Why something cannot be heard.
#[derive(Debug, thiserror::Error)]
pub enum ListenError {
    /// Repeats that lead nowhere.
    #[error(transparent)]
    Order(#[from] apoyando_music::PlayOrderError),
    /// A file that cannot be made.
    #[error(transparent)]
    File(#[from] SoundFileError),
    /// An ending that is none of sound.
    #[error("sound is written as mid, wav or flac, not as {0}")]
    Format(String),
}

fn fingerings(item: &BuiltItem) -> Vec<Option<&Fingering>> {
    let of = |part: PartIndex| item.parts.iter().find(|fingered| fingered.part == part);
    item.score.part_indices().map(|part| of(part)?.fingering.as_ref()).collect()
}

/// An item as it is played.
///
/// # Errors
/// If its repeats cannot be unfolded.
pub fn heard(item: &BuiltItem, instrument: &Instrument) -> Result<Heard, ListenError> {
    let score = &item.score;
    let fingerings = fingerings(item);
    let performance = perform(score, &fingerings, instrument)?;
    let part = |index: PartIndex| match score.part(index).name.as_str() {
        "" => format!("Part {}", index.0 + 1),
        name => name.to_owned(),
    };
    let voices =
        score.parts().iter().map(|part| part.voices.iter().map(|it| it.number.0).collect());
    let open = |string| instrument.tuning.open(string).map(|pitch| pitch.to_string());
    Ok(Heard {
        title: item.title.clone(),
        parts: score.part_indices().map(part).collect(),
        voices: voices.collect(),
        strings: instrument.tuning.strings().filter_map(open).collect(),
        frets: instrument.frets.0,
        bars: bars(score, &performance),
        strikes: {
            let tones: Vec<Tones> = score.part_indices().map(|part| score.tones(part)).collect();
            performance.strikes.iter().map(|it| strike(&tones, &fingerings, it)).collect()
        },
    })
}

fn bars(score: &Score, performance: &Performance) -> Vec<HeardBar> {
    let bar = |(index, span): (usize, &apoyando_sound::performance::BarSpan)| {
        let bar = score.bar(span.bar);
        let beats = std::iter::successors(Some(bar.start), |at| Some(*at + bar.metre.beat()));
        let beats = beats.take_while(|at| *at < bar.end_moment());
        let seconds =
            |at| performance.pace.seconds(performance.pace.played_until(index, score, at)).0;
        HeardBar {
            number: bar.number,
            pass: span.pass,
            from: span.from.0,
            to: span.to.0,
            beats: beats.map(seconds).collect(),
        }
    };
    performance.pace.bars().iter().enumerate().map(bar).collect()
}

fn strike(
    tones: &[Tones],
    fingerings: &[Option<&Fingering>],
    strike: &apoyando_sound::Strike,
) -> HeardStrike {
    let part = usize::from(strike.part.0);
    let (fingering, tone) = (fingerings[part], tones[part].of_note(strike.note));
    let left = fingering.zip(tone).and_then(|(fingering, tone)| fingering.tone(tone).left);
    let left = left.filter(|left| left.place == strike.place);
    HeardStrike {
        at: strike.at.0,
        until: strike.until.0,
        sound: Sounding::of(strike).to_string(),
        gain: strike.strength.factor(),
        part: strike.part.0,
        voice: strike.voice.0,
        note: strike.note.0,
        string: strike.place.string.index() + 1,
        fret: strike.place.fret.0,
        finger: left.and_then(|left| left.finger).map(|finger| finger.digit()),
    }
}

/// A sound of the instrument as FLAC; `None` off the instrument.
///
/// # Errors
/// If the file cannot be made.
pub fn sound(
    sounding: Sounding,
    instrument: &Instrument,
) -> Result<Option<Vec<u8>>, SoundFileError> {
    let Some(pluck) = sounding.pluck(instrument, A4) else { return Ok(None) };
    let mut samples = ring(&pluck);
    let most = LONGEST * SAMPLE_RATE as usize;
    if samples.len() > most {
        samples.truncate(most);
        let fade = SAMPLE_RATE as usize;
        for (at, sample) in samples[most - fade..].iter_mut().enumerate() {
            *sample *= 1.0 - at as f32 / fade as f32;
        }
    }
    samples.iter_mut().for_each(|sample| *sample *= QUIETER);
    flac(&[&samples]).map(Some)
}

/// What a file of an item is to hold.
pub struct Wanted<'a> {
    /// `mid`, `wav` or `flac`.
    pub ending: &'a str,
    /// Hundredths of the tempo of the score.
    pub tempo: u16,
    /// The parts; all, if none is named.
    pub parts: &'a [u16],
}

/// A file of how an item sounds.
///
/// # Errors
/// If its repeats cannot be unfolded, the format is unknown or the file cannot be made.
pub fn file(
    item: &BuiltItem,
    instrument: &Instrument,
    wanted: &Wanted<'_>,
) -> Result<Vec<u8>, ListenError> {
    let share = f64::from(wanted.tempo.clamp(30, 150)) / 100.0;
    let performance = perform(&item.score, &fingerings(item), instrument)?.paced(share);
    let parts = |part: PartIndex| wanted.parts.is_empty() || wanted.parts.contains(&part.0);
    let encode = match wanted.ending {
        "mid" => return Ok(midi(&item.score, &performance, &parts)),
        "wav" => wav,
        "flac" => flac,
        other => return Err(ListenError::Format(other.to_owned())),
    };
    let stereo = levelled(Studio::new(instrument, A4).mix(&performance, &parts));
    Ok(encode(&[&stereo.left, &stereo.right])?)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::bench::Bench;

    /// Every piece of the demo is heard whole, and every sound it wants can be made.
    #[test]
    fn all_of_the_demo_can_be_heard() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let instrument = &bench.book().unwrap().instrument;
        let items: Vec<_> = (0..).map_while(|item| bench.item(item)).collect();
        assert!(items.len() > 15);
        let mut sounds = std::collections::BTreeSet::new();
        for item in items {
            let heard = heard(item, instrument).unwrap();
            assert!(heard.strikes.len() >= item.score.tones(PartIndex(0)).len(), "{}", item.title);
            assert!(heard.strikes.iter().all(|it| it.until > it.at), "{}", item.title);
            assert!(heard.bars.windows(2).all(|pair| pair[0].to == pair[1].from));
            // Heard as it is fingered.
            assert!(heard.strikes.iter().all(|it| (it.fret == 0) == it.finger.is_none()));
            sounds.extend(heard.strikes.into_iter().map(|it| it.sound));
        }
        for name in sounds {
            assert!(sound(name.parse().unwrap(), instrument).unwrap().is_some(), "{name}");
        }
    }

    #[test]
    fn files_are_slower_and_of_some_parts_as_wanted() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let instrument = &bench.book().unwrap().instrument;
        let duet = (0..).map_while(|item| bench.item(item));
        let duet = duet.into_iter().find(|item| item.score.parts().len() == 2).unwrap();
        let length = |tempo, parts: &[u16]| {
            let wanted = Wanted { ending: "mid", tempo, parts };
            file(duet, instrument, &wanted).unwrap().len()
        };
        assert!(length(100, &[0]) < length(100, &[]));
        let at = |tempo| {
            let wanted = Wanted { ending: "wav", tempo, parts: &[0] };
            file(duet, instrument, &wanted).unwrap().len() as f64
        };
        let longer = at(50) / at(100);
        assert!((1.8..2.05).contains(&longer), "{longer}");
        let none = Wanted { ending: "mp4", tempo: 100, parts: &[] };
        assert!(matches!(file(duet, instrument, &none), Err(ListenError::Format(_))));
    }
}

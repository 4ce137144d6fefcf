//! Broken chords and until when their sounds are wanted (section 2).

use std::collections::BTreeMap;
use std::ops::Range;

use apoyando_music::{Duration, KeyNumber, Moment};

use crate::layers::Layers;

/// The chords a figure may spell, as semitones above the root.
const CHORDS: [&[u16]; 9] = [
    &[0, 4, 7],
    &[0, 3, 7],
    &[0, 3, 6],
    &[0, 4, 8],
    &[0, 4, 7, 10],
    &[0, 3, 7, 10],
    &[0, 4, 7, 11],
    &[0, 3, 6, 10],
    &[0, 3, 6, 9],
];

/// Per sound, its wanted end.
pub(crate) fn wanted_ends(all: &Layers<'_>) -> Vec<Moment> {
    let mut ends: Vec<Moment> = all.sounds.iter().map(|sound| sound.written_end).collect();
    for figure in &all.figures {
        let sounds = all.layers[figure.start].struck.start..all.layers[figure.end - 1].struck.end;
        let over = match all.layers.get(figure.end) {
            Some(layer) => Some(layer.at),
            None => all.sounds[sounds.clone()].iter().map(|sound| sound.written_end).max(),
        };
        let Some(over) = over else { continue };
        for sound in sounds {
            let joined = all.sounds[sound].leads_to.iter().map(|to| all.sounds[*to].onset);
            let latest = joined.chain(all.sounds[sound].struck_again).fold(over, Moment::min);
            ends[sound] = ends[sound].max(latest);
        }
    }
    ends
}

/// The figures, as ranges of layers.
pub(crate) fn figures(all: &Layers<'_>) -> Vec<Range<usize>> {
    broken(all, Duration::new(1, 8))
}

/// Chords broken over layers at most so far apart, as ranges of layers.
///
/// A run from the next layer takes on all that one from this layer took on,
/// since it asks less: so no layer is taken on twice, and a bar of thousands of
/// notes takes no longer than as many bars.
pub(crate) fn broken(all: &Layers<'_>, apart: Duration) -> Vec<Range<usize>> {
    let sounding = all.sounding_on(|sound| sound.written_end);
    let mut figures = Vec::new();
    let mut run = 0..0;
    let mut keys = Keys::default();
    while run.start < all.layers.len() {
        if run.is_empty() {
            keys.add(all, run.end);
            run.end += 1;
        }
        while run.end < all.layers.len()
            && takes_on(all, (run.end, apart), &mut keys, &sounding[run.end])
        {
            run.end += 1;
        }
        if run.len() >= 3 && keys.0.len() >= 3 {
            let next = run.end;
            figures.push(std::mem::replace(&mut run, next..next));
            keys = Keys::default();
        } else {
            keys.remove(all, run.start);
            run.start += 1;
        }
    }
    figures
}

/// The different keys struck in a run, from low to high, and how often.
#[derive(Default)]
struct Keys(BTreeMap<KeyNumber, usize>);

impl Keys {
    fn add(&mut self, all: &Layers<'_>, layer: usize) {
        for sound in all.layers[layer].struck.clone() {
            *self.0.entry(all.sounds[sound].key).or_default() += 1;
        }
    }

    fn remove(&mut self, all: &Layers<'_>, layer: usize) {
        for sound in all.layers[layer].struck.clone() {
            let key = all.sounds[sound].key;
            match self.0.get_mut(&key) {
                Some(times) if *times > 1 => *times -= 1,
                _ => drop(self.0.remove(&key)),
            }
        }
    }
}

/// Whether a run takes on the layer that follows it; then its keys are among
/// those of the run.
fn takes_on(
    all: &Layers<'_>,
    (next, apart): (usize, Duration),
    keys: &mut Keys,
    sounding: &[usize],
) -> bool {
    let (before, layer) = (&all.layers[next - 1], &all.layers[next]);
    if before.bar != layer.bar || layer.at - before.at > apart {
        return false;
    }
    keys.add(all, next);
    let near = keys.0.keys().zip(keys.0.keys().skip(1)).any(|(low, high)| high.0 - low.0 < 3);
    let held = sounding.iter().map(|sound| all.sounds[*sound].key);
    if near || !one_chord(keys.0.keys().copied().chain(held)) {
        keys.remove(all, next);
        return false;
    }
    true
}

fn one_chord(keys: impl Iterator<Item = KeyNumber>) -> bool {
    let classes = keys.fold(0u16, |set, key| set | 1 << key.0.rem_euclid(12));
    (0..12u16).any(|root| {
        CHORDS.iter().any(|chord| {
            let set = chord.iter().fold(0u16, |set, above| set | 1 << ((root + above) % 12));
            classes & !set == 0
        })
    })
}

#[cfg(test)]
mod tests {
    use apoyando_fingering::{EffortTable, Level, NO_HOUSE, Pins, Problem};
    use apoyando_fretboard::Instrument;
    use apoyando_music::{
        Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, KeySignature, Metre, NoteValue,
        PartIndex, Pitch, Score,
    };
    use proptest::prelude::*;

    use super::*;

    fn fits(keys: &[i16]) -> bool {
        one_chord(keys.iter().copied().map(KeyNumber))
    }

    /// Common practice, no source: what a triad or seventh is.
    #[test]
    fn triads_and_sevenths_are_chords_and_others_are_not() {
        assert!(fits(&[48, 52, 55, 60]));
        assert!(fits(&[55, 59, 62, 65]));
        assert!(fits(&[60, 64]));
        assert!(!fits(&[48, 50, 52]));
        assert!(!fits(&[60, 64, 67, 69, 71]));
    }

    /// Bars of notes over held basses, all of the same two lengths.
    fn score(bars: &[Vec<&str>], base: Base, bass: &str) -> Score {
        let value = NoteValue::plain(base);
        let note = |name: &&str| match *name {
            "r" => DraftEvent::rest(value),
            name => DraftEvent::notes(value, &[name.parse().unwrap()]),
        };
        let pitch: Pitch = bass.parse().unwrap();
        let under = |bar: &Vec<&str>| vec![DraftEvent::notes(value, &[pitch]); bar.len()];
        let mut part = DraftPart::guitar(String::new());
        part.voices.push(bars.iter().map(|bar| bar.iter().map(note).collect()).collect());
        part.voices.push(bars.iter().map(under).collect());
        let grid = bars.iter().zip(1..).map(|(bar, number)| DraftBar {
            length: Some(Duration::new(
                value.duration().ratio().numer() * bar.len() as i64,
                *value.duration().ratio().denom(),
            )),
            ..DraftBar::new(number, Metre::COMMON, KeySignature::NONE)
        });
        let draft = Draft { bars: grid.collect(), parts: vec![part], ..Draft::default() };
        Score::assemble(draft).unwrap()
    }

    /// Looks at the layers of a score of which nothing is asked besides.
    fn of_layers<T>(score: &Score, look: impl FnOnce(&Layers<'_>) -> T) -> T {
        look(&Layers::of(&Problem {
            score,
            part: PartIndex(0),
            instrument: &Instrument::guitar(),
            level: &Level::open(),
            pins: &Pins::default(),
            effort: &EffortTable::default(),
            house: &NO_HOUSE,
        }))
    }

    /// Section 2 of the model word for word: every run from its own first layer,
    /// with its keys gathered anew.
    fn word_for_word(all: &Layers<'_>) -> Vec<Range<usize>> {
        let sounding = all.sounding_on(|sound| sound.written_end);
        let (mut figures, mut first) = (Vec::new(), 0);
        while first < all.layers.len() {
            let mut end = first + 1;
            let gathered = |end: usize| {
                let mut keys = Keys::default();
                (first..end).for_each(|layer| keys.add(all, layer));
                keys
            };
            while end < all.layers.len()
                && takes_on(all, (end, Duration::new(1, 8)), &mut gathered(end), &sounding[end])
            {
                end += 1;
            }
            if end - first >= 3 && gathered(end).0.len() >= 3 {
                figures.push(first..end);
                first = end;
            } else {
                first += 1;
            }
        }
        figures
    }

    proptest! {
        #[test]
        fn runs_are_those_of_the_model(
            bars in prop::collection::vec(
                prop::collection::vec(
                    prop::sample::select(vec!["C4", "E4", "G4", "C5", "A4", "D4", "E4", "r"]),
                    1..14,
                ),
                1..4,
            ),
            base in prop::sample::select(vec![Base::Eighth, Base::Quarter]),
            bass in prop::sample::select(vec!["C3", "A2"]),
        ) {
            let score = score(&bars, base, bass);
            let (found, wanted) = of_layers(&score, |all| (figures(all), word_for_word(all)));
            prop_assert_eq!(found, wanted);
        }
    }

    /// Gathering every run anew, this would take hours.
    #[test]
    fn a_bar_of_one_note_again_and_again_is_no_burden() {
        let score = score(&[vec!["C4"; 10_000]], Base::N16, "C3");
        assert_eq!(of_layers(&score, figures), []);
    }
}

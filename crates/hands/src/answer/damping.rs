//! Open basses that ring on into a foreign harmony (model §9).

use apoyando_fingering::{Finding, Fingering, LeftFinger, Remedy, RightFinger, Severity};
use apoyando_fretboard::StringNumber;
use apoyando_music::{Moment, PartIndex, Score, ToneId, Tones};

use crate::heard::Clock;
use crate::heard::figure::{class, fits_one_chord};
use crate::heard::{Music, Role};
use crate::when;

/// So long a plucked open string is taken to be heard, in milliseconds
/// (model §9).
const HEARD_FOR: i64 = 5_000;

/// The thinnest of the strings that are basses whatever is played on them.
const BASS_STRINGS_FROM: u8 = 4;

/// An open bass string that goes on sounding where it does not belong.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ringing {
    /// The bass note.
    pub tone: ToneId,
    /// The string that rings.
    pub string: StringNumber,
    /// The onset of the foreign harmony: here it is to be damped.
    pub damp_at: Moment,
    /// When the string is played again or stopped; `None` if that is not
    /// before the sound has died away.
    pub until: Option<Moment>,
    /// What p does at that onset.
    pub thumb: Thumb,
    /// A finger that comes down on a neighbouring string there and can touch
    /// this one as well.
    pub finger: Option<(LeftFinger, StringNumber)>,
}

/// How p can damp a string.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Thumb {
    /// It plays nothing and can be put on the string.
    Free,
    /// It plays the next thicker string; a rest stroke brings it to rest on
    /// the one that rings.
    NextString(StringNumber),
    /// It plays elsewhere and comes back.
    Plays(StringNumber),
}

/// Every open bass of a fingered part that rings into a foreign harmony, in
/// the order in which they are to be damped. None for a fingering of another
/// score.
pub fn ringing(score: &Score, part: PartIndex, fingering: &Fingering) -> Vec<Ringing> {
    let fits = fingering.revision == score.revision()
        && fingering.part == part
        && usize::from(part.0) < score.parts().len();
    if !fits {
        return Vec::new();
    }
    let tones = score.tones(part);
    if fingering.tones.len() != tones.len() {
        return Vec::new();
    }
    of_music(score, &tones, &Music::read((score, part), &tones, &[]), fingering)
}

/// A string that may ring.
struct Open {
    sound: usize,
    tone: ToneId,
    from: Moment,
    /// Index of what has been found of it.
    told: Option<usize>,
}

pub(crate) fn of_music(
    score: &Score,
    tones: &Tones,
    music: &Music,
    fingering: &Fingering,
) -> Vec<Ringing> {
    let clock = Clock::of(score);
    let mut found: Vec<Ringing> = Vec::new();
    let mut open: Vec<Option<Open>> = Vec::new();
    open.resize_with(usize::from(StringNumber::MOST) + 1, || None);
    let figures = figure_classes(music, fingering);
    for (index, layer) in music.layers.iter().enumerate() {
        let Some(posture) = fingering.postures.get(index) else { break };
        let at = layer.onset;
        let placed = |sound: usize| {
            let tone = *music.sounds[sound].tones.first()?;
            Some((tone, fingering.tones.get(tone.0 as usize)?.left?))
        };
        for string in (1..=StringNumber::MOST).filter_map(StringNumber::new) {
            let slot = &mut open[usize::from(string.get())];
            let Some(ringing) = slot else { continue };
            let struck = layer
                .struck()
                .filter_map(placed)
                .any(|(_, placement)| placement.place.string == string);
            let silent = struck || posture.barre.is_some_and(|barre| barre.covers(string));
            let died = clock.milliseconds(music.sounds[ringing.sound].onset, at) >= HEARD_FOR;
            if silent || died {
                if let (Some(told), true) = (ringing.told, silent && !died) {
                    found[told].until = Some(at);
                }
                *slot = None;
                continue;
            }
            if ringing.told.is_some() || at < ringing.from {
                continue;
            }
            let sounding = posture.sounding.iter().filter(|(tone, _)| *tone != ringing.tone);
            let harmony = sounding
                .filter(|(tone, _)| (tone.0 as usize) < tones.len())
                .fold(figures[index], |set, (tone, _)| {
                    set | class(tones.get(*tone).pitch.key_number().0)
                });
            if is_foreign(music.sounds[ringing.sound].key, harmony) {
                ringing.told = Some(found.len());
                found.push(Ringing {
                    tone: ringing.tone,
                    string,
                    damp_at: at,
                    until: None,
                    thumb: thumb(music, fingering, index, string),
                    finger: neighbour(music, fingering, index, string),
                });
            }
        }
        for sound in layer.struck() {
            let Some((tone, placement)) = placed(sound) else { continue };
            let string = placement.place.string;
            let music_of = &music.sounds[sound];
            let is_bass = string.get() >= BASS_STRINGS_FROM || music_of.role == Role::Bass;
            if placement.finger.is_none() && is_bass {
                let let_ring = fingering.tones[tone.0 as usize].sounds_until;
                let from = music_of.written_end.max(let_ring);
                open[usize::from(string.get())] = Some(Open { sound, tone, from, told: None });
            }
        }
    }
    found
}

/// By layer, the pitch classes of the figure that it belongs to.
fn figure_classes(music: &Music, fingering: &Fingering) -> Vec<u16> {
    let mut classes = vec![0; music.layers.len()];
    for layer in &music.layers {
        let Some((figure, _)) = layer.figure else { continue };
        for sound in &music.sounds[layer.struck()] {
            let played = |tone: &ToneId| fingering.tones.get(tone.0 as usize)?.left;
            if sound.tones.first().and_then(played).is_some() {
                classes[figure] |= class(sound.key);
            }
        }
    }
    music.layers.iter().map(|layer| layer.figure.map_or(0, |(figure, _)| classes[figure])).collect()
}

/// Whether a key does not belong to a harmony that is known to be a chord.
fn is_foreign(key: i16, harmony: u16) -> bool {
    fits_one_chord(harmony) && !fits_one_chord(harmony | class(key))
}

/// With a capital letter, as a sentence begins.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn thumb(music: &Music, fingering: &Fingering, layer: usize, string: StringNumber) -> Thumb {
    let played: Vec<StringNumber> = music.sounds[music.layers[layer].struck()]
        .iter()
        .filter_map(|sound| fingering.tones.get(sound.tones.first()?.0 as usize))
        .filter(|tone| tone.right == Some(RightFinger::P))
        .filter_map(|tone| Some(tone.left?.place.string))
        .collect();
    match played.iter().find(|other| other.get() == string.get() + 1) {
        Some(next) => Thumb::NextString(*next),
        None => played.first().map_or(Thumb::Free, |other| Thumb::Plays(*other)),
    }
}

/// A finger that stops a note struck on a string beside this one.
fn neighbour(
    music: &Music,
    fingering: &Fingering,
    layer: usize,
    string: StringNumber,
) -> Option<(LeftFinger, StringNumber)> {
    music.sounds[music.layers[layer].struck()]
        .iter()
        .filter_map(|sound| fingering.tones.get(sound.tones.first()?.0 as usize)?.left)
        .filter(|left| left.place.string.get().abs_diff(string.get()) == 1)
        .filter_map(|left| Some((left.finger?, left.place.string)))
        .min_by_key(|(_, other)| *other)
}

impl Ringing {
    /// What is to be said of it.
    pub fn finding(&self, score: &Score, part: PartIndex) -> Finding {
        let tones = score.tones(part);
        self.told(score, part, &tones)
    }

    pub(crate) fn told(&self, score: &Score, part: PartIndex, tones: &Tones) -> Finding {
        let (string, tone) = (self.string, tones.get(self.tone));
        let name = tone.pitch.name();
        let place =
            |at| format!("bar {}, beat {}", when::bar_number(score, at), when::beat(score, at));
        let until = match self.until {
            Some(until) => format!("until {string} is taken again at {}", place(until)),
            None => "until it dies away".to_owned(),
        };
        Finding {
            rule: "open-bass-rings-on",
            severity: Severity::Advice,
            place: when::place(score, part, self.damp_at),
            message: format!(
                "the open {string}, played at {}, rings on into a harmony that has no {name}, {until}",
                place(tone.onset),
            ),
            remedy: Some(self.remedy()),
            remedies: vec![Remedy::Advise(format!(
                "{}: damp {string}: {}.",
                capital(&place(self.damp_at)),
                self.way()
            ))],
        }
    }

    /// How it is damped, without a full stop.
    pub fn remedy(&self) -> String {
        format!("damp it: {}", self.way())
    }

    fn way(&self) -> String {
        let string = self.string;
        let with_thumb = match self.thumb {
            Thumb::Free => format!("put p on {string} as the next notes are played"),
            Thumb::NextString(other) => {
                format!("play {other} with a rest stroke of p, which ends on {string}")
            }
            Thumb::Plays(other) => {
                format!("touch {string} with p as soon as it has played {other}")
            }
        };
        match self.finger {
            Some((finger, other)) => format!(
                "{with_thumb}, or let finger {finger}, coming down on {other}, touch {string} too"
            ),
            None => with_thumb,
        }
    }
}

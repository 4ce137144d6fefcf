//! Harmonics, whatever pitch they are noted by, to the pitch that sounds.
//!
//! MusicXML 4.0 (`harmonic`) lets a note show the sounding pitch, the pitch of
//! the place that is touched, or that of the string untouched; a chord may show
//! several of them for one sound. Where the file does not say which, or what it
//! says does not give the sound, strings and frets are asked.

use apoyando_fingering::Severity;
use apoyando_fretboard::{Instrument, Place};
use apoyando_music::{EventMark, Interval, KeyNumber, Pitch};

use crate::report::Report;
use crate::rough::{HandMarks, HarmonicPitch, RoughEvent, RoughHarmonic, RoughNote, RoughPart};

use HarmonicPitch::{Base, Sounding, Touching};

const OCTAVE: u8 = 12;

/// How far above the untouched string a harmonic sounds that is touched so many
/// frets above its end: at a half, a third, a quarter or a fifth of the string it
/// sounds two, three, four or five times as fast. Physics of the string, in equal
/// temperament.
fn sound_above(frets: u8) -> Option<Interval> {
    Some(match frets {
        12 => Interval::new(7, 12),
        7 | 19 => Interval::new(11, 19),
        5 | 24 => Interval::new(14, 24),
        4 | 9 | 16 => Interval::new(16, 28),
        _ => return None,
    })
}

/// Gives the harmonics of a part their sounding pitches and their marks.
pub(super) fn settle(part: &mut RoughPart, report: &mut Report) {
    let instrument = &part.instrument;
    for bars in &mut part.voices {
        for (index, events) in bars.iter_mut().enumerate() {
            if events.iter().flat_map(|event| &event.notes).all(|note| note.harmonic.is_none()) {
                continue;
            }
            report.bar = Some(index);
            let read = std::mem::take(events).into_iter().flat_map(|mut event| {
                report.line = Some(event.line);
                report.onset = Some(event.onset);
                one_head_each(&mut event, report);
                for note in &mut event.notes {
                    sounding(note, instrument, report);
                }
                by_kind(event)
            });
            *events = read.collect();
        }
    }
    report.bar = None;
    report.line = None;
    report.onset = None;
}

/// A chord may show how a harmonic is made beside what sounds, or instead of it:
/// of the heads for one sound one remains.
fn one_head_each(event: &mut RoughEvent, report: &mut Report) {
    for natural in [true, false] {
        let all = |shows: HarmonicPitch, event: &RoughEvent| -> Vec<usize> {
            let wanted = Some(RoughHarmonic { natural, shows: Some(shows) });
            let places = (0..event.notes.len()).filter(|at| event.notes[*at].harmonic == wanted);
            places.collect()
        };
        let (sounds, touches, bases) =
            (all(Sounding, event), all(Touching, event), all(Base, event));
        let extra = match (&sounds[..], &touches[..], &bases[..]) {
            (_, [], []) => continue,
            // The string is said at any of the heads, the fret where the finger is.
            (&[sound], touches, bases) if touches.len() <= 1 && bases.len() <= 1 => {
                let fingers = if natural { [touches, bases] } else { [bases, touches] };
                let others: Vec<usize> = fingers.concat();
                for other in &others {
                    let hand = event.notes[*other].hand;
                    fill(&mut event.notes[sound].hand, hand);
                }
                others
            }
            (&[], &[touch], &[base]) => {
                let frets = event.notes[base].pitch.semitones_to(event.notes[touch].pitch);
                let Some(above) = u8::try_from(frets).ok().and_then(sound_above) else { continue };
                let Some(pitch) = above.above(event.notes[base].pitch) else { continue };
                let (kept, other) = if natural { (touch, base) } else { (base, touch) };
                let hand = event.notes[other].hand;
                let note = &mut event.notes[kept];
                fill(&mut note.hand, hand);
                note.pitch = pitch;
                note.harmonic = Some(RoughHarmonic { natural, shows: Some(Sounding) });
                if !natural && frets != i32::from(OCTAVE) {
                    report.add(
                        Severity::Advice,
                        "harmonic-touched-elsewhere",
                        format!(
                            "an artificial harmonic is touched {frets} semitones above the stopped note; its sound is read, to be touched an octave above the stopped note"
                        ),
                        None,
                    );
                }
                vec![other]
            }
            (sounds, touches, bases) if sounds.len() == touches.len().max(bases.len()) => {
                report.not_read("how each harmonic of a chord is touched");
                [touches, bases].concat()
            }
            _ => continue,
        };
        let mut at = 0..;
        event.notes.retain(|_| at.next().is_none_or(|at| !extra.contains(&at)));
    }
}

fn fill(hand: &mut HandMarks, other: HandMarks) {
    hand.string = hand.string.or(other.string);
    hand.fret = hand.fret.or(other.fret);
    hand.left = hand.left.or(other.left);
    hand.second = hand.second.or(other.second);
    hand.right = hand.right.or(other.right);
}

/// Gives a note the pitch that sounds; what cannot be worked out is no harmonic
/// any more.
fn sounding(note: &mut RoughNote, instrument: &Instrument, report: &mut Report) {
    let Some(harmonic) = note.harmonic else { return };
    let found = match (harmonic.shows, harmonic.natural) {
        (Some(Sounding), _) => Some(note.pitch),
        (Some(shows), true) => natural(note, shows, instrument),
        (Some(shows), false) => artificial(note, shows, instrument),
        (None, natural_one) => {
            let asked = [Sounding, Base, Touching].into_iter().find_map(|shows| {
                let told = told(note, shows, natural_one, instrument);
                told.then(|| match (shows, natural_one) {
                    (Sounding, _) => Some(note.pitch),
                    (_, true) => natural(note, shows, instrument),
                    (_, false) => artificial(note, shows, instrument),
                })?
            });
            if asked.is_none() {
                report.add(
                    Severity::Advice,
                    "harmonic-assumed",
                    "the file does not say which pitch of a harmonic it gives; the pitch is read as what sounds".to_owned(),
                    Some("say <sounding-pitch/>, <touching-pitch/> or <base-pitch/> in the <harmonic>"),
                );
            }
            asked.or(Some(note.pitch))
        }
    };
    // No sound lies beyond all octaves, whatever a file says.
    match found.filter(|pitch| (-1..=12).contains(&pitch.octave)) {
        Some(pitch) => note.pitch = pitch,
        None => {
            note.harmonic = None;
            report.not_read("harmonic noted by the place where it is touched or stopped, without a string or fret that tells its sound,");
        }
    }
}

/// Whether string and fret say that the pitch of a note is this one of its
/// harmonic.
fn told(note: &RoughNote, shows: HarmonicPitch, natural: bool, instrument: &Instrument) -> bool {
    let (Some(string), Some(fret)) = (note.hand.string, note.hand.fret) else { return false };
    let Some(open) = open_key(instrument, string) else { return false };
    let place = open + i16::from(fret.0);
    let wanted = match (shows, natural) {
        (Sounding, true) => sound_above(fret.0).map(|above| open + i16::from(above.semitones)),
        (Base, true) => Some(open),
        (Touching, true) | (Base, false) => Some(place),
        (Sounding | Touching, false) => Some(place + i16::from(OCTAVE)),
    };
    wanted.map(KeyNumber) == Some(note.pitch.key_number())
}

/// A natural harmonic from where it is touched, or from its string and the fret
/// where it is touched.
fn natural(note: &RoughNote, shows: HarmonicPitch, instrument: &Instrument) -> Option<Pitch> {
    let by_string = || {
        let open = open_key(instrument, note.hand.string?)?;
        u8::try_from(note.pitch.key_number().0 - open).ok()
    };
    let stated = note.hand.fret.map(|fret| fret.0);
    match shows {
        Sounding => Some(note.pitch),
        Base => sound_above(stated?)?.above(note.pitch),
        Touching => {
            let frets = stated.or_else(by_string)?;
            let above = sound_above(frets)?.semitones - i8::try_from(frets).ok()?;
            // From the touched fret to the sound it is octaves and a twelfth.
            match above {
                19 => Interval::new(11, 19).above(note.pitch),
                octaves => Some(note.pitch.up_octaves(octaves / OCTAVE as i8)),
            }
        }
    }
}

/// An artificial harmonic, touched an octave above the stopped fret: it sounds
/// there, which is also the pitch of the place that is touched.
fn artificial(note: &RoughNote, shows: HarmonicPitch, instrument: &Instrument) -> Option<Pitch> {
    match shows {
        Sounding => Some(note.pitch),
        Base => {
            let told = note.hand.string.is_some() || note.hand.fret.is_some();
            told.then(|| note.pitch.up_octaves(1))
        }
        Touching => {
            let place = Place { string: note.hand.string?, fret: note.hand.fret? };
            let stopped = instrument.sound(place)?.0;
            let key = note.pitch.key_number().0;
            (key == stopped || key == stopped + i16::from(OCTAVE)).then_some(note.pitch)
        }
    }
}

fn open_key(instrument: &Instrument, string: apoyando_fretboard::StringNumber) -> Option<i16> {
    let open = instrument.tuning.open(string)?;
    Some(open.key_number().0 + i16::from(instrument.capo.0))
}

/// An event is a harmonic as a whole: one of several kinds comes apart into
/// events at one onset.
fn by_kind(event: RoughEvent) -> Vec<RoughEvent> {
    let kinds = [None, Some(EventMark::NaturalHarmonic), Some(EventMark::ArtificialHarmonic)];
    let kind = |note: &RoughNote| {
        note.harmonic.map(|harmonic| match harmonic.natural {
            true => EventMark::NaturalHarmonic,
            false => EventMark::ArtificialHarmonic,
        })
    };
    let mut apart: Vec<RoughEvent> = Vec::new();
    for mark in kinds {
        let notes: Vec<RoughNote> =
            event.notes.iter().filter(|note| kind(note) == mark).cloned().collect();
        if notes.is_empty() {
            continue;
        }
        // Slurs and the like are those of the first.
        let mut own = RoughEvent { notes, ..event.clone() };
        if !apart.is_empty() {
            own.marks.clear();
            own.graces.clear();
        }
        own.marks.extend(mark);
        apart.push(own);
    }
    if apart.is_empty() { vec![event] } else { apart }
}

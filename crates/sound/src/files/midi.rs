//! A Standard MIDI File, format 1: the tempos on the first track, a track to each part.
//! (MIDI Association, *Standard MIDI Files 1.0*.)

use apoyando_music::{PartIndex, Score};

use crate::performance::{Performance, Strike};

/// Ticks of a quarter note.
const QUARTER: f64 = 960.0;
/// *Acoustic Guitar (nylon)* of General MIDI, counted from 0.
const NYLON_GUITAR: u8 = 24;
/// The velocity of *mf*, and how much one decibel is.
const MEZZOFORTE: f64 = 80.0;
const DECIBEL: f64 = 3.5;
/// The channel of drums, which no part has.
const DRUMS: u16 = 9;

/// What happens at a tick; what is lower comes first where several fall together.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Timed(u64, Vec<u8>);

/// A MIDI file of a performance, of the parts that are wanted.
pub fn midi(
    score: &Score,
    performance: &Performance,
    wanted: &dyn Fn(PartIndex) -> bool,
) -> Vec<u8> {
    let parts: Vec<PartIndex> = score.part_indices().filter(|part| wanted(*part)).collect();
    let mut file = b"MThd".to_vec();
    file.extend(6u32.to_be_bytes());
    for number in [1, 1 + parts.len() as u16, QUARTER as u16] {
        file.extend(number.to_be_bytes());
    }
    file.extend(track(tempos(score, performance)));
    for part in parts {
        file.extend(track(notes(score, performance, part)));
    }
    file
}

/// Title, metres and tempos.
fn tempos(score: &Score, performance: &Performance) -> Vec<Timed> {
    let mut events = vec![Timed(0, text(3, &score.heading().title))];
    let mut metre = None;
    for span in performance.pace.bars() {
        let own = score.bar(span.bar).metre;
        if metre.replace(own) != Some(own) {
            let (beats, unit) = (own.count, own.unit);
            let clocks = (96 / u32::from(unit.max(1))).clamp(1, 255) as u8;
            let bytes = vec![0xff, 0x58, 4, beats, unit.max(1).ilog2() as u8, clocks, 8];
            events.push(Timed(ticks(span.played.whole_notes()), bytes));
        }
    }
    for stretch in performance.pace.stretches() {
        let quarter = (stretch.whole.0 / 4.0 * 1e6).round().clamp(1.0, 16_777_215.0) as u32;
        let mut bytes = vec![0xff, 0x51, 3];
        bytes.extend(&quarter.to_be_bytes()[1..]);
        events.push(Timed(ticks(stretch.played.whole_notes()), bytes));
    }
    events
}

fn notes(score: &Score, performance: &Performance, part: PartIndex) -> Vec<Timed> {
    let channel = (part.0 % 15) + u16::from(part.0 % 15 >= DRUMS);
    let channel = channel as u8;
    let mut events = vec![
        Timed(0, text(3, &score.part(part).name)),
        Timed(0, vec![0xc0 | channel, NYLON_GUITAR]),
    ];
    for strike in performance.strikes.iter().filter(|strike| strike.part == part) {
        let Ok(key) = u8::try_from(strike.key.0.clamp(0, 127)) else { continue };
        let from = ticks(performance.pace.whole_notes(strike.at));
        let until = ticks(performance.pace.whole_notes(strike.until)).max(from + 1);
        events.push(Timed(from, vec![0x90 | channel, key, velocity(strike)]));
        events.push(Timed(until, vec![0x80 | channel, key, 64]));
    }
    events
}

fn ticks(whole_notes: f64) -> u64 {
    (whole_notes.max(0.0) * 4.0 * QUARTER).round() as u64
}

fn velocity(strike: &Strike) -> u8 {
    (MEZZOFORTE + DECIBEL * strike.strength.0).round().clamp(1.0, 127.0) as u8
}

/// A text of a kind: 3 is the name of a track.
fn text(kind: u8, words: &str) -> Vec<u8> {
    let mut bytes = vec![0xff, kind];
    bytes.extend(quantity(words.len() as u64));
    bytes.extend(words.as_bytes());
    bytes
}

/// A number in as many groups of seven bits as it needs.
fn quantity(number: u64) -> Vec<u8> {
    let mut bytes = vec![(number & 0x7f) as u8];
    let mut rest = number >> 7;
    while rest > 0 {
        bytes.push((rest & 0x7f) as u8 | 0x80);
        rest >>= 7;
    }
    bytes.reverse();
    bytes
}

/// A track of events, which it puts in order: notes that end before those that begin.
fn track(mut events: Vec<Timed>) -> Vec<u8> {
    let rank = |bytes: &[u8]| match bytes.first() {
        Some(0xff) => 0,
        Some(first) if first & 0xf0 == 0xc0 => 1,
        Some(first) if first & 0xf0 == 0x80 => 2,
        _ => 3,
    };
    events.sort_by_key(|Timed(at, bytes)| (*at, rank(bytes)));
    let mut data = Vec::new();
    let mut now = 0;
    for Timed(at, bytes) in events {
        data.extend(quantity(at - now));
        data.extend(bytes);
        now = at;
    }
    data.extend([0, 0xff, 0x2f, 0]);
    let mut track = b"MTrk".to_vec();
    track.extend((data.len() as u32).to_be_bytes());
    track.extend(data);
    track
}

//! A readable text of what was read.

use std::fmt::Write;

use apoyando_fingering::{PinRule, Pins, Scope};
use apoyando_formats::{ReadPiece, Reading};
use apoyando_music::{
    BarEnd, Event, EventMark, Moment, Note, PartIndex, Score, Sung, Sweep, play_order,
};

/// Everything of a reading that a musician would compare.
pub fn reading(reading: &Reading) -> String {
    let mut text = String::new();
    for finding in &reading.findings {
        let _ = writeln!(text, "! {finding}");
    }
    for item in &reading.pieces {
        piece(&mut text, item);
    }
    text
}

fn piece(text: &mut String, piece: &ReadPiece) {
    let score = &piece.score;
    let heading = score.heading();
    let known = [
        ("title", &heading.title),
        ("subtitle", &heading.subtitle),
        ("composer", &heading.composer),
        ("arranger", &heading.arranger),
        ("source", &heading.source),
        ("rights", &heading.rights),
    ];
    for (name, value) in known.into_iter().filter(|(_, value)| !value.is_empty()) {
        let _ = writeln!(text, "{name}: {value}");
    }
    for (index, bar) in score.bars().iter().enumerate() {
        let _ = write!(text, "bar {} {}/{}", bar.number, bar.metre.count, bar.metre.unit);
        let _ = write!(text, " {:?} key {:+}", bar.metre.sign, bar.signature.fifths());
        if bar.length != bar.metre.bar() {
            let _ = write!(text, " lasts {}", bar.length);
        }
        if bar.repeat_start {
            let _ = write!(text, " |:");
        }
        if let Some(times) = bar.repeat_end {
            let _ = write!(text, " :|x{times}");
        }
        if let Some(ending) = &bar.ending {
            let first = if ending.first { "[" } else { "" };
            let last = if ending.last { "]" } else { "" };
            let _ = write!(text, " ending {first}{:?}{last}", ending.passes);
        }
        if bar.end != BarEnd::Plain {
            let _ = write!(text, " {:?}", bar.end);
        }
        if let Some(tempo) = bar.tempo {
            let _ = write!(text, " {}={}", tempo.value.duration(), tempo.per_minute);
        }
        if !bar.words.is_empty() {
            let _ = write!(text, " “{}”", bar.words);
        }
        if let Some(count) = bar.long_rest {
            let _ = write!(text, " rest of {count}");
        }
        if !bar.rehearsal.is_empty() {
            let _ = write!(text, " [{}]", bar.rehearsal);
        }
        if let Some(landmark) = bar.landmark {
            let _ = write!(text, " {landmark:?}>");
        }
        if let Some(exit) = bar.exit {
            let _ = write!(text, " <{exit}");
        }
        if let Some(jump) = bar.jump {
            let _ = write!(text, " <{jump}");
        }
        text.push('\n');
        for (number, part) in score.parts().iter().enumerate() {
            for voice in part.voices.iter().filter(|voice| !voice.bars[index].is_empty()) {
                let _ = write!(text, "  {}.{}", number + 1, voice.number.0);
                for event in &voice.bars[index] {
                    let _ = write!(text, "  {}", self::event(score, event));
                }
                text.push('\n');
            }
        }
    }
    for (index, (part, pins)) in score.parts().iter().zip(&piece.pins).enumerate() {
        let _ = writeln!(text, "part {} “{}” {:?}", index + 1, part.name, part.clef);
        for mark in &part.dynamics {
            let _ = writeln!(text, "  {} {}", place(score, mark.at), mark.dynamic);
        }
        for hairpin in &part.hairpins {
            let (from, until) = (place(score, hairpin.from), place(score, hairpin.until));
            let _ = writeln!(text, "  {from} to {until} {:?}", hairpin.kind);
        }
        for voice in part.ossia.iter().flat_map(|ossia| &ossia.parts()[0].voices) {
            for (bar, events) in voice.bars.iter().enumerate().filter(|(_, e)| !e.is_empty()) {
                let number = score.bars()[bar].number;
                let _ = write!(text, "  bar {number} ossia {}", voice.number.0);
                for event in events {
                    let ossia = part.ossia.as_ref().expect("an ossia");
                    let _ = write!(text, "  {}", self::event(ossia, event));
                }
                text.push('\n');
            }
        }
        for cue in &part.cues {
            let number = score.bar(cue.bar).number;
            let _ = write!(text, "  bar {number} cue “{}”", cue.name);
            for event in &cue.music.parts()[0].voices[0].bars[0] {
                let _ = write!(text, "  {}", self::event(&cue.music, event));
            }
            text.push('\n');
        }
        for bar in &part.bar_repeats {
            let again = score.plays_again(PartIndex(index as u16), *bar);
            let _ = writeln!(text, "  bar {} again: {again}", score.bar(*bar).number);
        }
        for words in &part.words {
            let at = place(score, words.at);
            let until = words.until.map(|until| format!(" to {}", place(score, until)));
            let until = until.unwrap_or_default();
            let _ = writeln!(text, "  {at}{until} “{}” {:?}", words.text, words.side);
        }
        self::pins(text, score, PartIndex(index as u16), pins);
    }
    let jumps = score.bars().iter().any(|bar| bar.jump.is_some());
    if let (true, Ok(played)) = (jumps, play_order(score)) {
        let bars = played.iter().map(|played| score.bar(played.bar).number.to_string());
        let _ = writeln!(text, "played {}", bars.collect::<Vec<_>>().join(" "));
    }
    for finding in &piece.findings {
        let _ = writeln!(text, "! {finding}");
    }
}

/// A moment as its bar and the time since the bar began; the end of the piece is
/// in the last bar.
fn place(score: &Score, at: Moment) -> String {
    let bar = score.bar(score.bar_at(at).expect("a bar"));
    format!("bar {} +{}", bar.number, at - bar.start)
}

/// An event: pitches, length, written value if it is another.
fn event(score: &Score, event: &Event) -> String {
    let mut text = String::new();
    for grace in &event.graces {
        let slash = if grace.slashed { "/" } else { "" };
        let _ = write!(text, "{{{slash}{}}}", grace.pitch);
    }
    let notes: Vec<&Note> = event.notes().iter().map(|id| score.note(*id)).collect();
    match notes.as_slice() {
        [] if event.content == (apoyando_music::Content::Rest { hidden: true }) => {
            text.push_str("(r)");
        }
        [] => text.push('r'),
        notes => {
            let pitches: Vec<String> = notes
                .iter()
                .map(|note| {
                    let id = note.source_id.as_ref().map(|id| format!("#{id}"));
                    let tie = if note.tied_to.is_some() { "~" } else { "" };
                    format!("{}{}{tie}", note.pitch, id.unwrap_or_default())
                })
                .collect();
            text.push_str(&pitches.join("+"));
        }
    }
    let _ = write!(text, ":{}", event.duration);
    if event.value.dots > 0 {
        text.push_str(&".".repeat(usize::from(event.value.dots)));
    }
    if let Some(tuplet) = event.tuplet {
        let (first, last) =
            (if tuplet.first { "<" } else { "" }, if tuplet.last { ">" } else { "" });
        let _ = write!(text, "{first}{}:{}{last}", tuplet.actual, tuplet.normal);
    }
    for lyric in &event.lyrics {
        let _ = match &lyric.sung {
            Sung::Syllable { text: letters, goes_on } => {
                let hyphen = if *goes_on { "-" } else { "" };
                write!(text, " {}“{letters}{hyphen}”", lyric.verse.0)
            }
            Sung::Held => write!(text, " {}_", lyric.verse.0),
        };
    }
    for mark in &event.marks {
        text.push_str(match mark {
            EventMark::SlurStart { technical: false } => "(",
            EventMark::SlurStart { technical: true } => "(t",
            EventMark::SlurEnd => ")",
            EventMark::Fermata => " fermata",
            EventMark::Staccato => " staccato",
            EventMark::Tenuto => " tenuto",
            EventMark::Accent => " accent",
            EventMark::Arpeggio(None) => " arpeggio",
            EventMark::Arpeggio(Some(Sweep::ToTreble)) => " arpeggio-to-treble",
            EventMark::Arpeggio(Some(Sweep::ToBass)) => " arpeggio-to-bass",
            EventMark::Strum(Sweep::ToTreble) => " strum-to-treble",
            EventMark::Strum(Sweep::ToBass) => " strum-to-bass",
            EventMark::Together => " together",
            EventMark::Breath => " breath",
            EventMark::Caesura => " caesura",
            EventMark::WavyLine => " wavy",
            EventMark::LetRing => " let-ring",
            EventMark::GlideStart => " glide",
            EventMark::GlideEnd => " glided",
            EventMark::NaturalHarmonic => " natural-harmonic",
            EventMark::ArtificialHarmonic => " artificial-harmonic",
            EventMark::Trill => " trill",
            EventMark::Mordent => " mordent",
            EventMark::InvertedMordent => " inverted-mordent",
            EventMark::Turn => " turn",
            EventMark::InvertedTurn => " inverted-turn",
        });
    }
    text
}

fn pins(text: &mut String, score: &Score, part: PartIndex, pins: &Pins) {
    use apoyando_fingering::{LeftFinger, RightFinger};
    use apoyando_fretboard::{Fret, StringNumber};
    let tones = score.tones(part);
    for pin in &pins.0 {
        let Scope::Tone(id) = pin.scope else { continue };
        let said = match pin.rule {
            PinRule::Strings(set) => (1..=10)
                .filter_map(StringNumber::new)
                .filter(|string| set.contains(*string))
                .map(|string| string.to_string())
                .collect::<String>(),
            PinRule::Frets(set) => (0..=24)
                .map(Fret)
                .filter(|fret| set.contains(*fret))
                .map(|fret| format!("fret {fret}"))
                .collect(),
            PinRule::LeftFingers(set) => [None]
                .into_iter()
                .chain(LeftFinger::ALL.map(Some))
                .filter(|finger| set.contains(*finger))
                .map(|finger| format!("left {}", finger.map_or(0, LeftFinger::digit)))
                .collect(),
            PinRule::SecondFingers(set) => LeftFinger::ALL
                .into_iter()
                .filter(|finger| set.contains(Some(*finger)))
                .map(|finger| format!("second {finger}"))
                .collect(),
            PinRule::RightFingers(set) => RightFinger::ALL
                .into_iter()
                .filter(|finger| set.contains(*finger))
                .map(|finger| format!("right {finger}"))
                .collect(),
            other => format!("{other:?}"),
        };
        let tone = tones.get(id);
        let number = score.bar(score.note(tone.head()).bar).number;
        let _ = writeln!(text, "  pin bar {number} {}: {said}", tone.pitch);
    }
}

//! What is written is read back as the same score.

use apoyando_formats::{musicxml, read};
use apoyando_music::rhythm::MetreSign;
use apoyando_music::{
    BarEnd, BarIndex, Base, Clef, Content, Draft, DraftBar, DraftCue, DraftEvent, DraftNote,
    DraftPart, Duration, Dynamic, DynamicMark, ELISION, Ending, EventMark, Exit, Expression, Grace,
    Hairpin, HairpinKind, Heading, Jump, JumpTo, KeySignature, Landmark, Lyric, Metre, Moment,
    NoteValue, Pitch, Score, StaffSide, Step, Sung, Sweep, Tempo, Tuplet, Until, Verse,
};
use proptest::prelude::*;

/// Everything of a score but where it comes from: origins and the order of
/// the marks of an event, which no file keeps.
fn content(score: &Score) -> String {
    use std::fmt::Write;
    let mut text = format!("{:?}\n{:?}\n", score.heading(), score.bars());
    for part in score.parts() {
        let _ = writeln!(text, "{:?} {:?}", part.name, part.clef);
        let _ = writeln!(text, "{:?} {:?}", part.dynamics, part.hairpins);
        let _ = writeln!(text, "{:?} {:?}", part.words, part.bar_repeats);
        if let Some(ossia) = &part.ossia {
            let _ = writeln!(text, "ossia {}", content(ossia));
        }
        for cue in &part.cues {
            let _ = writeln!(text, "{:?} {:?} {}", cue.bar, cue.name, content(&cue.music));
        }
        for voice in &part.voices {
            for (bar, events) in voice.bars.iter().enumerate() {
                for event in events {
                    let mut marks: Vec<String> =
                        event.marks.iter().map(|mark| format!("{mark:?}")).collect();
                    marks.sort();
                    let notes: Vec<String> = event
                        .notes()
                        .iter()
                        .map(|id| {
                            let note = score.note(*id);
                            let tied = note.tied_to.map(|to| score.note(to).onset);
                            format!("{} {tied:?} {:?}", note.pitch, note.source_id)
                        })
                        .collect();
                    let hidden = matches!(event.content, Content::Rest { hidden: true });
                    let _ = writeln!(
                        text,
                        "{:?} {bar} {:?} {} {:?} {:?} {:?} {:?} {notes:?} {hidden} {marks:?}",
                        voice.number,
                        event.onset,
                        event.duration,
                        event.value,
                        event.tuplet,
                        event.graces,
                        event.lyrics,
                    );
                }
            }
        }
    }
    text
}

/// One thing to fill a bar with.
#[derive(Clone, Debug)]
enum Piece {
    Single(NoteValue),
    Tuplet(u8, u8, Vec<NoteValue>),
}

impl Piece {
    fn events(&self) -> Vec<(NoteValue, Option<Tuplet>)> {
        match self {
            Self::Single(value) => vec![(*value, None)],
            Self::Tuplet(actual, normal, values) => values
                .iter()
                .enumerate()
                .map(|(index, value)| {
                    let (first, last) = (index == 0, index + 1 == values.len());
                    (*value, Some(Tuplet { actual: *actual, normal: *normal, first, last }))
                })
                .collect(),
        }
    }

    fn length(&self) -> apoyando_music::Duration {
        let one = |(value, tuplet): (NoteValue, Option<Tuplet>)| {
            let written = value.duration();
            tuplet.map_or(written, |tuplet| written.scaled(tuplet.ratio()))
        };
        self.events().into_iter().map(one).sum()
    }
}

fn piece() -> impl Strategy<Value = Piece> {
    let single = (0usize..6, 0u8..=2).prop_map(|(base, dots)| {
        let base =
            [Base::Half, Base::Quarter, Base::Quarter, Base::Eighth, Base::Eighth, Base::N16][base];
        Piece::Single(NoteValue { base, dots })
    });
    let plain = NoteValue::plain;
    let tuplet = prop_oneof![
        Just(Piece::Tuplet(3, 2, vec![plain(Base::Eighth); 3])),
        Just(Piece::Tuplet(3, 2, vec![plain(Base::Quarter), plain(Base::Eighth)])),
        Just(Piece::Tuplet(5, 4, vec![plain(Base::N16); 5])),
        Just(Piece::Tuplet(7, 4, vec![plain(Base::N16); 7])),
        Just(Piece::Tuplet(2, 3, vec![plain(Base::Eighth); 2])),
    ];
    prop_oneof![3 => single, 1 => tuplet]
}

fn pitch() -> impl Strategy<Value = Pitch> {
    (0usize..7, -2i32..=2, 2i8..=5)
        .prop_map(|(step, alter, octave)| Pitch::of(Step::ALL[step], alter, octave))
}

/// What an event gets: pitches, whether it is tied on, a mark, grace notes.
type Filling = (Vec<Pitch>, bool, u8, Vec<(Pitch, bool)>);

fn filling() -> impl Strategy<Value = Filling> {
    let graces = prop_oneof![
        3 => Just(Vec::new()),
        1 => proptest::collection::vec((pitch(), any::<bool>()), 1..=3),
    ];
    (proptest::collection::vec(pitch(), 0..=4), any::<bool>(), any::<u8>(), graces)
}

fn voice(bars: usize) -> impl Strategy<Value = Vec<(Vec<Piece>, Vec<Filling>, u8)>> {
    let bar = (
        proptest::collection::vec(piece(), 0..8),
        proptest::collection::vec(filling(), 64),
        any::<u8>(),
    );
    proptest::collection::vec(bar, bars)
}

/// Fills a bar: the pieces that fit, then rests to its end.
fn fill(
    pieces: &[Piece],
    fillings: &[Filling],
    length: apoyando_music::Duration,
) -> Vec<DraftEvent> {
    let mut left = length;
    let mut values = Vec::new();
    for piece in pieces {
        if piece.length() <= left {
            left = left - piece.length();
            values.extend(piece.events());
        }
    }
    for base in [Base::Half, Base::Quarter, Base::Eighth, Base::N16, Base::N32, Base::N64] {
        while base.duration() <= left {
            values.push((NoteValue::plain(base), None));
            left = left - base.duration();
        }
    }
    assert!(left.is_zero(), "bars are whole sixty-fourths");
    let mut events: Vec<DraftEvent> = Vec::new();
    for ((value, tuplet), filling) in values.into_iter().zip(fillings.iter().cycle()) {
        let (pitches, tied, mark, graces) = filling;
        let mut pitches = pitches.clone();
        pitches.sort();
        pitches.dedup();
        let mut event = DraftEvent::notes(value, &pitches);
        event.tuplet = tuplet;
        event.hidden = pitches.is_empty() && mark.is_multiple_of(2);
        if !pitches.is_empty() {
            event.marks = match mark % 24 {
                0 => vec![EventMark::Staccato, EventMark::Accent],
                1 => vec![EventMark::Fermata],
                2 => vec![EventMark::Arpeggio(None)],
                3 => vec![EventMark::Trill],
                4 => vec![EventMark::Mordent, EventMark::Fermata],
                5 => vec![EventMark::InvertedMordent, EventMark::Accent],
                6 => vec![EventMark::Turn],
                7 => vec![EventMark::InvertedTurn],
                8 => vec![EventMark::NaturalHarmonic],
                9 => vec![EventMark::ArtificialHarmonic, EventMark::Arpeggio(None)],
                10 => vec![EventMark::Tenuto, EventMark::Staccato],
                11 => vec![EventMark::LetRing],
                12 => vec![EventMark::LetRing, EventMark::Tenuto, EventMark::Arpeggio(None)],
                13 => vec![EventMark::Arpeggio(Some(Sweep::ALL[usize::from(mark / 16 % 2)]))],
                14 => vec![EventMark::Strum(Sweep::ALL[usize::from(mark / 16 % 2)])],
                15 => vec![EventMark::Together, EventMark::Fermata],
                16 => vec![EventMark::Trill, EventMark::WavyLine],
                17 => vec![EventMark::Breath],
                18 => vec![EventMark::Caesura, EventMark::Accent],
                19..=21 => vec![EventMark::WavyLine],
                _ => Vec::new(),
            };
            event.lyrics = lyrics(*mark, pitches.len());
            event.graces = graces
                .iter()
                .map(|(pitch, slashed)| Grace { pitch: *pitch, slashed: *slashed })
                .collect();
        }
        // A tie binds the lowest note to the same note of the next event.
        if let Some(previous) = events.last_mut()
            && *tied
            && !event.notes.is_empty()
            && let Some(from) = previous.notes.first_mut()
        {
            from.tied = true;
            if event.notes.iter().all(|note| note.pitch != from.pitch) {
                event.notes.push(DraftNote::new(from.pitch));
            }
        }
        events.push(event);
    }
    // What is held over a note is held over all before it.
    for index in 0..events.len() {
        let before: Vec<Verse> = match index.checked_sub(1) {
            Some(before) => events[before].lyrics.iter().map(|lyric| lyric.verse).collect(),
            None => Vec::new(),
        };
        let follows = |lyric: &Lyric| lyric.sung != Sung::Held || before.contains(&lyric.verse);
        events[index].lyrics.retain(follows);
    }
    // A slur over the bar, as a left-hand slur where the mark says so.
    if events.len() > 1 && fillings[0].2 > 128 {
        let technical = fillings[1].2 > 128;
        let (first, last) = (0, events.len() - 1);
        events[first].marks.push(EventMark::SlurStart { technical });
        events[last].marks.push(EventMark::SlurEnd);
    }
    // A chain of glissandi, now and then inside that slur.
    if fillings[2].2 > 160 {
        for index in 1..events.len() {
            if fillings[index % fillings.len()].2.is_multiple_of(3) {
                events[index - 1].marks.push(EventMark::GlideStart);
                events[index].marks.push(EventMark::GlideEnd);
            }
        }
    }
    events
}

/// Verses of syllables, some held, by two numbers.
fn lyrics(mark: u8, other: usize) -> Vec<Lyric> {
    let sung = |choice: u8| match choice % 6 {
        0 => Some(Sung::Held),
        1 => Some(Sung::Syllable { text: "glo".to_owned(), goes_on: true }),
        2 => Some(Sung::Syllable { text: "ri a".to_owned(), goes_on: false }),
        3 => Some(Sung::Syllable { text: format!("a{ELISION}“e”"), goes_on: true }),
        _ => None,
    };
    let verses = [(Verse(1), mark / 16), (Verse(2), mark / 3 + other as u8)];
    let lyrics = verses.into_iter().filter(|_| mark.is_multiple_of(2));
    lyrics.filter_map(|(verse, choice)| Some(Lyric { verse, sung: sung(choice)? })).collect()
}

fn grid(bars: &[(u8, u8, u8, u8)]) -> Vec<DraftBar> {
    let mut grid: Vec<DraftBar> = Vec::new();
    let mut in_ending = false;
    for (index, (metre, key, extra, sign)) in bars.iter().enumerate() {
        let metres = [
            Metre::new(3, 4),
            Metre::new(6, 8),
            Metre { sign: MetreSign::Common, ..Metre::COMMON },
            Metre { sign: MetreSign::Cut, ..Metre::new(2, 2) },
        ];
        let signature = KeySignature::new(i32::from(key % 15) - 7).unwrap();
        let mut bar = DraftBar::new(index as u32 + 1, metres[usize::from(metre % 4)], signature);
        match extra % 16 {
            0 => bar.repeat_start = true,
            1 => bar.repeat_end = Some(2),
            2 => bar.repeat_end = Some(3),
            3 => bar.end = BarEnd::Double,
            4 => {
                bar.tempo = Some(Tempo { value: NoteValue::dotted(Base::Quarter), per_minute: 63 })
            }
            5 => bar.words = "Andante & <più>".to_owned(),
            8 => bar.words = "dolce".to_owned(),
            6 => bar.length = Some(apoyando_music::Duration::new(5, 8)),
            _ => {}
        }
        bar.rehearsal = ["", "", "A", "12 & B"][usize::from(sign / 3 % 4)].to_owned();
        bar.long_rest = sign.is_multiple_of(7).then_some(2 + u16::from(*sign));
        bar.landmark = [None, Some(Landmark::Segno), Some(Landmark::Coda)][usize::from(sign % 3)];
        bar.exit = [None, Some(Exit::Fine), Some(Exit::ToCoda)][usize::from(sign / 3 % 3)];
        let until = [Until::End, Until::Fine, Until::Coda][usize::from(sign / 9 % 3)];
        bar.jump = match sign / 27 % 4 {
            0 => Some(Jump { to: JumpTo::Capo, until }),
            1 => Some(Jump { to: JumpTo::Segno, until }),
            _ => None,
        };
        if in_ending || extra % 16 == 7 {
            let passes = vec![1, 3];
            let first = !in_ending;
            let last = in_ending || extra % 32 == 7;
            bar.ending = Some(Ending { passes, first, last });
            in_ending = !last;
        }
        grid.push(bar);
    }
    if in_ending && let Some(ending) = grid.last_mut().and_then(|bar| bar.ending.as_mut()) {
        ending.last = true;
    }
    if let Some(first) = grid.first_mut()
        && bars[0].2.is_multiple_of(3)
    {
        first.number = 0;
        first.length = Some(apoyando_music::Duration::QUARTER);
    }
    grid
}

/// For every sixteenth of a piece: a dynamic, words, the end of a hairpin, or nothing.
type Loudness = Vec<(u8, u8)>;

/// Dynamics, words and hairpins of a part; hairpins may follow one another at once.
fn put_loudness(part: &mut DraftPart, seed: &Loudness, length: Duration) {
    let mut open: Option<(Moment, HairpinKind)> = None;
    for (number, (dynamic, hairpin)) in seed.iter().enumerate() {
        let at = Moment::after_start(Duration::new(number as i64, 16));
        if at.since_start() > length {
            break;
        }
        if *hairpin < 60 {
            if let Some((from, kind)) = open.take() {
                part.hairpins.push(Hairpin { from, until: at, kind });
            }
            let kind = if *hairpin < 20 { HairpinKind::Grows } else { HairpinKind::Fades };
            open = (*hairpin < 40 && at.since_start() < length).then_some((at, kind));
        }
        if *dynamic < 60 && at.since_start() < length {
            let dynamic = Dynamic::ALL[usize::from(*dynamic) % Dynamic::ALL.len()];
            part.dynamics.push(DynamicMark { at, dynamic });
        }
        if *dynamic > 200 && at.since_start() < length {
            const WORDS: [&str; 4] = ["dolce", "poco cresc.", "Andante", "<1> & “2”"];
            let text = WORDS[usize::from(*hairpin) % WORDS.len()].to_owned();
            let side = if *hairpin > 100 { StaffSide::Above } else { StaffSide::Below };
            let later = Moment::after_start(Duration::new(
                (number + 1) as i64 + i64::from(*hairpin % 9),
                16,
            ));
            let until = (hairpin % 3 == 0 && later.since_start() <= length).then_some(later);
            part.words.push(Expression { at, side, text, until });
        }
    }
}

/// Gives the last part what the first plays, in bars of its first voice, to play instead.
fn put_ossias(parts: &mut [DraftPart], seed: &[(u8, u8, u8, u8)]) {
    if !seed[0].3.is_multiple_of(3) {
        return;
    }
    let mut voice = parts[0].voices[0].clone();
    for (bar, events) in voice.iter_mut().enumerate() {
        let silent = events.iter().all(|event| event.notes.is_empty());
        if silent || !(seed[bar].0 / 4).is_multiple_of(2) {
            events.clear();
        }
        for event in events {
            event.lyrics.clear();
            event.notes.iter_mut().for_each(|note| note.source_id = None);
        }
    }
    // What is tied into a bar without an ossia ends with its bar.
    for bar in 0..voice.len() {
        let goes_on = voice.get(bar + 1).is_some_and(|next| !next.is_empty());
        if !goes_on && let Some(last) = voice[bar].last_mut() {
            last.notes.iter_mut().for_each(|note| note.tied = false);
        }
    }
    if let Some(part) = parts.last_mut() {
        part.ossia = vec![voice];
    }
}

/// Puts the first voice of another bar like it into bars in which the first part rests.
fn put_cues(parts: &mut [DraftPart], seed: &[(u8, u8, u8, u8)]) {
    for (index, seed) in seed.iter().enumerate() {
        let plays = |part: &DraftPart, bar: usize| {
            let bars = part.voices.iter().filter_map(|voice| voice.get(bar)).flatten();
            bars.into_iter().any(|event| !event.notes.is_empty())
        };
        if plays(&parts[0], index) {
            continue;
        }
        let Some(other) = parts.iter().find(|part| plays(part, index)) else { continue };
        let voices = other.voices.iter().filter_map(|voice| voice.get(index));
        let voice = voices.into_iter().find(|bar| bar.iter().any(|e| !e.notes.is_empty()));
        let Some(mut events) = voice.cloned() else { continue };
        // What is tied to the next bar, or from the one before, stands alone.
        if let Some(last) = events.last_mut() {
            last.notes.iter_mut().for_each(|note| note.tied = false);
        }
        for note in events.iter_mut().flat_map(|event| &mut event.notes) {
            note.source_id = None;
        }
        let name = ["", "Guitar 1", "Flute & “co.”"][usize::from(seed.3) % 3].to_owned();
        parts[0].cues.push(DraftCue { bar: BarIndex(index as u32), name, events });
    }
}

fn draft() -> impl Strategy<Value = Draft> {
    (1usize..=4, 1usize..=2, 1usize..=4).prop_flat_map(|(bars, parts, voices)| {
        let grid_seed = proptest::collection::vec(any::<(u8, u8, u8, u8)>(), bars);
        let loudness = proptest::collection::vec(any::<(u8, u8)>(), 16 * bars + 1);
        let part = (proptest::collection::vec(voice(bars), voices), loudness);
        (grid_seed, proptest::collection::vec(part, parts)).prop_map(|(seed, parts)| {
            let bars = grid(&seed);
            let length = |bar: &DraftBar| bar.length.unwrap_or_else(|| bar.metre.bar());
            let total = bars.iter().map(length).sum();
            let (parts, loudness): (Vec<_>, Vec<Loudness>) = parts.into_iter().unzip();
            let mut parts: Vec<DraftPart> = parts
                .into_iter()
                .enumerate()
                .map(|(number, voices)| DraftPart {
                    dynamics: Vec::new(),
                    hairpins: Vec::new(),
                    words: Vec::new(),
                    cues: Vec::new(),
                    ossia: Vec::new(),
                    bar_repeats: (1..bars.len() as u32)
                        .filter(|bar| seed[*bar as usize].3 % 5 < 2)
                        .map(BarIndex)
                        .collect(),
                    name: format!("Guitar {number}"),
                    clef: [Clef::Guitar, Clef::Bass, Clef::Treble][number % 3],
                    voices: voices
                        .into_iter()
                        .map(|voice| {
                            voice
                                .into_iter()
                                .zip(&bars)
                                .enumerate()
                                .map(|(index, ((pieces, fillings, kind), bar))| match kind % 8 {
                                    0 if index > 0 => Vec::new(),
                                    1 => vec![DraftEvent::bar_rest()],
                                    _ => fill(&pieces, &fillings, length(bar)),
                                })
                                .collect()
                        })
                        .collect(),
                })
                .collect();
            for (part, seed) in parts.iter_mut().zip(&loudness) {
                put_loudness(part, seed, total);
            }
            put_cues(&mut parts, &seed);
            put_ossias(&mut parts, &seed);
            let heading = Heading {
                title: "Étude “1” & 2".to_owned(),
                composer: "Own".to_owned(),
                source: "Test".to_owned(),
                ..Heading::default()
            };
            Draft { heading, bars, parts }
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_score_survives_writing_and_reading(draft in draft()) {
        let score = Score::assemble(draft).unwrap();
        let text = musicxml::write(&score, &[]);
        prop_assert_eq!(&text, &musicxml::write(&score, &[]));
        let reading = read("again.musicxml", text.as_bytes()).unwrap();
        let again = &reading.pieces[0];
        let faults: Vec<String> = again
            .findings
            .iter()
            .filter(|finding| !["irregular-bar", "no-notes", "play-order", "bar-not-repeated"].contains(&finding.rule))
            .map(ToString::to_string)
            .collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
        prop_assert_eq!(content(&score), content(&again.score));
    }
}

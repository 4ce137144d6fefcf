//! Small scores written as text.

use apoyando_music::{
    BarEnd, Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, Ending, EventMark, Grace,
    Heading, KeySignature, Metre, NoteValue, Score, Tempo,
};

/// A score in 4/4 from voices of bars: `C4+E4/4 r/2`.
///
/// Signs of events: `(` and `)` around them are a technical slur, `<` and `>` a
/// glissando; behind the value `o` is a natural harmonic, `a` an artificial
/// one, `t` a trill, `m` a mordent, `!` a fermata, `~` a tie; `{D4}` before the
/// pitch is a grace note. Signs of bars: `|:`, `:|`, `||` and `|1`, `|2` for
/// endings, `[1]` and `[2]` for a bar of so many quarters.
pub fn score(voices: &[&[&str]]) -> Score {
    score_at(voices, None)
}

/// The same with so many quarters a minute.
pub fn score_at(voices: &[&[&str]], tempo: Option<u16>) -> Score {
    score_in(voices, tempo, 0)
}

/// The same with so many sharps, or flats if negative.
pub fn score_in(voices: &[&[&str]], tempo: Option<u16>, sharps: i32) -> Score {
    let signature = KeySignature::new(sharps).unwrap();
    let count = voices.iter().map(|bars| bars.len()).max().unwrap_or(0);
    let mut bars: Vec<DraftBar> =
        (1..=count as u32).map(|number| DraftBar::new(number, Metre::COMMON, signature)).collect();
    bars[0].tempo =
        tempo.map(|per_minute| Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
    let mut part = DraftPart::guitar(String::new());
    for voice in voices {
        let mut events = Vec::new();
        for (bar, text) in bars.iter_mut().zip(voice.iter()) {
            let notes = text.split_whitespace().filter(|word| !sign(bar, word));
            events.push(notes.map(event).collect());
        }
        part.voices.push(events);
    }
    Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] }).unwrap()
}

/// Whether a word is a sign of its bar.
fn sign(bar: &mut DraftBar, word: &str) -> bool {
    match word {
        "|:" => bar.repeat_start = true,
        ":|" => bar.repeat_end = Some(2),
        "||" => bar.end = BarEnd::Double,
        "[1]" => bar.length = Some(Duration::new(1, 4)),
        "[2]" => bar.length = Some(Duration::new(2, 4)),
        "|1" | "|2" => {
            let passes = vec![word.as_bytes()[1] - b'0'];
            bar.ending = Some(Ending { passes, first: true, last: true });
        }
        _ => return false,
    }
    true
}

fn event(text: &str) -> DraftEvent {
    let mut marks = Vec::new();
    let mut graces = Vec::new();
    let mut text = text;
    while let Some(rest) = text.strip_prefix(['(', '<']) {
        marks.push(match &text[..1] {
            "(" => EventMark::SlurStart { technical: true },
            _ => EventMark::GlideStart,
        });
        text = rest;
    }
    if let Some((grace, rest)) = text.strip_prefix('{').and_then(|rest| rest.split_once('}')) {
        graces.push(Grace { pitch: grace.parse().unwrap(), slashed: true });
        text = rest;
    }
    let (pitches, value) = text.split_once('/').unwrap();
    let digits = value.trim_end_matches(|c: char| !c.is_ascii_digit());
    let signs = &value[digits.len()..];
    for sign in signs.chars() {
        marks.extend(match sign {
            ')' => Some(EventMark::SlurEnd),
            '>' => Some(EventMark::GlideEnd),
            'o' => Some(EventMark::NaturalHarmonic),
            'a' => Some(EventMark::ArtificialHarmonic),
            't' => Some(EventMark::Trill),
            'm' => Some(EventMark::Mordent),
            '!' => Some(EventMark::Fermata),
            _ => None,
        });
    }
    let dots = signs.matches('.').count() as u8;
    let denominator: i64 = digits.parse().unwrap();
    let base = Base::ALL
        .into_iter()
        .find(|base| base.duration() == Duration::new(1, denominator))
        .unwrap();
    let value = NoteValue { base, dots };
    if pitches == "r" {
        return DraftEvent { marks, ..DraftEvent::gap(value) };
    }
    let pitches: Vec<_> = pitches.split('+').map(|pitch| pitch.parse().unwrap()).collect();
    let mut event = DraftEvent { marks, graces, ..DraftEvent::notes(value, &pitches) };
    for note in &mut event.notes {
        note.tied = signs.contains('~');
    }
    event
}

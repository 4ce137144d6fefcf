//! Small scores for tests, benchmarks and the gallery, written in a few
//! letters.
//!
//! A bar is a list of events: `C4:q` a quarter, `C4+E4:h.` a dotted half
//! chord, `r:8` a rest, `x:8` a gap, `R` a rest that fills the bar. `{C4,D4}`
//! before an event are grace notes, `{/C4}` a slashed one; `3[` before and `]`
//! after events is a triplet. Values are b w h q 8 16 32 64 128. Bars are parted
//! by `|`. Pitches are sounding ones.
//!
//! After the value: `~` a tie, `;` a note that rings on, `!` a fermata, `(` and `)`
//! a slur, `<` one that the left hand plays, `'` staccato, `-` tenuto, `>` an accent,
//! `?` a spread chord, `⇑` and `⇓` one spread up and down the page, `↑` and `↓` a strum,
//! `=` a chord struck together, `,` a breath and `‖` a caesura after the note, `≈` a wavy
//! line, `/` a glissando that begins and `\` one
//! that ends, `%` a trill, `_` a mordent, `^` an inverted one, `&` a turn, `$` an
//! inverted one, `*` a natural harmonic, `@` an artificial one.
#![allow(dead_code)]

use apoyando_music::{
    BarIndex, Base, Clef, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Duration, Dynamic,
    DynamicMark, EventMark, Expression, Grace, Hairpin, HairpinKind, Heading, KeySignature, Lyric,
    Metre, Moment, NoteValue, Score, StaffSide, Sung, Sweep, Tuplet, Verse,
};

/// Parts of voices of bars.
pub struct Sketch {
    draft: Draft,
}

fn base(text: &str) -> Base {
    match text {
        "b" => Base::Breve,
        "w" => Base::Whole,
        "h" => Base::Half,
        "q" => Base::Quarter,
        "8" => Base::Eighth,
        "16" => Base::N16,
        "32" => Base::N32,
        "64" => Base::N64,
        _ => Base::N128,
    }
}

fn event(text: &str) -> DraftEvent {
    if text == "R" {
        return DraftEvent::bar_rest();
    }
    let (graces, text) = match text.strip_prefix('{') {
        Some(braced) => braced.split_once('}').unwrap(),
        None => ("", text),
    };
    let (pitches, rest) = text.split_once(':').unwrap();
    let end = rest.find(|c: char| !c.is_ascii_alphanumeric()).unwrap_or(rest.len());
    let (value, signs) = rest.split_at(end);
    let dots = signs.matches('.').count() as u8;
    let mut event = DraftEvent::rest(NoteValue { base: base(value), dots });
    event.hidden = pitches == "x";
    if !matches!(pitches, "r" | "x") {
        let tied = signs.contains('~');
        event.notes = pitches
            .split('+')
            .map(|p| DraftNote { tied, ..DraftNote::new(p.parse().unwrap()) })
            .collect();
    }
    event.graces = graces
        .split(',')
        .filter(|name| !name.is_empty())
        .map(|name| Grace {
            pitch: name.trim_start_matches('/').parse().unwrap(),
            slashed: name.starts_with('/'),
        })
        .collect();
    for sign in signs.chars() {
        event.marks.extend(match sign {
            '!' => Some(EventMark::Fermata),
            '\'' => Some(EventMark::Staccato),
            '-' => Some(EventMark::Tenuto),
            ';' => Some(EventMark::LetRing),
            '>' => Some(EventMark::Accent),
            '(' => Some(EventMark::SlurStart { technical: false }),
            '<' => Some(EventMark::SlurStart { technical: true }),
            ')' => Some(EventMark::SlurEnd),
            '?' => Some(EventMark::Arpeggio(None)),
            '⇑' => Some(EventMark::Arpeggio(Some(Sweep::ToTreble))),
            '⇓' => Some(EventMark::Arpeggio(Some(Sweep::ToBass))),
            '↑' => Some(EventMark::Strum(Sweep::ToTreble)),
            '↓' => Some(EventMark::Strum(Sweep::ToBass)),
            '=' => Some(EventMark::Together),
            ',' => Some(EventMark::Breath),
            '‖' => Some(EventMark::Caesura),
            '≈' => Some(EventMark::WavyLine),
            '/' => Some(EventMark::GlideStart),
            '\\' => Some(EventMark::GlideEnd),
            '%' => Some(EventMark::Trill),
            '_' => Some(EventMark::Mordent),
            '^' => Some(EventMark::InvertedMordent),
            '&' => Some(EventMark::Turn),
            '$' => Some(EventMark::InvertedTurn),
            '*' => Some(EventMark::NaturalHarmonic),
            '@' => Some(EventMark::ArtificialHarmonic),
            _ => None,
        });
    }
    event
}

fn bar(text: &str) -> Vec<DraftEvent> {
    let mut events: Vec<DraftEvent> = Vec::new();
    let mut figure: Option<(u8, bool)> = None;
    for word in text.split_whitespace() {
        if let Some(number) = word.strip_suffix('[') {
            figure = Some((number.parse().unwrap(), true));
        } else if word == "]" {
            figure = None;
            if let Some(tuplet) = events.last_mut().and_then(|e| e.tuplet.as_mut()) {
                tuplet.last = true;
            }
        } else {
            let mut event = event(word);
            if let Some((actual, first)) = &mut figure {
                let normal = if *actual == 3 { 2 } else { 4 };
                event.tuplet = Some(Tuplet { actual: *actual, normal, first: *first, last: false });
                *first = false;
            }
            events.push(event);
        }
    }
    events
}

impl Sketch {
    /// A guitar piece: one text for each voice.
    pub fn new(fifths: i32, metre: Metre, voices: &[&str]) -> Self {
        let mut sketch =
            Self { draft: Draft { heading: Heading::default(), bars: Vec::new(), parts: vec![] } };
        sketch.part("", Clef::Guitar, voices);
        let count = sketch.draft.parts[0].voices.iter().map(Vec::len).max().unwrap_or(0);
        let signature = KeySignature::new(fifths).unwrap();
        sketch.draft.bars =
            (1..=count as u32).map(|number| DraftBar::new(number, metre, signature)).collect();
        sketch
    }

    /// One more part.
    pub fn part(&mut self, name: &str, clef: Clef, voices: &[&str]) -> &mut Self {
        let voices = voices.iter().map(|voice| voice.split('|').map(bar).collect()).collect();
        let part = DraftPart { clef, voices, ..DraftPart::guitar(name.to_owned()) };
        self.draft.parts.push(part);
        self
    }

    /// Changes the grid.
    pub fn bars(&mut self, change: impl FnOnce(&mut [DraftBar])) -> &mut Self {
        change(&mut self.draft.bars);
        self
    }

    /// Dynamics and hairpins of a part, at quarters from the beginning: `mf@2`,
    /// `<4-6`, `>13/2-8`.
    pub fn loud(&mut self, part: usize, text: &str) -> &mut Self {
        let at = |text: &str| {
            let (count, of) = text.split_once('/').unwrap_or((text, "1"));
            let length = Duration::new(count.parse().unwrap(), 4 * of.parse::<i64>().unwrap());
            Moment::after_start(length)
        };
        let part = &mut self.draft.parts[part];
        for word in text.split_whitespace() {
            if let Some((letters, moment)) = word.split_once('@') {
                let dynamic = Dynamic::from_letters(letters).unwrap();
                part.dynamics.push(DynamicMark { at: at(moment), dynamic });
            } else {
                let kind =
                    if word.starts_with('<') { HairpinKind::Grows } else { HairpinKind::Fades };
                let (from, until) = word[1..].split_once('-').unwrap();
                part.hairpins.push(Hairpin { from: at(from), until: at(until), kind });
            }
        }
        self
    }

    /// Words of expression of a part, at quarters from the beginning: `dolce@0`
    /// above the staff, `_cresc.@3/2` below it, `rit.@2-4` with dashes, separated by bars
    /// `|`.
    pub fn said(&mut self, part: usize, text: &str) -> &mut Self {
        for words in text.split('|').map(str::trim) {
            let (said, at) = words.rsplit_once('@').unwrap();
            let moment = |text: &str| {
                let (count, of) = text.split_once('/').unwrap_or((text, "1"));
                let length = Duration::new(count.parse().unwrap(), 4 * of.parse::<i64>().unwrap());
                Moment::after_start(length)
            };
            let (at, until) = match at.split_once('-') {
                Some((at, until)) => (moment(at), Some(moment(until))),
                None => (moment(at), None),
            };
            let (side, said) = match said.strip_prefix('_') {
                Some(said) => (StaffSide::Below, said),
                None => (StaffSide::Above, said),
            };
            let text = said.to_owned();
            self.draft.parts[part].words.push(Expression { at, side, text, until });
        }
        self
    }

    /// A verse of a voice of a part, a word to a note: `glo-` goes on, `_` holds the
    /// syllable before, `*` leaves the note out, `~` is a space.
    pub fn sung(&mut self, (part, voice): (usize, usize), verse: u8, text: &str) -> &mut Self {
        let events = self.draft.parts[part].voices[voice].iter_mut().flatten();
        let notes = events.filter(|event| !event.notes.is_empty());
        for (event, word) in notes.zip(text.split_whitespace()) {
            let sung = match word {
                "*" => continue,
                "_" => Sung::Held,
                word => Sung::Syllable {
                    text: word.trim_end_matches('-').replace('~', " "),
                    goes_on: word.ends_with('-'),
                },
            };
            event.lyrics.push(Lyric { verse: Verse(verse), sung });
        }
        self
    }

    /// What may be played instead of bars of a part: a text for each voice, empty bars where
    /// there is nothing.
    pub fn ossia(&mut self, part: usize, voices: &[&str]) -> &mut Self {
        let voices = voices.iter().map(|voice| voice.split('|').map(bar).collect()).collect();
        self.draft.parts[part].ossia = voices;
        self
    }

    /// Prints bars of a part as signs for the ones before, counted from 0.
    pub fn again(&mut self, part: usize, bars: &[u32]) -> &mut Self {
        let bars = bars.iter().map(|bar| BarIndex(*bar));
        self.draft.parts[part].bar_repeats.extend(bars);
        self
    }

    /// Names the first part.
    pub fn named(&mut self, name: &str) -> &mut Self {
        name.clone_into(&mut self.draft.parts[0].name);
        self
    }

    /// The score.
    pub fn score(&self) -> Score {
        Score::assemble(self.draft.clone()).unwrap()
    }
}

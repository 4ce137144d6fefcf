//! Scores and hands in a few signs.

use apoyando_fingering::{
    EffortTable, Hinge, HouseStyle, Level, Pin, PinAuthor, PinRule, Pins, Problem, Scope, Term,
};
use apoyando_fretboard::Instrument;
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, Ending, EventMark, Grace, KeySignature,
    Metre, NoteValue, PartIndex, Pitch, Score, Tempo, ToneId,
};

use crate::grip::{Posture, Spot, spot};
use crate::on_paper::on_paper;
use crate::question::Question;
use crate::strings::Barre;
use crate::whole::{items, own};

/// A question with all that it borrows.
pub struct Case {
    pub score: Score,
    pub instrument: Instrument,
    pub level: Level,
    pub pins: Pins,
    pub effort: EffortTable,
    pub house: HouseStyle,
}

impl Case {
    /// A guitar, an open level, and one voice to a line. Bars are parted by `|`,
    /// with `|:` and `:|` at repeats, `[1` and `[2` before an ending's bar and
    /// `||` after a bar with a double line. An event is a note, notes with `+`
    /// between them or `r`, with its length: `w h q e s`, perhaps dotted.
    ///
    /// Signs behind it: `(` `)` technical slur, `<` `>` glissando, `~` tied, `^`
    /// fermata, `o` natural and `a` artificial harmonic, `t` trill, `m` mordent,
    /// `u` turn; `,C4` a grace note.
    pub fn new(voices: &[&str]) -> Self {
        let mut grid: Vec<DraftBar> = Vec::new();
        let mut part = DraftPart::guitar(String::new());
        for (number, line) in voices.iter().enumerate() {
            let mut bars: Vec<Vec<DraftEvent>> = vec![Vec::new()];
            let mut signs: Vec<Vec<&str>> = vec![Vec::new()];
            for word in line.split_whitespace() {
                match word {
                    "|" => {
                        bars.push(Vec::new());
                        signs.push(Vec::new());
                    }
                    "|:" | ":|" | "||" => signs.last_mut().unwrap().push(word),
                    _ if word.starts_with('[') => signs.last_mut().unwrap().push(word),
                    _ => bars.last_mut().unwrap().push(event(word)),
                }
            }
            if number == 0 {
                grid = bars.iter().zip(&signs).map(|(bar, signs)| drafted(bar, signs)).collect();
            }
            part.voices.push(bars);
        }
        for (index, bar) in grid.iter_mut().enumerate() {
            bar.number = index as u32 + 1;
        }
        let score = Score::assemble(Draft { bars: grid, parts: vec![part], ..Draft::default() });
        Self {
            score: score.expect("a score"),
            instrument: Instrument::guitar(),
            level: Level::open(),
            pins: Pins::default(),
            effort: on_paper(),
            house: HouseStyle::NONE,
        }
    }

    /// With a metronome mark over a bar: quarters a minute.
    pub fn at(mut self, bar: usize, per_minute: u16) -> Self {
        self.redraft(|grid| {
            let value = NoteValue::plain(Base::Quarter);
            grid[bar].tempo = Some(Tempo { value, per_minute });
        });
        self
    }

    /// With a signature.
    pub fn sharps(mut self, fifths: i32) -> Self {
        self.redraft(|grid| {
            for bar in grid {
                bar.signature = KeySignature::new(fifths).unwrap();
            }
        });
        self
    }

    pub fn pinned(mut self, tone: u32, rule: PinRule) -> Self {
        let scope = Scope::Tone(ToneId(tone));
        self.pins.0.push(Pin { scope, rule, author: PinAuthor::Author });
        self
    }

    pub fn problem(&self) -> Problem<'_> {
        Problem {
            score: &self.score,
            part: PartIndex(0),
            instrument: &self.instrument,
            level: &self.level,
            pins: &self.pins,
            effort: &self.effort,
            house: &self.house,
        }
    }

    /// Writes the score anew with other bars.
    fn redraft(&mut self, change: impl Fn(&mut [DraftBar])) {
        let score = &self.score;
        let mut grid: Vec<DraftBar> = score
            .bars()
            .iter()
            .map(|bar| DraftBar {
                length: Some(bar.length),
                repeat_start: bar.repeat_start,
                repeat_end: bar.repeat_end,
                ending: bar.ending.clone(),
                landmark: bar.landmark,
                exit: bar.exit,
                jump: bar.jump,
                end: bar.end,
                tempo: bar.tempo,
                ..DraftBar::new(bar.number, bar.metre, bar.signature)
            })
            .collect();
        change(&mut grid);
        let mut part = DraftPart::guitar(String::new());
        for voice in &score.part(PartIndex(0)).voices {
            let again = |event: &apoyando_music::Event| {
                let notes: Vec<Pitch> =
                    event.notes().iter().map(|note| score.note(*note).pitch).collect();
                let mut draft = DraftEvent::notes(event.value, &notes);
                for (own, note) in draft.notes.iter_mut().zip(event.notes()) {
                    own.tied = score.note(*note).tied_to.is_some();
                }
                draft.marks.clone_from(&event.marks);
                draft.graces.clone_from(&event.graces);
                draft
            };
            part.voices
                .push(voice.bars.iter().map(|bar| bar.iter().map(again).collect()).collect());
        }
        let draft = Draft { bars: grid, parts: vec![part], ..Draft::default() };
        self.score = Score::assemble(draft).expect("a score");
    }
}

fn drafted(bar: &[DraftEvent], signs: &[&str]) -> DraftBar {
    let length: Duration = bar.iter().map(|event| event.value.duration()).sum();
    let mut draft = DraftBar::new(1, Metre::COMMON, KeySignature::NONE);
    draft.length = Some(length);
    for sign in signs {
        match *sign {
            "|:" => draft.repeat_start = true,
            ":|" => draft.repeat_end = Some(2),
            "||" => draft.end = apoyando_music::BarEnd::Double,
            ending => {
                let passes = vec![ending[1..].parse().unwrap()];
                draft.ending = Some(Ending { passes, first: true, last: true });
            }
        }
    }
    draft
}

fn event(word: &str) -> DraftEvent {
    let (word, graces) = match word.split_once(',') {
        Some((word, grace)) => (word, vec![grace]),
        None => (word, Vec::new()),
    };
    let (names, rest) = word.split_once('.').expect("a length");
    let pitches: Vec<Pitch> =
        names.split('+').filter(|name| *name != "r").map(|name| name.parse().unwrap()).collect();
    let base = match &rest[..1] {
        "w" => Base::Whole,
        "h" => Base::Half,
        "q" => Base::Quarter,
        "e" => Base::Eighth,
        _ => Base::N16,
    };
    let dots = rest.matches('.').count() as u8;
    let mut event = DraftEvent::notes(NoteValue { base, dots }, &pitches);
    let slurs = EventMark::SlurStart { technical: true };
    for sign in rest[1..].chars() {
        match sign {
            '~' => event.notes.iter_mut().for_each(|note| note.tied = true),
            '(' => event.marks.push(slurs),
            ')' => event.marks.push(EventMark::SlurEnd),
            '<' => event.marks.push(EventMark::GlideStart),
            '>' => event.marks.push(EventMark::GlideEnd),
            '^' => event.marks.push(EventMark::Fermata),
            'o' => event.marks.push(EventMark::NaturalHarmonic),
            'a' => event.marks.push(EventMark::ArtificialHarmonic),
            't' => event.marks.push(EventMark::Trill),
            'm' => event.marks.push(EventMark::Mordent),
            'u' => event.marks.push(EventMark::Turn),
            _ => assert_eq!(sign, '.'),
        }
    }
    let grace = |name: &str| Grace { pitch: name.parse().unwrap(), slashed: false };
    event.graces = graces.into_iter().map(grace).collect();
    event
}

/// A spot as string, fret and finger: `2-1-1`; `x` is left out.
fn read(word: &str) -> Option<Spot> {
    let numbers: Vec<u8> = word.split('-').filter_map(|n| n.parse().ok()).collect();
    let [string, fret, finger] = numbers[..] else { return None };
    Some(spot(string, fret, finger))
}

/// A posture: struck sounds in order, then behind a bar the kept ones with their
/// numbers (`2-1-1 | 0=5-3-3`), and the position.
pub fn hand(q: &Question<'_>, layer: usize, sounding: &str, position: Option<u8>) -> Posture {
    let (struck, kept) = sounding.split_once('|').unwrap_or((sounding, ""));
    let struck: Vec<Option<Spot>> = struck.split_whitespace().map(read).collect();
    assert_eq!(struck.len(), q.struck[layer].len(), "every sound of the layer");
    let kept: Vec<(usize, Spot)> = kept
        .split_whitespace()
        .map(|word| {
            let (sound, at) = word.split_once('=').unwrap();
            (sound.parse().unwrap(), read(at).unwrap())
        })
        .collect();
    let mut hand = Posture::of(q, layer, &struck, &kept, [None; 4]).expect("fingers at one fret");
    hand.position = position;
    hand
}

impl Posture {
    pub fn staying(mut self, digit: u8, string: u8, fret: u8) -> Self {
        self.stays[usize::from(digit) - 1] = Some((string, fret));
        self
    }

    pub fn going(mut self, away: u8) -> Self {
        self.away = away;
        self
    }

    pub fn laid(self, thin: u8, thick: u8) -> Self {
        self.hinged(thin, thick, None)
    }

    pub fn hinged(mut self, thin: u8, thick: u8, hinge: Option<Hinge>) -> Self {
        self.barre = Some(Barre { thin, thick, hinge });
        self
    }

    pub fn binding(self, q: &Question<'_>, digit: u8, string: u8, fret: u8) -> Self {
        let mut bound = self.bound;
        bound[usize::from(digit) - 1] = Some((string, fret));
        let with = Self::of(q, self.layer, &self.struck, &self.kept, bound).expect("one fret");
        Self { position: self.position, away: self.away, barre: self.barre, ..with }
    }
}

/// What a posture is charged by itself.
pub fn alone(q: &Question<'_>, posture: &Posture) -> Vec<(Term, i64)> {
    let mut items = std::collections::BTreeMap::new();
    crate::price::of_posture(q, posture, &mut |term, amount| {
        *items.entry(term).or_insert(0) += amount;
    });
    assert_eq!(items.values().sum::<i64>(), own(q, posture).2);
    items.into_iter().filter(|(_, amount)| *amount != 0).collect()
}

/// What the last move of a sequence is charged.
pub fn moved(q: &Question<'_>, way: &[Posture]) -> Vec<(Term, i64)> {
    let last = way.len() - 1;
    let mut items: std::collections::BTreeMap<Term, i64> = items(q, way)
        .into_iter()
        .filter(|((layer, _), _)| *layer == last)
        .map(|((_, term), amount)| (term, amount))
        .collect();
    for (term, amount) in alone(q, &way[last]) {
        *items.entry(term).or_insert(0) -= amount;
    }
    items.into_iter().filter(|(_, amount)| *amount != 0).collect()
}

/// What it is charged for one term.
pub fn charged(q: &Question<'_>, way: &[Posture], term: Term) -> i64 {
    moved(q, way).iter().filter(|(own, _)| *own == term).map(|(_, amount)| amount).sum()
}

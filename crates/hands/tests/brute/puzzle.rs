//! Short random problems on a small instrument.

use apoyando_fingering::{
    BarreLimit, EffortTable, FretSet, LeftFinger, LeftFingerSet, Level, Pin, PinAuthor, PinRule,
    Pins, Position, PositionSet, Problem, Scope, StringSet,
};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_music::{
    BarIndex, Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Heading, KeySignature,
    Metre, NoteValue, PartIndex, Pitch, Score, Step, Tempo, ToneId,
};

use crate::dice::Dice;

pub struct Puzzle {
    score: Score,
    instrument: Instrument,
    level: Level,
    pins: Pins,
    effort: EffortTable,
}

impl Puzzle {
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let tuning = ["E2 A2 D3 G3", "D3 G3 B3 E4", "A2 D3 G3 B3"][dice.below(3) as usize];
        let instrument = Instrument {
            tuning: tuning.parse().unwrap(),
            frets: Fret(5),
            capo: Fret(dice.one_in(8).into()),
            ..Instrument::guitar()
        };
        let score = score(&mut dice, &instrument);
        let tones = score.tones(PartIndex(0)).len() as u64;
        let pins = (0..dice.below(4)).map(|_| pin(&mut dice, tones)).collect();
        Self {
            level: level(&mut dice),
            effort: effort(&mut dice),
            score,
            instrument,
            pins: Pins(pins),
        }
    }

    pub fn problem(&self) -> Problem<'_> {
        Problem {
            score: &self.score,
            part: PartIndex(0),
            instrument: &self.instrument,
            level: &self.level,
            pins: &self.pins,
            effort: &self.effort,
            house: &apoyando_fingering::NO_HOUSE,
        }
    }
}

const BASES: [Base; 4] = [Base::Eighth, Base::Quarter, Base::N16, Base::Half];

/// Two bars of 2/4 at most, up to three voices, no more than six onsets.
fn score(dice: &mut Dice, instrument: &Instrument) -> Score {
    let metre = Metre::new(2, 4);
    let bars = 1 + dice.below(2);
    let voices = 1 + dice.below(3) as usize;
    let fastest = dice.below(3);
    // A chord to draw from now and then, so that figures come up.
    let root = dice.below(12) as i16;
    let chord: Option<Vec<i16>> =
        dice.one_in(2).then(|| [0, 4, 7].iter().map(|i| (root + i) % 12).collect());
    let mut onsets: std::collections::BTreeSet<(u64, u64)> = std::collections::BTreeSet::new();
    let mut part = DraftPart::guitar(String::new());
    for voice in 0..voices {
        let mut written = Vec::new();
        let mut open: Vec<DraftNote> = Vec::new();
        for bar in 0..bars {
            let mut events = Vec::new();
            let mut at = 0;
            while at < 8 {
                let slowest = if voice == 0 { 2 + fastest } else { 4 };
                let mut base = BASES[dice.below(slowest.min(4)) as usize];
                if voice > 0 && dice.one_in(2) {
                    base = Base::Half;
                }
                let length = |base: Base| (base.duration().whole_notes() * 16.0) as u64;
                while at % length(base).min(4) != 0 || at + length(base) > 8 {
                    base = if length(base) > 1 { shorter(base) } else { Base::N16 };
                }
                let crowded = onsets.len() >= 6 - voices && !onsets.contains(&(bar, at));
                let mut event = DraftEvent::rest(NoteValue::plain(base));
                let held = std::mem::take(&mut open);
                if held.is_empty() && (crowded || dice.one_in(6)) {
                    events.push(event);
                    at += length(base);
                    continue;
                }
                if held.is_empty() {
                    onsets.insert((bar, at));
                    let notes = 1
                        + u64::from(voices < 3 && dice.one_in(4))
                        + u64::from(voices == 1 && dice.one_in(6));
                    while (event.notes.len() as u64) < notes {
                        let pitch = pitch(dice, instrument, chord.as_deref());
                        if event.notes.iter().all(|n| n.pitch != pitch) {
                            event.notes.push(DraftNote::new(pitch));
                        }
                    }
                } else {
                    event.notes = held.into_iter().map(|n| DraftNote::new(n.pitch)).collect();
                }
                let last = bar + 1 == bars && at + length(base) == 8;
                if !last && dice.one_in(6) {
                    for note in &mut event.notes {
                        note.tied = true;
                    }
                    open.clone_from(&event.notes);
                }
                at += length(base);
                events.push(event);
            }
            written.push(events);
        }
        part.voices.push(written);
    }
    let mut grid: Vec<DraftBar> =
        (1..=bars as u32).map(|n| DraftBar::new(n, metre, KeySignature::NONE)).collect();
    if dice.one_in(2) {
        let value = if dice.one_in(3) {
            NoteValue::dotted(Base::Quarter)
        } else {
            NoteValue::plain(Base::Quarter)
        };
        grid[0].tempo = Some(Tempo { value, per_minute: 40 + dice.below(160) as u16 });
    }
    Score::assemble(Draft { heading: Heading::default(), bars: grid, parts: vec![part] })
        .expect("a score")
}

fn shorter(base: Base) -> Base {
    match base {
        Base::Half => Base::Quarter,
        Base::Quarter => Base::Eighth,
        _ => Base::N16,
    }
}

/// Mostly on the instrument, now and then just off it.
fn pitch(dice: &mut Dice, instrument: &Instrument, chord: Option<&[i16]>) -> Pitch {
    const NAMES: [(Step, i32); 12] = [
        (Step::C, 0),
        (Step::C, 1),
        (Step::D, 0),
        (Step::E, -1),
        (Step::E, 0),
        (Step::F, 0),
        (Step::F, 1),
        (Step::G, 0),
        (Step::A, -1),
        (Step::A, 0),
        (Step::B, -1),
        (Step::B, 0),
    ];
    let low = instrument.lowest().unwrap().key_number().0;
    loop {
        let key = low + dice.below(21) as i16;
        if chord.is_none_or(|c| c.contains(&(key % 12))) || dice.one_in(12) {
            let key = if dice.one_in(60) { low - 1 } else { key };
            let (step, alter) = NAMES[(key % 12) as usize];
            return Pitch::of(step, alter, (key / 12 - 1) as i8);
        }
    }
}

fn level(dice: &mut Dice) -> Level {
    let mut level = Level::open();
    level.barre = [BarreLimit::None, BarreLimit::Small, BarreLimit::Half, BarreLimit::Full]
        [dice.below(4) as usize];
    level.extension = dice.below(3) as u8;
    if dice.one_in(3) {
        level.highest_fret = Fret(2 + dice.below(4) as u8);
    }
    if dice.one_in(3) {
        level.positions =
            (1..=1 + dice.below(3) as u8).filter_map(Position::new).collect::<PositionSet>();
    }
    if dice.one_in(5) {
        level.fingers = level.fingers.without(LeftFinger::from_digit(dice.below(5) as u8));
    }
    level
}

fn effort(dice: &mut Dice) -> EffortTable {
    let mut table = EffortTable::default();
    if dice.one_in(2) {
        table.ring = dice.below(20) as i32;
        table.cut_bass = dice.below(40) as i32;
        table.cut_inner = dice.below(20) as i32;
        table.barre_hold = dice.below(2) as i32;
        table.barre_lay = dice.below(4) as i32;
        table.shift = dice.below(8) as i32;
        table.jump = dice.below(40) as i32;
        table.slide = dice.below(6) as i32;
        table.replace = dice.below(8) as i32;
        table.ease_pivot = dice.below(101) as i32;
        table.ease_rest = dice.below(101) as i32;
    }
    table
}

fn pin(dice: &mut Dice, tones: u64) -> Pin {
    let scope = if dice.one_in(3) || tones == 0 {
        let first = dice.below(2) as u32;
        Scope::Bars { first: BarIndex(first), last: BarIndex(first + dice.below(2) as u32) }
    } else {
        Scope::Tone(ToneId(dice.below(tones) as u32))
    };
    let some = |dice: &mut Dice, from: u8, to: u8| -> Vec<u8> {
        (from..=to).filter(|_| dice.one_in(2)).collect()
    };
    let rule = match dice.below(5) {
        0 => PinRule::Strings(
            some(dice, 1, 4).into_iter().filter_map(StringNumber::new).collect::<StringSet>(),
        ),
        1 => PinRule::Frets(some(dice, 0, 5).into_iter().map(Fret).collect::<FretSet>()),
        2 => PinRule::LeftFingers(
            some(dice, 0, 4).into_iter().map(LeftFinger::from_digit).collect::<LeftFingerSet>(),
        ),
        3 => PinRule::Positions(
            some(dice, 1, 5).into_iter().filter_map(Position::new).collect::<PositionSet>(),
        ),
        _ => PinRule::Barre(if dice.one_in(2) { BarreLimit::None } else { BarreLimit::Small }),
    };
    let author = if dice.one_in(3) { PinAuthor::Import } else { PinAuthor::Author };
    Pin { scope, rule, author }
}

//! Short random problems for the right hand: a guitar, chords of up to six
//! notes, pins, patterns, pairs, strokes.

use apoyando_fingering::{
    EffortTable, Level, Pin, PinAuthor, PinRule, Pins, Problem, RightFinger, RightFingerSet,
    RightPattern, RightPlan, Scope, Stroke,
};
use apoyando_fretboard::{Fret, Instrument, Place};
use apoyando_music::{
    BarIndex, Base, Draft, DraftBar, DraftEvent, DraftNote, DraftPart, Ending, EventMark, Exit,
    Heading, Jump, JumpTo, KeySignature, Metre, NoteValue, PartIndex, Pitch, Score, Step, Tempo,
    ToneId, Until, VoiceNumber,
};

use crate::dice::Dice;

fn finger(dice: &mut Dice) -> RightFinger {
    RightFinger::ALL[dice.below(4) as usize]
}

pub struct Puzzle {
    score: Score,
    instrument: Instrument,
    level: Level,
    pins: Pins,
    effort: EffortTable,
    pub plan: RightPlan,
}

impl Puzzle {
    pub fn new(seed: u64) -> Self {
        let bars = 1 + seed % 3;
        Self::of(seed, Shape { bars, onsets: 7, again: false })
    }

    /// Three bars, of which the others have the notes of the first.
    pub fn again(seed: u64) -> Self {
        Self::of(seed, Shape { bars: 3, onsets: 3, again: true })
    }

    /// A single line that goes by step for a while and then leaps.
    pub fn walking(seed: u64) -> Self {
        let mut dice = Dice(seed ^ 0x5ca1e);
        let score = walk(&mut dice);
        Self::about(dice, score)
    }

    fn of(seed: u64, shape: Shape) -> Self {
        let mut dice = Dice(seed);
        let score = score(&mut dice, &Instrument::guitar(), shape);
        Self::about(dice, score)
    }

    fn about(mut dice: Dice, score: Score) -> Self {
        let instrument = Instrument::guitar();
        let tones = score.tones(PartIndex(0)).len() as u64;
        let most = if dice.one_in(2) { 3 } else { 1 + tones };
        let pins = (0..dice.below(most)).map(|_| pin(&mut dice, tones)).collect();
        Self {
            plan: plan(&mut dice),
            effort: effort(&mut dice),
            level: Level::open(),
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

/// How long a puzzle is.
#[derive(Clone, Copy)]
struct Shape {
    bars: u64,
    /// At most, in bars that are written.
    onsets: usize,
    /// Whether all bars have the notes of the first.
    again: bool,
}

/// Bars of 2/4, one or two voices.
fn score(dice: &mut Dice, instrument: &Instrument, shape: Shape) -> Score {
    let bars = shape.bars;
    let voices = 1 + dice.below(2) as usize;
    let fast = dice.below(3);
    // Of thick chords, of one chord broken, or of anything.
    let thick = dice.one_in(4);
    let root = dice.below(12) as i16;
    let chord: Option<Vec<i16>> =
        dice.one_in(2).then(|| [0, 4, 7].iter().map(|i| (root + i) % 12).collect());
    let mut onsets: std::collections::BTreeSet<(u64, u64)> = std::collections::BTreeSet::new();
    let slurs = dice.one_in(3);
    let mut part = DraftPart::guitar(String::new());
    for voice in 0..voices {
        let mut written = Vec::new();
        for bar in 0..if shape.again { 1 } else { bars } {
            let mut events = Vec::new();
            let mut at = 0;
            while at < 8 {
                let choice = if voice == 0 { [1, 2, 2][fast as usize] } else { 4 };
                let mut length = [1, 2, 4, 8][(dice.below(choice) + fast.min(1)).min(3) as usize];
                while at % length.min(4) != 0 || at + length > 8 {
                    length /= 2;
                }
                let base = match length {
                    1 => Base::N16,
                    2 => Base::Eighth,
                    4 => Base::Quarter,
                    _ => Base::Half,
                };
                let mut event = DraftEvent::rest(NoteValue::plain(base));
                let crowded = onsets.len() >= shape.onsets && !onsets.contains(&(bar, at));
                if !crowded && !dice.one_in(8) {
                    onsets.insert((bar, at));
                    event.notes = notes(dice, instrument, (voice, thick), chord.as_deref());
                    if slurs {
                        slur(dice, &mut event);
                    }
                }
                events.push(event);
                at += length;
            }
            written.push(events);
        }
        while (written.len() as u64) < bars {
            written.push(written[0].clone());
        }
        part.voices.push(written);
    }
    assemble(dice, Metre::new(2, 4), bars as u32, part)
}

/// Repeats and endings now and then.
fn repeats(dice: &mut Dice, grid: &mut [DraftBar]) {
    if dice.one_in(2) {
        return;
    }
    let last = grid.len() - 1;
    let ending = |passes: Vec<u8>| Some(Ending { passes, first: true, last: true });
    match dice.below(4) {
        // A part again, from the beginning or from a bar on.
        0 | 1 => {
            let end = dice.below(grid.len() as u64) as usize;
            grid[dice.below(end as u64 + 1) as usize].repeat_start = true;
            grid[end].repeat_end = Some(2 + u8::from(dice.one_in(4)));
        }
        // With a first and a second ending.
        2 if last > 0 => {
            grid[last - 1].repeat_end = Some(2);
            grid[last - 1].ending = ending(vec![1]);
            grid[last].ending = ending(vec![2]);
        }
        // From the beginning, to the end of a bar.
        _ => {
            let fine = dice.below(grid.len() as u64) as usize;
            let until = if fine < last { Until::Fine } else { Until::End };
            grid[fine].exit = (fine < last).then_some(Exit::Fine);
            grid[last].jump = Some(Jump { to: JumpTo::Capo, until });
        }
    }
}

fn assemble(dice: &mut Dice, metre: Metre, bars: u32, part: DraftPart) -> Score {
    let mut grid: Vec<DraftBar> =
        (1..=bars).map(|n| DraftBar::new(n, metre, KeySignature::NONE)).collect();
    repeats(dice, &mut grid);
    grid[0].tempo = dice.one_in(2).then(|| Tempo {
        value: NoteValue::plain(Base::Quarter),
        per_minute: 20 + dice.below(180) as u16,
    });
    Score::assemble(Draft { heading: Heading::default(), bars: grid, parts: vec![part] })
        .expect("a score")
}

/// A bar or two of single notes of the white keys from E2 to F4, by step or by leap,
/// now and then over a bass.
fn walk(dice: &mut Dice) -> Score {
    const LOWEST: i32 = 2 * 7 + 2;
    const KEYS: u64 = 16;
    let low = dice.one_in(2);
    let leaps = 2 + dice.below(8);
    let base = [Base::Eighth, Base::Quarter, Base::Half][dice.below(3) as usize];
    let mut key = dice.below(KEYS) as i32;
    let mut up = dice.one_in(2);
    let count = 3 + dice.below(7);
    let mut events = Vec::new();
    for _ in 0..count {
        if dice.one_in(leaps) {
            key = dice.below(if low { KEYS / 2 } else { KEYS }) as i32;
            up = dice.one_in(2);
        } else {
            key += if up { 1 } else { -1 };
        }
        key = key.clamp(0, KEYS as i32 - 1);
        let pitch = |key: i32| {
            let staff = LOWEST + key;
            Pitch::of(Step::from_index(staff.rem_euclid(7)), 0, staff.div_euclid(7) as i8)
        };
        let mut event = DraftEvent::rest(NoteValue::plain(base));
        if key > 7 && dice.one_in(12) {
            event.notes.push(DraftNote::new(pitch(key - 7)));
        }
        event.notes.push(DraftNote::new(pitch(key)));
        events.push(event);
    }
    let mut part = DraftPart::guitar(String::new());
    part.voices.push(vec![events]);
    let unit = match base {
        Base::Eighth => 8,
        Base::Quarter => 4,
        _ => 2,
    };
    assemble(dice, Metre::new(count as u8, unit), 1, part)
}

/// Ends and begins slurs and glissandi; what is never ended goes on.
fn slur(dice: &mut Dice, event: &mut DraftEvent) {
    let glides = dice.one_in(3);
    let (start, end) = if glides {
        (EventMark::GlideStart, EventMark::GlideEnd)
    } else {
        (EventMark::SlurStart { technical: true }, EventMark::SlurEnd)
    };
    if dice.one_in(3) {
        event.marks.push(end);
    }
    if dice.one_in(3) {
        event.marks.push(start);
    }
}

/// Notes on different strings in the first frets, each string about as often.
fn notes(
    dice: &mut Dice,
    instrument: &Instrument,
    (voice, thick): (usize, bool),
    chord: Option<&[i16]>,
) -> Vec<DraftNote> {
    let count = match (voice, thick) {
        (0, true) => 1 + dice.below(6),
        (0, false) if dice.one_in(4) => 2 + dice.below(2),
        _ => 1,
    };
    let mut strings: Vec<_> = instrument.tuning.strings().collect();
    if voice > 0 {
        strings = strings.split_off(2);
    }
    let mut notes: Vec<DraftNote> = Vec::new();
    while (notes.len() as u64) < count && !strings.is_empty() {
        let string = strings.remove(dice.below(strings.len() as u64) as usize);
        let frets: Vec<Pitch> = (0..4)
            .filter_map(|fret| instrument.sound(Place { string, fret: Fret(fret) }))
            .filter(|key| chord.is_none_or(|c| c.contains(&key.0.rem_euclid(12))))
            .map(|key| spelled(key.0))
            .collect();
        let Some(pitch) = frets.get(dice.below(4) as usize % frets.len().max(1)) else { continue };
        if notes.iter().all(|note| note.pitch != *pitch) {
            notes.push(DraftNote::new(*pitch));
        }
    }
    notes
}

fn spelled(key: i16) -> Pitch {
    use Step::{A, B, C, D, E, F, G};
    let names = [C, C, D, D, E, F, F, G, G, A, A, B];
    let class = key.rem_euclid(12);
    let sharp = matches!(class, 1 | 3 | 6 | 8 | 10);
    Pitch::of(names[class as usize], sharp.into(), (key.div_euclid(12) - 1) as i8)
}

fn plan(dice: &mut Dice) -> RightPlan {
    let mut plan = RightPlan::default();
    if dice.one_in(2) {
        plan.pair = [finger(dice), finger(dice)];
    }
    for _ in 0..[0, 0, 1, 2][dice.below(4) as usize] {
        let first = dice.below(2) as u32;
        let bars =
            dice.one_in(2).then(|| (BarIndex(first), BarIndex(first + dice.below(2) as u32)));
        let fingers = (0..dice.below(6)).map(|_| finger(dice)).collect();
        plan.patterns.push(RightPattern { bars, fingers });
    }
    let stroke = |dice: &mut Dice| if dice.one_in(2) { Stroke::Rest } else { Stroke::Free };
    if dice.one_in(4) {
        plan.stroke = Some(stroke(dice));
    }
    for _ in 0..[0, 0, 1, 3][dice.below(4) as usize] {
        plan.voice_strokes.push((VoiceNumber(1 + dice.below(2) as u8), stroke(dice)));
    }
    plan
}

fn effort(dice: &mut Dice) -> EffortTable {
    let mut table = EffortTable::default();
    if dice.one_in(2) {
        table.rh_bass = dice.below(12) as i32;
        table.rh_thumb_line = dice.below(12) as i32;
        table.rh_home = dice.below(4) as i32;
        table.rh_figure = dice.below(4) as i32;
        table.rh_begin = dice.below(6) as i32;
        table.rh_repeat = dice.below(12) as i32;
        table.rh_again = dice.below(6) as i32;
        table.rh_thumb_repeat = dice.below(4) as i32;
        table.rh_cross = dice.below(6) as i32;
        table.rh_tangle = dice.below(6) as i32;
        table.rh_weak = dice.below(4) as i32;
        table.rh_first = dice.below(6) as i32;
        table.rh_ring = dice.below(4) as i32;
        table.rh_alike = dice.below(6) as i32;
    }
    table
}

fn pin(dice: &mut Dice, tones: u64) -> Pin {
    let scope = if dice.one_in(5) || tones == 0 {
        let first = dice.below(2) as u32;
        Scope::Bars { first: BarIndex(first), last: BarIndex(first + dice.below(2) as u32) }
    } else {
        Scope::Tone(ToneId(dice.below(tones) as u32))
    };
    let set: RightFingerSet = match dice.below(4) {
        // Just this one, all but this one, or any set.
        0 => RightFingerSet::NONE.with(finger(dice)),
        1 => RightFingerSet::ALL.without(finger(dice)),
        _ => RightFinger::ALL.into_iter().filter(|_| dice.one_in(2)).collect(),
    };
    let author = if dice.one_in(3) { PinAuthor::Import } else { PinAuthor::Author };
    Pin { scope, rule: PinRule::RightFingers(set), author }
}

//! Short random problems on a small instrument: the instrument, the level, the
//! pins, the prices and the house. What is played is in `music`.

use apoyando_fingering::{
    BarreLimit, Descending, EffortTable, FretSet, HandSize, HouseStyle, LeftFinger, LeftFingerSet,
    Level, Pin, PinAuthor, PinRule, Pins, Position, PositionSet, Problem, Reach, Scope, Shape,
    StringSet, StringState,
};
use apoyando_fretboard::{Fret, Instrument, StringNumber};
use apoyando_music::{BarIndex, Draft, Event, PartIndex, Score, ToneId};

use crate::chords::chords;
use crate::dice::Dice;
use crate::hinges::hinges;
use crate::idle::idle_barres;
use crate::music;

pub struct Puzzle {
    pub draft: Draft,
    score: Score,
    instrument: Instrument,
    level: Level,
    pins: Pins,
    effort: EffortTable,
    house: HouseStyle,
}

/// How large a puzzle may be.
#[derive(Clone, Copy)]
pub struct Size {
    pub strings: u8,
    pub frets: u8,
    pub onsets: usize,
}

impl Puzzle {
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice(seed);
        if dice.one_in(20) {
            let hinges = dice.one_in(2);
            return if hinges { Self::of_hinges(&mut dice) } else { Self::of_idle(&mut dice) };
        }
        let size = match dice.below(16) {
            0..=4 => Size { strings: 4, frets: 5, onsets: 2 + dice.below(3) as usize },
            5..=11 => Size { strings: 4, frets: 5, onsets: 5 + dice.below(4) as usize },
            12 => Size { strings: 4, frets: 9, onsets: 4 },
            13 => Size { strings: 5, frets: 7, onsets: 4 },
            14 => Size { strings: 6, frets: 5, onsets: 4 },
            _ => Size { strings: 4, frets: 12, onsets: 3 },
        };
        Self::of_size(&mut dice, size)
    }

    pub fn of_size(dice: &mut Dice, size: Size) -> Self {
        let tunings: &[&str] = match size.strings {
            4 => &["E2 A2 D3 G3", "D3 G3 B3 E4", "A2 D3 G3 B3", "A2 E3 A3 E4"],
            5 => &["A2 D3 G3 B3 E4", "E2 A2 D3 G3 B3"],
            _ => &["E2 A2 D3 G3 B3 E4", "D2 A2 D3 F#3 A3 D4"],
        };
        let tuning = tunings[dice.below(tunings.len() as u64) as usize];
        let instrument = Instrument {
            tuning: tuning.parse().unwrap(),
            frets: Fret(size.frets),
            capo: Fret(dice.one_in(8).into()),
            ..Instrument::guitar()
        };
        let draft = music::draft(dice, &instrument, size.onsets);
        Self::with(dice, instrument, draft)
    }

    /// Short bars of which some are the same; none if they cannot be, for a tie.
    pub fn of_like_bars(seed: u64) -> Option<Self> {
        let mut dice = Dice(seed);
        let tuning = ["E2 A2 D3 G3", "A2 E3 A3 E4", "D3 G3 B3 E4"][dice.below(3) as usize];
        let frets = Fret(5 + dice.below(3) as u8);
        let tuning = tuning.parse().unwrap();
        let instrument = Instrument { tuning, frets, ..Instrument::guitar() };
        let mut draft = music::draft(&mut dice, &instrument, 4);
        music::repeat_bars(&mut dice, &mut draft);
        Score::assemble(draft.clone()).ok()?;
        Some(Self::with(&mut dice, instrument, draft))
    }

    /// A chord of five notes or two of four that a hand may not be able to play:
    /// what lies on neighbouring frets, some of it on one.
    pub fn of_chords(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let tuning = ["D3 G3 B3 E4", "A2 D3 G3 B3 E4"][dice.below(2) as usize].parse().unwrap();
        let instrument = Instrument { tuning, frets: Fret(5), ..Instrument::guitar() };
        let draft = chords(&mut dice, &instrument);
        Self::with(&mut dice, instrument, draft)
    }

    /// Chords under a barre with a string beside them that is open by turns, for a
    /// hand that rather turns a hinge than lays a barre again, and keeps its fingers
    /// off one another.
    fn of_hinges(dice: &mut Dice) -> Self {
        let tuning = ["D3 G3 B3 E4", "A2 D3 G3 B3"][dice.below(2) as usize].parse().unwrap();
        let instrument = Instrument { tuning, frets: Fret(5), ..Instrument::guitar() };
        let draft = hinges(dice, &instrument);
        let mut puzzle = Self::with(dice, instrument, draft);
        puzzle.level.barre = BarreLimit::Full;
        let table = &mut puzzle.effort;
        (table.barre_hold, table.barre_lay) = (1, 3 + dice.below(4) as i32);
        (table.hinge, table.crowd, table.contraction) = (1, 20, 10);
        puzzle
    }

    /// Chords under a barre that one of them does not need, for a hand that rather
    /// leaves it than lays it again.
    fn of_idle(dice: &mut Dice) -> Self {
        let tuning = ["D3 G3 B3 E4", "A2 D3 G3 B3"][dice.below(2) as usize].parse().unwrap();
        let instrument = Instrument { tuning, frets: Fret(5), ..Instrument::guitar() };
        let draft = idle_barres(dice, &instrument);
        let mut puzzle = Self::with(dice, instrument, draft);
        puzzle.level.barre = BarreLimit::Full;
        let table = &mut puzzle.effort;
        (table.barre_hold, table.barre_lay) = (1, 6 + dice.below(8) as i32);
        table.barre_idle = 1 + dice.below(12) as i32;
        puzzle
    }

    fn with(dice: &mut Dice, instrument: Instrument, draft: Draft) -> Self {
        let score = Score::assemble(draft.clone()).expect("a score");
        let pins = pins(dice, &score, &instrument);
        let house = house(dice, &score, &instrument);
        let (level, effort) = (level(dice), effort(dice));
        let mut puzzle = Self { level, effort, pins, house, draft, score, instrument };
        puzzle.take_over(dice);
        puzzle
    }

    /// Few strings, for a hand that had rather change a finger than let anything go or
    /// reach far.
    pub fn of_held(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let size = Size { strings: 4, frets: 7, onsets: 3 + dice.below(3) as usize };
        let mut puzzle = Self::of_size(&mut dice, size);
        puzzle.level.substitution = true;
        let table = &mut puzzle.effort;
        table.substitute = dice.below(4) as i32;
        table.unchanged = 20 + dice.below(40) as i32;
        (table.cut_bass, table.cut_inner, table.cut_melody) = (60, 60, 60);
        (table.extension, table.stretch) = (20 + dice.below(20) as i32, 4);
        if dice.one_in(2) {
            (table.shift, table.travel, table.height) = (1, 1, 0);
            table.ease_guide = 60 + dice.below(40) as i32;
            table.contraction = 6;
        }
        puzzle
    }

    /// Whether a finger may take over what sounds on, and where it is asked to.
    fn take_over(&mut self, dice: &mut Dice) {
        self.level.substitution = dice.one_in(3);
        let tones = self.score.tones(PartIndex(0)).len() as u64;
        let table = &mut self.effort;
        match dice.below(3) {
            0 => table.substitute = dice.below(3) as i32,
            1 => table.substitute = dice.below(30) as i32,
            _ => {}
        }
        if dice.one_in(2) {
            table.unchanged = dice.below(60) as i32;
        }
        if tones == 0 || !dice.one_in(3) {
            return;
        }
        for _ in 0..1 + dice.below(2) {
            let scope = Scope::Tone(ToneId(dice.below(tones) as u32));
            let fingers = LeftFinger::ALL.into_iter().filter(|_| dice.one_in(2)).map(Some);
            let rule = PinRule::SecondFingers(fingers.collect());
            let author = if dice.one_in(4) { PinAuthor::Import } else { PinAuthor::Author };
            self.pins.0.push(Pin { scope, rule, author });
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
            house: &self.house,
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
    if dice.one_in(4) {
        level.reach = Reach::of(if dice.one_in(2) { HandSize::Small } else { HandSize::Large });
    }
    level
}

/// The usual prices, or any up to twice as high and a little more.
fn effort(dice: &mut Dice) -> EffortTable {
    let mut table = EffortTable::default();
    if dice.one_in(3) {
        return table;
    }
    for price in [
        &mut table.stop,
        &mut table.finger_3,
        &mut table.finger_4,
        &mut table.height,
        &mut table.extension,
        &mut table.contraction,
        &mut table.lead,
        &mut table.stretch,
        &mut table.crossed,
        &mut table.crowd,
        &mut table.barre_hold,
        &mut table.barre_idle,
        &mut table.barre_lay,
        &mut table.hinge,
        &mut table.shift,
        &mut table.travel,
        &mut table.hop,
        &mut table.hop_stay,
        &mut table.land,
        &mut table.jump,
        &mut table.leap,
        &mut table.twice,
        &mut table.slide,
        &mut table.replace,
        &mut table.exchange,
        &mut table.weak_pair,
        &mut table.join,
        &mut table.join_weak,
        &mut table.ornament,
        &mut table.tone_high,
        &mut table.tone_long,
        &mut table.house,
        &mut table.cut_melody,
        &mut table.cut_bass,
        &mut table.cut_inner,
        &mut table.ring,
        &mut table.lean,
        &mut table.lead_stay,
    ] {
        *price = match dice.below(5) {
            // As it is, a tenth of it, or anything.
            0 => *price,
            1 => 1 + *price / 10,
            _ => 1 + dice.below(2 * *price as u64 + 4) as i32,
        };
    }
    for percent in [
        &mut table.ease_guide,
        &mut table.ease_pivot,
        &mut table.ease_open,
        &mut table.ease_rest,
        &mut table.ease_phrase,
        &mut table.ease_beat,
        &mut table.ease_repeat,
        &mut table.leading,
        &mut table.cut_tail,
    ] {
        let most = if dice.one_in(4) { 101 } else { 50 };
        *percent = dice.below(most) as i32;
    }
    match dice.below(6) {
        // A hand that rather reaches than shifts, and one that likes barres.
        0 => {
            (table.hop, table.hop_stay) = (1 + dice.below(8) as i32, 1 + dice.below(4) as i32);
            table.shift = 20 + dice.below(40) as i32;
        }
        1 => {
            (table.barre_hold, table.barre_lay) = (1, 1 + dice.below(2) as i32);
            table.hinge = 1 + dice.below(3) as i32;
            (table.stop, table.jump) = (1, 10);
        }
        _ => {}
    }
    // Drawn from a stream of its own, so that the other draws are what they were.
    table.jump_bass = 1 + Dice(dice.0 ^ 1).below(8) as i32;
    table
}

fn pins(dice: &mut Dice, score: &Score, instrument: &Instrument) -> Pins {
    let tones = score.tones(PartIndex(0));
    let strings = instrument.tuning.len() as u8;
    let most = if dice.one_in(2) { 1 } else { 4 };
    let mut pins: Vec<Pin> =
        (0..dice.below(most)).map(|_| pin(dice, tones.len() as u64, strings)).collect();
    // Unisons in two voices are now and then put on two strings.
    for tone in tones.as_slice() {
        let earlier = |other: &&apoyando_music::Tone| {
            other.id < tone.id
                && other.onset == tone.onset
                && other.pitch.key_number() == tone.pitch.key_number()
        };
        let Some(other) = tones.as_slice().iter().find(earlier).filter(|_| dice.one_in(2)) else {
            continue;
        };
        let own: Vec<bool> = (0..strings).map(|_| dice.one_in(2)).collect();
        for (tone, side) in [(tone, true), (other, false)] {
            let set: StringSet = (1..=strings)
                .filter(|string| own[usize::from(*string) - 1] == side)
                .filter_map(StringNumber::new)
                .collect();
            let author = if dice.one_in(4) { PinAuthor::Import } else { PinAuthor::Author };
            pins.push(Pin { scope: Scope::Tone(tone.id), rule: PinRule::Strings(set), author });
        }
    }
    Pins(pins)
}

fn pin(dice: &mut Dice, tones: u64, strings: u8) -> Pin {
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
            some(dice, 1, strings).into_iter().filter_map(StringNumber::new).collect::<StringSet>(),
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

fn house(dice: &mut Dice, score: &Score, instrument: &Instrument) -> HouseStyle {
    let mut house = HouseStyle::NONE;
    if dice.one_in(3) {
        return house;
    }
    house.third_fret =
        [None, Some(LeftFinger::Three), Some(LeftFinger::Four)][dice.below(3) as usize];
    house.descending =
        [None, Some(Descending::Open), Some(Descending::Stopped)][dice.below(3) as usize];
    let part = score.part(PartIndex(0));
    let events: Vec<&Event> = part.voices.iter().flat_map(|v| v.bars.iter().flatten()).collect();
    for _ in 0..dice.below(3) {
        let event = events[dice.below(events.len() as u64) as usize];
        house.shapes.push(shape(dice, score, instrument, event));
    }
    house
}

/// The notes of an event as a shape, with any fingers.
fn shape(dice: &mut Dice, score: &Score, instrument: &Instrument, event: &Event) -> Shape {
    let idle = |dice: &mut Dice| {
        if dice.one_in(2) { StringState::Open } else { StringState::Unplayed }
    };
    let mut strings: Vec<StringState> = instrument.tuning.strings().map(|_| idle(dice)).collect();
    for note in event.notes() {
        let places: Vec<_> = instrument.places(score.note(*note).pitch.key_number()).collect();
        if places.is_empty() {
            continue;
        }
        let place = places[dice.below(places.len() as u64) as usize];
        let finger = LeftFinger::from_digit(dice.below(5) as u8);
        strings[place.string.index()] = match place.fret {
            Fret::OPEN => StringState::Open,
            fret => StringState::Stopped { fret, finger },
        };
    }
    Shape { name: String::new(), strings, barre: None }
}

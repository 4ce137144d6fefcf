//! What a reader carries on of the right hand where nothing is printed: an alternation of
//! two fingers, or the pattern of a bar (common practice, no source).
//!
//! He reads a voice bar by bar, and is right so far: what was not printed he has played as
//! it was meant. So a bar needs its letters if he would play it otherwise, or would not know.
//! - After a bar of single notes in which two of i, m and a take turns, or two bars of one
//!   note each, he goes on taking turns.
//! - Otherwise he plays a bar as the last printed bar of the same rhythm, if i, m and a have
//!   the same strings as there, and it is not long since he played so. The thumb may change
//!   its string.
//! - A chord he plays as the last one, or as the last of as many fingers not long ago, unless
//!   i, m and a have broken one on other strings since.
//! - In the bass he plays p, once it has been told.
//! - After any other bar he does not know; nor does he where a repeat begins or in a second
//!   ending, which follow other bars each time.

use apoyando_fingering::RightFinger;
use apoyando_fretboard::StringNumber;
use apoyando_music::{BarIndex, Duration, Moment};

use crate::sounds::Sound;

/// Bars after which the pattern of a bar is no longer remembered.
const PATTERN_BARS: u32 = 4;

/// Bars after the one of a chord in which it is remembered over others.
const CHORD_BARS: u32 = 1;

/// A finger and its string; the thumb has all of the bass.
type OnString = (RightFinger, Option<StringNumber>);

/// A finger of a sound with the string that a reader of letters takes it to belong to.
pub(crate) fn on_string(finger: RightFinger, sound: &Sound) -> OnString {
    let string = sound.placement.map(|placement| placement.place.string);
    (finger, string.filter(|_| finger != RightFinger::P))
}

/// What one event of a voice asks of the right hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Pluck {
    /// From the beginning of its bar.
    at: Duration,
    /// From low to high.
    fingers: Vec<OnString>,
}

impl Pluck {
    /// The plucks of the sounds of one event in the bar that begins then.
    pub fn of<'s>(sounds: impl Iterator<Item = &'s Sound>, begin: Moment) -> Self {
        let mut at = Duration::ZERO;
        let mut fingers = Vec::new();
        for sound in sounds {
            at = sound.onset - begin;
            fingers.extend(sound.right.map(|finger| on_string(finger, sound)));
        }
        Self { at, fingers }
    }

    /// The finger of a single note.
    fn single(&self) -> Option<RightFinger> {
        match self.fingers.as_slice() {
            [(finger, _)] => Some(*finger),
            _ => None,
        }
    }

    /// Its fingers, the thumb once, however many strings it sweeps.
    fn swept(&self) -> Vec<OnString> {
        let mut fingers = self.fingers.clone();
        fingers
            .dedup_by_key(|(finger, _)| (*finger == RightFinger::P).then_some(()).ok_or(*finger));
        fingers
    }

    fn is_thumb(&self) -> bool {
        self.single() == Some(RightFinger::P)
    }
}

/// The strings of i, m and a in a bar in which each of them has one, if all three play.
fn broken(plucks: &[Pluck]) -> Option<Vec<OnString>> {
    let mut fingers: Vec<OnString> = plucks.iter().flat_map(|it| it.fingers.clone()).collect();
    fingers.retain(|(finger, _)| *finger != RightFinger::P);
    fingers.sort_unstable();
    fingers.dedup();
    let each = fingers.len() == 3 && fingers.windows(2).all(|two| two[0].0 != two[1].0);
    (each && plucks.iter().all(|it| it.fingers.len() == 1)).then_some(fingers)
}

/// Whether a finger of a chord has another string in a broken one.
fn is_elsewhere(chord: &[OnString], broken: &[OnString]) -> bool {
    chord.iter().any(|(finger, string)| {
        broken.iter().any(|(other, there)| other == finger && there != string)
    })
}

/// What a reader of one voice knows.
pub(crate) struct Reader {
    /// Whether the voice is the lowest of several.
    bass: bool,
    /// The two fingers that take turns, the next one first.
    turns: Option<[RightFinger; 2]>,
    /// The last single finger, and whether it was alone in its bar.
    last: Option<RightFinger>,
    alone: bool,
    /// Whether p has been told in the bass.
    thumb_told: bool,
    /// The last chord, and the bars of the last ones of so many fingers.
    chord: Option<Vec<OnString>>,
    chords: Vec<(BarIndex, Vec<OnString>)>,
    /// The printed bars with the bar where they were last played.
    bars: Vec<(BarIndex, Vec<Pluck>)>,
}

impl Reader {
    /// A reader at the beginning of a voice.
    pub fn new(bass: bool) -> Self {
        Self {
            bass,
            turns: None,
            last: None,
            alone: false,
            thumb_told: false,
            chord: None,
            chords: Vec::new(),
            bars: Vec::new(),
        }
    }

    /// Carries nothing on: what was played before is another bar each time.
    pub fn forget(&mut self) {
        self.turns = None;
        self.last = None;
        self.alone = false;
        self.bars.clear();
    }

    /// Reads a bar; whether each event has to have its letters printed.
    pub fn read(&mut self, bar: BarIndex, plucks: Vec<Pluck>) -> Vec<bool> {
        let printed = if plucks.iter().all(|pluck| pluck.fingers.len() > 1) {
            plucks.iter().map(|pluck| !self.knows_chord(bar, pluck)).collect()
        } else if plucks.iter().all(Pluck::is_thumb) {
            self.of_thumb(plucks.len())
        } else {
            let carried = self.takes_turns(&plucks) || self.repeats(bar, &plucks);
            vec![!carried; plucks.len()]
        };
        self.keep(bar, plucks, printed.contains(&true));
        printed
    }

    /// A bar of the thumb alone: in the bass its first p at most; else all after another
    /// finger, for one p would look like the beginning of a pattern.
    fn of_thumb(&self, plucks: usize) -> Vec<bool> {
        let once = |told: bool| (0..plucks).map(|at| at == 0 && !told).collect();
        match self.last {
            _ if self.bass => once(self.thumb_told),
            None => once(false),
            Some(finger) => vec![finger != RightFinger::P; plucks],
        }
    }

    /// Whether a chord is played as the last one, or as the last of as many fingers not long
    /// ago; and remembers it.
    fn knows_chord(&mut self, bar: BarIndex, pluck: &Pluck) -> bool {
        let chord = pluck.swept();
        let known = self.chord.as_ref() == Some(&chord)
            || self.chords.iter().any(|(at, other)| *other == chord && bar.0 <= at.0 + CHORD_BARS);
        self.keep_chord(bar, chord);
        known
    }

    fn keep_chord(&mut self, bar: BarIndex, chord: Vec<OnString>) {
        self.chords.retain(|(_, other)| other.len() != chord.len());
        self.chords.push((bar, chord.clone()));
        self.chord = Some(chord);
    }

    /// Whether two fingers have taken turns and go on with it.
    fn takes_turns(&self, plucks: &[Pluck]) -> bool {
        let Some([next, other]) = self.turns else { return false };
        let turns = [next, other].into_iter().cycle();
        plucks.iter().zip(turns).all(|(pluck, finger)| pluck.single() == Some(finger))
    }

    /// Whether a bar is as the last printed one of its rhythm, where nothing takes turns.
    fn repeats(&self, bar: BarIndex, plucks: &[Pluck]) -> bool {
        let rhythm =
            |other: &[Pluck]| other.iter().map(|it| it.at).eq(plucks.iter().map(|it| it.at));
        let last = self.bars.iter().rev().find(|(_, other)| rhythm(other));
        self.turns.is_none()
            && last.is_some_and(|(at, other)| other == plucks && bar.0 <= at.0 + PATTERN_BARS)
    }

    /// Remembers a bar as it is played.
    fn keep(&mut self, bar: BarIndex, plucks: Vec<Pluck>, printed: bool) {
        if let Some(broken) = broken(&plucks) {
            self.chord = self.chord.take().filter(|chord| !is_elsewhere(chord, &broken));
            self.chords.retain(|(_, chord)| !is_elsewhere(chord, &broken));
        }
        self.turns = self.turns_after(&plucks);
        self.last = plucks.last().and_then(Pluck::single);
        self.alone = plucks.len() == 1;
        self.thumb_told |= plucks.iter().any(Pluck::is_thumb);
        for pluck in plucks.iter().filter(|pluck| pluck.fingers.len() > 1) {
            self.keep_chord(bar, pluck.swept());
        }
        if self.bars.iter().any(|(_, other)| *other == plucks) || printed {
            self.bars.retain(|(_, other)| *other != plucks);
            self.bars.push((bar, plucks));
        }
    }

    /// The fingers that take turns after a bar, the next one first.
    fn turns_after(&self, plucks: &[Pluck]) -> Option<[RightFinger; 2]> {
        let singles: Option<Vec<RightFinger>> = plucks.iter().map(Pluck::single).collect();
        let mut singles = singles?;
        if self.takes_turns(plucks) {
            let [next, other] = self.turns?;
            return Some(if singles.len() % 2 == 0 { [next, other] } else { [other, next] });
        }
        if let (true, [_], Some(last)) = (self.alone, singles.as_slice(), self.last) {
            singles.insert(0, last);
        }
        let [.., before, last] = singles.as_slice() else { return None };
        let two = *before != *last && ![*before, *last].contains(&RightFinger::P);
        let turn = singles.windows(3).all(|three| three[0] == three[2]);
        (two && turn).then_some([*before, *last])
    }
}

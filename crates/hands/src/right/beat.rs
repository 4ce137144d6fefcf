//! The layers as the right hand meets them, and the hands each may take.

use apoyando_fingering::{Fingering, RightPlan};
use apoyando_music::Duration;

use crate::heard::{Music, Role, figure};

use super::Asked;
use super::awry::least_awry;
use super::basses;
use super::hand::{ANY, Hand, THUMB, in_order};
use super::home;

/// A struck sound.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pluck {
    pub sound: usize,
    /// Index of the string, 0 for the thinnest.
    pub string: u8,
    pub bass: bool,
    /// The finger at home on its string.
    pub home: u8,
    /// The fingers that the pins allow, as bits; all if they leave none.
    pub allowed: u8,
    /// Whether the pins leave it none.
    pub contradicted: bool,
}

/// A layer: what is struck, from the thickest string on, and how.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beat {
    /// Its number among all layers; those in which nothing is plucked have no
    /// beat.
    pub layer: usize,
    /// Sounds struck, as a range of [`Beats::plucks`].
    plucks: (usize, usize),
    /// Hands it may take, as a range of [`Beats::hands`].
    hands: (usize, usize),
    /// Whether it is of a broken chord.
    pub broken: bool,
    /// Whether a rise of one begins with it, on a thick string.
    pub begins: bool,
    pub lone: bool,
    pub line: bool,
    /// Whether it is a bass in one voice, which is the thumb's.
    pub lone_bass: bool,
    /// The finger that a pattern gives it.
    pub given: Option<u8>,
    /// Whether no hand in order keeps the pins.
    pub awry: bool,
}

impl Beat {
    pub const fn hands(&self) -> std::ops::Range<usize> {
        self.hands.0..self.hands.1
    }
}

/// All layers, their sounds and hands side by side.
#[derive(Clone, Debug)]
pub(super) struct Beats {
    pub beats: Vec<Beat>,
    pub plucks: Vec<Pluck>,
    pub hands: Vec<Hand>,
    pair: u8,
}

impl Beats {
    pub fn of(asked: &Asked<'_>, left: &Fingering, allowed: &[u8]) -> Self {
        let (music, plan) = (asked.music, asked.plan);
        let layers = music.layers.len();
        let mut all = Self {
            beats: Vec::with_capacity(layers),
            plucks: Vec::with_capacity(music.sounds.len()),
            hands: Vec::with_capacity(4 * layers),
            pair: plan.pair.iter().fold(0, |set, finger| set | 1 << *finger as u8),
        };
        for (number, layer) in music.layers.iter().enumerate() {
            let first = all.plucks.len();
            for sound in layer.struck() {
                let tone = music.sounds[sound].tones.first();
                let played = tone.and_then(|tone| left.tones.get(tone.0 as usize));
                let plucked = played.filter(|played| !played.joined);
                let Some(place) = plucked.and_then(|p| p.left).map(|l| l.place) else { continue };
                let contradicted = allowed[sound] == 0;
                all.plucks.push(Pluck {
                    sound,
                    string: place.string.index() as u8,
                    home: home::in_a_chord(place.string.index() as u8),
                    bass: music.sounds[sound].role == Role::Bass,
                    allowed: if contradicted { ANY } else { allowed[sound] },
                    contradicted,
                });
            }
            all.plucks[first..].sort_by_key(|pluck| std::cmp::Reverse(pluck.string));
            one_to_a_string(&mut all.plucks, first);
            let struck = &all.plucks[first..];
            if struck.is_empty() {
                continue;
            }
            let lone = struck.len() == 1;
            all.beats.push(Beat {
                layer: number,
                plucks: (first, all.plucks.len()),
                hands: (0, 0),
                broken: false,
                begins: false,
                lone,
                line: lone && !struck[0].bass,
                lone_bass: false,
                given: None,
                awry: false,
            });
        }
        all.break_chords(music);
        for beat in basses::lone_basses(asked, &all) {
            (all.beats[beat].line, all.beats[beat].lone_bass) = (false, true);
        }
        all.pattern(music, plan);
        all.take_hands();
        all
    }

    /// Finds the broken chords (model §6).
    fn break_chords(&mut self, music: &Music) {
        for figure in music.figures() {
            let beats = self.of_layers(figure);
            self.break_chord(beats, music.voices);
        }
        if music.voices > 1 {
            return;
        }
        // In slow values only where the chord stands on a thick string: then an
        // accompaniment is heard, elsewhere a tune that goes through a chord.
        for slow in figure::runs(music, Duration::new(1, 4)) {
            let beats = self.of_layers(slow);
            if self.is_accompaniment(music, beats.clone()) {
                self.break_chord(beats, music.voices);
            }
        }
    }

    /// The beats of some layers, the second of which is past them.
    fn of_layers(&self, (first, past): (usize, usize)) -> std::ops::Range<usize> {
        let from = self.beats.partition_point(|beat| beat.layer < first);
        from..self.beats.partition_point(|beat| beat.layer < past).max(from)
    }

    /// Whether beats that break a chord slowly, none of them in a figure, are no tune.
    fn is_accompaniment(&self, music: &Music, beats: std::ops::Range<usize>) -> bool {
        let bar = |beat: &Beat| music.layers[beat.layer].bar;
        let [first, ..] = &self.beats[beats.clone()] else { return false };
        let strings = self.strings(beats.clone(), |_| true);
        let before = beats.start.checked_sub(1).map(|before| &self.beats[before]);
        before.is_none_or(|before| bar(before) != bar(first))
            && matches!(
                self.plucks(first),
                [lone] if lone.string >= home::THICK && strings >> lone.string == 1
            )
            && self.beats[beats].iter().all(|beat| !beat.broken)
            && strings.count_ones() >= 3
    }

    /// The strings of some plucks of a range of beats, as bits.
    fn strings(&self, beats: std::ops::Range<usize>, which: impl Fn(&Pluck) -> bool) -> u16 {
        let plucks = self.beats[beats].iter().flat_map(|beat| self.plucks(beat));
        plucks.filter(|pluck| which(pluck)).fold(0, |set, pluck| set | 1 << pluck.string)
    }

    /// Marks the beats of a broken chord and finds the fingers at home in it.
    fn break_chord(&mut self, beats: std::ops::Range<usize>, voices: usize) {
        let bass = self.strings(beats.clone(), |pluck| voices > 1 && pluck.bass);
        let all = self.strings(beats.clone(), |_| true);
        for (rise, so_far) in self.rises(beats) {
            let thumb = if bass == 0 { home::thickest_thick(so_far) } else { bass };
            let first = rise.start;
            for index in rise {
                let beat = &mut self.beats[index];
                beat.begins =
                    index == first && beat.lone && self.plucks[beat.plucks.0].string >= home::THICK;
                (beat.broken, beat.line) = (true, false);
                for pluck in &mut self.plucks[beat.plucks.0..beat.plucks.1] {
                    pluck.home = home::in_a_broken_chord(all, thumb, pluck.string);
                }
            }
        }
    }

    /// A broken chord cut where it falls back below all that was plucked in it, each part
    /// with the strings plucked up to its end.
    fn rises(&self, beats: std::ops::Range<usize>) -> Vec<(std::ops::Range<usize>, u16)> {
        let mut rises: Vec<(std::ops::Range<usize>, u16)> = Vec::new();
        let (mut so_far, mut last) = (0u16, 0u16);
        for index in beats {
            let own = self.strings(index..index + 1, |_| true);
            let falls = match self.plucks(&self.beats[index]) {
                // Thicker than all, and not just the next to what was plucked last.
                [lone] if lone.string >= home::THICK => own > so_far && own > last << 1,
                _ => false,
            };
            (so_far, last) = (so_far | own, own);
            match rises.last_mut() {
                Some((rise, strings)) if !falls => (rise.end, *strings) = (index + 1, so_far),
                _ => rises.push((index..index + 1, so_far)),
            }
        }
        rises
    }

    /// Gives the beats the fingers of the patterns.
    fn pattern(&mut self, music: &Music, plan: &RightPlan) {
        for pattern in &plan.patterns {
            let bar = |beat: &Beat| music.layers[beat.layer].bar;
            let beats = match pattern.bars {
                None => 0..self.beats.len(),
                Some((first, last)) => {
                    let from = self.beats.partition_point(|beat| bar(beat) < first);
                    from..self.beats.partition_point(|beat| bar(beat) <= last).max(from)
                }
            };
            for (beat, finger) in self.beats[beats].iter_mut().zip(pattern.fingers.iter().cycle()) {
                beat.given = Some(*finger as u8);
            }
        }
    }

    fn take_hands(&mut self) {
        for index in 0..self.beats.len() {
            let mut beat = self.beats[index];
            beat.hands.0 = self.hands.len();
            let mut pinned = [ANY; MOST];
            let pinned = self.pinned(&beat, &mut pinned);
            beat.awry = !take(&beat, self.pair, pinned, &mut self.hands);
            if beat.awry {
                self.hands.push(least_awry(pinned));
            }
            beat.hands.1 = self.hands.len();
            self.beats[index] = beat;
        }
    }

    /// The struck sounds of a layer, from the thickest string on.
    pub fn plucks(&self, beat: &Beat) -> &[Pluck] {
        &self.plucks[beat.plucks.0..beat.plucks.1]
    }

    /// The hands a layer may take with one more pin; none if none is in order.
    pub fn with_pin(&self, beat: &Beat, sound: usize, finger: u8, hands: &mut Vec<Hand>) {
        hands.clear();
        let mut pinned = [ANY; MOST];
        self.pinned(beat, &mut pinned);
        pinned[sound] &= 1 << finger;
        if self.plucks(beat)[sound].contradicted {
            return;
        }
        take(beat, self.pair, &pinned[..self.plucks(beat).len()], hands);
    }

    /// The same where one beat takes other hands.
    pub fn with_hands(&self, beat: usize, hands: &[Hand]) -> Self {
        let mut other = self.clone();
        other.hands.clear();
        for (index, own) in other.beats.iter_mut().enumerate() {
            let taken = if index == beat { hands } else { &self.hands[own.hands()] };
            let first = other.hands.len();
            other.hands.extend_from_slice(taken);
            own.hands = (first, other.hands.len());
        }
        other
    }

    fn pinned<'a>(&self, beat: &Beat, room: &'a mut [u8; MOST]) -> &'a [u8] {
        let struck = self.plucks(beat);
        for (slot, pluck) in room.iter_mut().zip(struck) {
            *slot = pluck.allowed;
        }
        &room[..struck.len().min(MOST)]
    }
}

/// No left hand that was searched for has two sounds on a string; of one that
/// was not, the first counts.
fn one_to_a_string(plucks: &mut Vec<Pluck>, first: usize) {
    let mut kept = first;
    for index in first..plucks.len() {
        if kept == first || plucks[kept - 1].string != plucks[index].string {
            plucks[kept] = plucks[index];
            kept += 1;
        }
    }
    plucks.truncate(kept);
}

/// Sounds struck at once at most: one to a string.
const MOST: usize = crate::hand::STRINGS;

/// Adds the hands in order that the rules leave (model §6, R1 to R4); says
/// whether there are any.
fn take(beat: &Beat, pair: u8, pinned: &[u8], hands: &mut Vec<Hand>) -> bool {
    let first = hands.len();
    in_order(pinned, hands);
    match beat.given {
        None => {}
        Some(THUMB) => narrow(hands, first, |hand| hand.first() == Some(THUMB)),
        Some(finger) => narrow(hands, first, |hand| hand.last() == Some(finger)),
    }
    if beat.line {
        let fingers = pair | 1 << THUMB;
        narrow(hands, first, |hand| hand.set() & !fingers == 0);
    }
    hands.len() > first
}

/// Keeps the hands from `first` on that fit, if there are any.
fn narrow(hands: &mut Vec<Hand>, first: usize, fits: impl Fn(&Hand) -> bool) {
    let mut kept = first;
    for index in first..hands.len() {
        if fits(&hands[index]) {
            hands.swap(kept, index);
            kept += 1;
        }
    }
    if kept > first {
        hands.truncate(kept);
    }
}

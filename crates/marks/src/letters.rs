//! Right-hand letters.
//!
//! *Every note*: the letter of every sound that is plucked; but where the thumb
//! sweeps several strings, one p at the lowest note, and a strum has no more than one letter. What a slur or a glissando
//! makes sound has none. *Where needed*: a letter is left out
//! where the reader can foretell it.
//!
//! - **Pattern.** A bar, a half bar or a beat whose fingers fall at the same
//!   times as in the bar, half bar or beat right before it, with the same
//!   fingers, goes on with that pattern: nothing is printed. Halves and beats
//!   count from three onsets on.
//! - **Broken chords.** A bar in which the thumb and the fingers take turns, or
//!   in which three fingers play one after the other, is printed in full where no
//!   pattern covers it.
//! - **Alternation.** In other bars, among the onsets with i, m or a, a single
//!   finger is foretold if it is the one before last: the first two of an
//!   alternation, or of slow notes all by one finger, are printed, then none until
//!   it is broken.
//! - **Chord.** The fingers of a chord struck in one voice, and two or more of i,
//!   m and a over a bass, are foretold if the last chord of as many had them. If
//!   one letter of a chord in a voice is printed, all of them are.
//! - **Thumb.** A p that is not of a chord is foretold in the lowest voice of a part
//!   with several voices, and after p at the onset before; but its first letter is
//!   always printed.
//! - **No holes.** A lone foretold letter between two that are printed in the same bar is
//!   printed as well, unless a pattern covers it: a row with a hole is read twice.
//! - **Bass by a finger.** i, m or a on a lone note of the lowest of several
//!   voices is an exception and always printed, unless a pattern covers it.

use apoyando_fingering::RightFinger;
use apoyando_music::{Duration, EventMark, Moment, Score, VoiceNumber};

use crate::marks::Density;
use crate::sounds::{Sound, layers};

/// Onsets from which a half bar or a beat counts as a pattern.
const PATTERN_ONSETS: usize = 3;

/// The letter of every sound.
pub(crate) fn letters(
    sounds: &[Sound],
    score: &Score,
    density: Density,
) -> Vec<Option<RightFinger>> {
    let mut letters = match density {
        Density::None => vec![None; sounds.len()],
        Density::EveryNote => unswept(sounds, &vec![false; sounds.len()]),
        Density::WhereNeeded => unswept(sounds, &foretold(sounds, score)),
    };
    strummed(sounds, score, &mut letters);
    letters
}

/// What is strummed is not plucked string by string: a chord with an arrow has the letter of
/// the one finger that plays all of it, or none.
fn strummed(sounds: &[Sound], score: &Score, letters: &mut [Option<RightFinger>]) {
    let mut first = 0;
    for layer in layers(sounds) {
        let own = &mut letters[first..first + layer.len()];
        first += layer.len();
        for (at, lowest) in layer.iter().enumerate() {
            let marks = &score.event_of(score.note(lowest.head)).marks;
            let strum = marks.iter().any(|mark| matches!(mark, EventMark::Strum(_)));
            if !strum || layer[..at].iter().any(|before| before.same_event(lowest)) {
                continue;
            }
            let event = |index: &usize| layer[*index].same_event(lowest);
            let chord: Vec<usize> = (at..layer.len()).filter(event).collect();
            let one = chord.iter().all(|index| layer[*index].right == lowest.right);
            let letter = chord.iter().find_map(|index| own[*index]).filter(|_| one);
            chord.iter().for_each(|index| own[*index] = None);
            own[at] = letter;
        }
    }
}

/// The letters that are not foretold, one p for a sweep of the thumb.
fn unswept(sounds: &[Sound], foretold: &[bool]) -> Vec<Option<RightFinger>> {
    let mut letters = Vec::with_capacity(sounds.len());
    for layer in layers(sounds) {
        let mut thumb = false;
        for sound in layer {
            let told = foretold.get(letters.len()).copied().unwrap_or_default();
            let swept = sound.right == Some(RightFinger::P) && std::mem::replace(&mut thumb, true);
            letters.push(sound.right.filter(|_| !told && !swept));
        }
    }
    letters
}

/// Whether a reader can foretell the letter of each sound.
fn foretold(sounds: &[Sound], score: &Score) -> Vec<bool> {
    let lowest = sounds.iter().map(|sound| sound.low_voice).max();
    let several = sounds.iter().any(|sound| Some(sound.voice) != lowest);
    let bass = lowest.filter(|_| several);
    let patterned = patterned(sounds, score);
    let mut told = Vec::with_capacity(sounds.len());
    let mut stream = Stream::default();
    for bar in sounds.chunk_by(|a, b| a.bar == b.bar) {
        let broken = is_broken_chord(bar);
        for layer in layers(bar) {
            let begin = told.len();
            stream.read(layer, bass, &mut told);
            for (offset, told) in told[begin..].iter_mut().enumerate() {
                *told = patterned[begin + offset] || *told && !broken;
            }
            whole_chords(layer, &mut told[begin..]);
        }
        let begin = told.len() - bar.len();
        close_holes(bar, bass, &patterned[begin..], &mut told[begin..]);
    }
    told
}

/// Prints the letters that stand alone between two that are printed, among the single
/// notes of a bar above the thumb. Chords have their own rule.
fn close_holes(bar: &[Sound], bass: Option<VoiceNumber>, patterned: &[bool], told: &mut [bool]) {
    let mut rows: Vec<Vec<usize>> = Vec::new();
    let mut from = 0;
    for layer in layers(bar) {
        let own = from..from + layer.len();
        from = own.end;
        let above = |at: &usize| {
            let lone_bass = layer.len() == 1 && bass == Some(bar[*at].low_voice);
            bar[*at].right.is_some_and(|finger| finger != RightFinger::P) && !lone_bass
        };
        let row: Vec<usize> = own.filter(above).collect();
        rows.extend((!row.is_empty()).then_some(row));
    }
    let struck = |at: usize| {
        let mut others = bar.iter().filter(|other| other.head != bar[at].head);
        others.any(|other| other.same_event(&bar[at]))
    };
    let printed: Vec<bool> = rows.iter().map(|row| row.iter().any(|at| !told[*at])).collect();
    for (at, row) in rows.iter().enumerate().skip(1) {
        let around = printed[at - 1] && printed.get(at + 1) == Some(&true);
        let single = rows[at - 1..].iter().take(3).all(|row| row.len() == 1 && !struck(row[0]));
        if around && single && !patterned[row[0]] {
            told[row[0]] = false;
        }
    }
}

/// Where one letter of a chord in a voice is printed, all are.
fn whole_chords(layer: &[Sound], told: &mut [bool]) {
    let printed: Vec<usize> = (0..layer.len()).filter(|index| !told[*index]).collect();
    for index in printed {
        for (sound, told) in layer.iter().zip(told.iter_mut()) {
            *told &= !sound.same_event(&layer[index]);
        }
    }
}

/// Whether the thumb and the fingers, or three fingers, take turns in a bar.
fn is_broken_chord(bar: &[Sound]) -> bool {
    let lone: Vec<RightFinger> = layers(bar)
        .filter_map(|layer| match layer {
            [sound] => sound.right,
            _ => None,
        })
        .collect();
    let has = |finger| lone.contains(&finger);
    let fingers = RightFinger::ALL[1..].iter().filter(|finger| has(**finger)).count();
    fingers == 3 || fingers > 0 && has(RightFinger::P)
}

/// What the reader has seen so far, onset by onset.
#[derive(Default)]
struct Stream {
    /// The single fingers of the last two onsets above the thumb; `None` for
    /// a chord.
    last: [Option<RightFinger>; 2],
    /// The last chord of so many fingers.
    chords: [Vec<RightFinger>; 6],
    /// Whether the thumb has been printed, and whether it played last.
    thumb_seen: bool,
    thumb_last: bool,
}

impl Stream {
    fn read(&mut self, layer: &[Sound], bass: Option<VoiceNumber>, told: &mut Vec<bool>) {
        let struck = layer.len() > 1 && layer.iter().all(|sound| sound.same_event(&layer[0]));
        let mut above: Vec<RightFinger> = layer
            .iter()
            .filter_map(|sound| sound.right)
            .filter(|finger| struck || *finger != RightFinger::P)
            .collect();
        above.dedup();
        let above_told = match above.as_slice() {
            [] => true,
            [one] => self.last[0] == Some(*one),
            chord => self.chords[chord.len().min(5)] == chord,
        };
        for sound in layer {
            let in_bass = bass == Some(sound.low_voice);
            told.push(match sound.right {
                None => true,
                Some(RightFinger::P) if !struck => self.thumb_seen && (in_bass || self.thumb_last),
                Some(_) => above_told && !(in_bass && layer.len() == 1),
            });
        }
        match above.as_slice() {
            [] => {}
            [one] => self.last = [self.last[1], Some(*one)],
            chord => {
                self.last = [None, None];
                self.chords[chord.len().min(5)] = chord.to_vec();
            }
        }
        self.thumb_last = layer.iter().any(|sound| sound.right == Some(RightFinger::P));
        self.thumb_seen |= self.thumb_last;
    }
}

/// Whether a pattern covers each sound.
fn patterned(sounds: &[Sound], score: &Score) -> Vec<bool> {
    let mut covered = vec![false; sounds.len()];
    let between = |from: Moment, to: Moment| {
        let start = sounds.partition_point(|sound| sound.onset < from);
        let end = sounds.partition_point(|sound| sound.onset < to);
        start..end
    };
    let alike = |from: Moment, length: Duration, least: usize| {
        let earlier = Moment::START + (from.since_start() - length);
        let (now, then) = (between(from, from + length), between(earlier, from));
        let hands = |range: std::ops::Range<usize>, start: Moment| {
            sounds[range].iter().map(move |sound| (sound.onset - start, sound.right))
        };
        let same = layers(&sounds[now.clone()]).count() >= least
            && hands(now.clone(), from).eq(hands(then, earlier));
        same.then_some(now)
    };
    for (index, bar) in score.bars().iter().enumerate() {
        let before = index.checked_sub(1).and_then(|before| score.bars().get(before));
        if before.is_some_and(|before| before.length == bar.length)
            && let Some(range) = alike(bar.start, bar.length, 2)
        {
            covered[range].fill(true);
            continue;
        }
        let half = Duration::new(1, 2).ratio();
        for unit in [bar.length.scaled(half), bar.metre.beat()] {
            let mut at = bar.start + unit;
            while unit > Duration::ZERO && at < bar.end_moment() {
                if let Some(range) = alike(at, unit, PATTERN_ONSETS) {
                    covered[range].fill(true);
                }
                at += unit;
            }
        }
    }
    covered
}

#[cfg(test)]
mod tests {
    use crate::marks::Density;
    use crate::trial::trial;

    fn shown(text: &str, density: Density) -> String {
        let marks = trial(text).marked(density);
        marks.right.iter().map(|mark| mark.map_or('·', |finger| finger.letter())).collect()
    }

    fn needed(text: &str) -> String {
        shown(text, Density::WhereNeeded)
    }

    const LINE: &str = "8 @1 3.0.0i 3.2.2m 2.0.0i 2.1.1m 2.3.4i 1.0.0m 1.1.1i 1.3.4m";

    #[test]
    fn every_letter_is_printed_or_none() {
        assert_eq!(shown(LINE, Density::EveryNote), "imimimim");
        assert_eq!(shown(LINE, Density::None), "········");
    }

    /// Common practice, no source: an arrow says how a chord is brushed.
    #[test]
    fn a_strum_has_the_letter_of_its_one_finger_or_none() {
        let every = |text: &str| shown(text, Density::EveryNote);
        assert_eq!(every("4 @1 5.3.3p+4.2.2i+3.0.0m+2.1.1a 1.0.0i"), "pimai");
        assert_eq!(every("4 @1 5.3.3p+4.2.2i+3.0.0m+2.1.1a^ 1.0.0i"), "····i");
        assert_eq!(every("4 @1 5.3.3i+4.2.2i+3.0.0i+2.1.1i^ 1.0.0m"), "i···m");
    }

    #[test]
    fn what_the_left_hand_makes_sound_has_no_letter() {
        let mut trial = trial(LINE);
        for joined in [1, 4, 5] {
            trial.fingering.tones[joined].joined = true;
        }
        let letters = |density| -> String {
            let marks = trial.marked(density);
            marks.right.iter().map(|mark| mark.map_or('·', |finger| finger.letter())).collect()
        };
        assert_eq!(letters(Density::EveryNote), "i·im··im");
        // The reader meets i, i, m, i, m: only what is plucked takes turns.
        assert_eq!(letters(Density::WhereNeeded), "i·im····");
    }

    #[test]
    fn an_alternation_is_printed_twice_then_not() {
        assert_eq!(needed(LINE), "im······");
    }

    #[test]
    fn a_broken_alternation_is_printed_where_it_breaks_until_it_runs_again() {
        let text = "8 @1 3.0.0i 3.2.2m 2.0.0i 2.1.1m 2.3.4m 1.0.0i 1.1.1m 1.3.4i";
        assert_eq!(needed(text), "im··mi··");
    }

    #[test]
    fn the_same_finger_twice_is_printed() {
        assert_eq!(needed("8 @1 2.1.1i 2.3.4m 2.1.1i 2.3.4m 2.3.4m"), "im··m");
    }

    /// House: a letter that could be foretold is printed between two that are not.
    #[test]
    fn a_row_has_no_hole_of_one_letter() {
        assert_eq!(needed("4 @1 2.1.1i 2.3.4m 2.1.1i 2.3.4i"), "imii");
        assert_eq!(needed("8 @1 2.1.1i 2.3.4m 2.1.1i 2.3.4m 2.3.4m"), "im··m", "of two it may");
        let bars = "4 @1 2.1.1i 2.3.4m 2.1.1i 2.3.4m | 2.3.4m 2.1.1i 2.3.4m 2.3.4m";
        assert_eq!(needed(bars), "im··mimm");
    }

    #[test]
    fn one_finger_on_slow_notes_is_printed_twice() {
        assert_eq!(needed("2 @1 2.1.1i 2.3.4i | 2.1.1i 2.3.4i | 2.1.1m 2.3.4i"), "ii··m·");
    }

    #[test]
    fn a_pattern_is_printed_once_in_its_first_half_bar() {
        let half = "4.0.0p 3.0.0i 2.1.1m 1.0.0a";
        let text = format!("8 @1 {half} {half} | {half} {half}");
        assert_eq!(needed(&text), "pima············");
    }

    #[test]
    fn a_pattern_of_a_bar_is_printed_in_its_first_bar() {
        let bar = "4.0.0p 3.0.0i 2.1.1m 1.0.0a 2.1.1m 3.0.0i 2.1.1m 3.0.0i";
        let text = format!("8 @1 {bar} | {bar}");
        let shown = needed(&text);
        assert_eq!(shown, "pimamimi········");
    }

    #[test]
    fn the_thumb_of_the_lower_voice_is_printed_once() {
        let text = "4 @1 2.1.1i 2.3.4m 2.1.1i 2.3.4m / 2 5.3.3p 5.3.3p";
        assert_eq!(needed(text), "im··p·");
    }

    #[test]
    fn a_finger_on_a_lone_bass_is_printed() {
        let text = "4 @1 2.1.1m r r 2.1.1m / 4 5.3.3p 5.3.3i r r";
        assert_eq!(needed(text), "m·pi");
    }

    #[test]
    fn a_run_of_the_thumb_is_printed_once() {
        assert_eq!(needed("4 @1 5.0.0p 5.2.2p 5.3.3p 4.0.0p"), "p···");
    }

    #[test]
    fn a_chord_has_all_its_letters_or_none() {
        let chord = |upper: &str| format!("5.3.3p+3.0.0{}", upper);
        let text = format!("4 @1 {} {} {} {}", chord("i"), chord("i"), chord("m"), chord("m"));
        assert_eq!(needed(&text), "pi··pm··");
    }

    #[test]
    fn a_sweep_of_the_thumb_has_one_letter() {
        let chord = "5.3.3p+4.2.2p+3.0.0i+2.1.1m+1.0.0a";
        assert_eq!(shown(&format!("1 @1 {chord}"), Density::EveryNote), "p·ima");
        assert_eq!(needed(&format!("2 @1 {chord} 5.3.3p")), "p·ima·");
    }

    #[test]
    fn a_chord_is_printed_when_its_fingers_change() {
        let ima = "3.0.0i+2.1.1m+1.0.0a";
        let im = "3.0.0i+2.1.1m";
        assert_eq!(needed(&format!("4 @1 {ima} {ima} {im} {ima}")), "ima···im···");
    }
}

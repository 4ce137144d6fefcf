//! Right-hand letters.
//!
//! *Every note*: the letter of every sound that is plucked; but where the thumb
//! sweeps several strings, one p at the lowest note, and a strum has no more than one letter. What a slur or a glissando
//! makes sound has none. *Where needed*: a letter is left out
//! where the reader can foretell it.
//!
//! - **Bars.** Of the single notes of a voice in a bar all have their letters or none, and
//!   the chords among them with them. They have none only if what a reader carries on gives
//!   exactly these fingers (see [`carried`](crate::carried)): an alternation that goes on, or
//!   the bar last printed with the same rhythm and i, m and a on the same strings. A lone bar
//!   without letters between two with letters has them too, unless it is the one before again.
//!   Where most bars of a voice have letters, so do up to four in a row that would have none,
//!   under the same condition, and where three quarters have them, all; so do all bars of a
//!   short row of chords, struck or broken in one way, where most have them; and the first of like
//!   bars has them where another has.
//! - **Pattern.** A half bar or a beat of a printed bar whose fingers fall at the same times
//!   as in the half bar or beat right before it, with the same fingers, i, m and a on the
//!   same strings, goes on with that pattern up to the end of the bar: nothing is printed.
//!   Halves and beats count from three onsets and two strings of a voice on: a note again is no
//!   pattern.
//! - **Chord.** In a bar of chords alone, a chord is foretold if the last chord of its voice
//!   had as many fingers and i, m and a on the same strings, or if the last one of as many
//!   notes had, in that bar or the one before. A lone
//!   chord without letters between two with letters has them too, unless it is a repeated one.
//!   If one letter of a chord is printed, all are.
//! - **Thumb.** A p is foretold in the lowest voice of a part with several voices, once it
//!   has been told there, and in a bar where all is p after a p.
//! - **Bass by a finger.** Where i, m or a plays in the lowest of several voices, the bar is
//!   printed in that voice, unless the bar before was the same.

use std::collections::BTreeSet;

use apoyando_fingering::RightFinger;
use apoyando_music::{Bar, Duration, EventMark, Moment, Score, VoiceNumber};

use crate::carried::{Pluck, Reader, on_string};
use crate::gaps::{first_of_like, gaps, holes, lone_bars, rows};
use crate::like::{Stretch, beside_before, units};
use crate::marks::Density;
use crate::sounds::{Sound, layers};

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
    let patterned = patterned(sounds, score);
    let mut told = vec![true; sounds.len()];
    let mut voices: Vec<VoiceNumber> = sounds.iter().map(|sound| sound.voice).collect();
    voices.sort_unstable();
    voices.dedup();
    for voice in voices {
        let plucked = |at: &usize| sounds[*at].voice == voice && sounds[*at].right.is_some();
        let line: Vec<usize> = (0..sounds.len()).filter(plucked).collect();
        let mut chords: Vec<(Vec<usize>, bool)> = Vec::new();
        let mut reader = Reader::new(several && Some(voice) == lowest);
        let mut read = 0;
        let mut bars: Vec<(&[usize], bool)> = Vec::new();
        for bar in line.chunk_by(|a, b| sounds[*a].bar == sounds[*b].bar) {
            let index = sounds[bar[0]].bar.0 as usize;
            let begin = score.bars().get(index).map(|bar| bar.start);
            if (read..=index).any(|index| is_met_from_two(score.bars(), index)) {
                reader.forget();
            }
            read = index + 1;
            let events: Vec<&[usize]> =
                bar.chunk_by(|a, b| sounds[*a].same_event(&sounds[*b])).collect();
            let plucks = events.iter().map(|event| {
                let sounds = event.iter().map(|at| &sounds[*at]);
                Pluck::of(sounds, begin.unwrap_or(Moment::START))
            });
            let printed = reader.read(sounds[bar[0]].bar, plucks.collect());
            for (event, printed) in events.iter().zip(printed) {
                let covered = event.iter().all(|at| patterned[*at]);
                event.iter().for_each(|at| told[*at] = !printed || covered);
                chords.push((event.to_vec(), printed && !covered));
            }
            bars.push((bar, bar.iter().any(|at| !told[*at])));
        }
        for bar in lone_bars(sounds, &bars) {
            bar.iter().for_each(|at| told[*at] &= patterned[*at]);
        }
        for hole in holes(sounds, &chords) {
            hole.iter().for_each(|at| told[*at] = false);
        }
        rows(sounds, score, &bars, &patterned, &mut told);
        first_of_like(sounds, score, &bars, &mut told);
        gaps(sounds, score, several && Some(voice) == lowest, &bars, &patterned, &mut told);
    }
    told
}

/// Whether a bar is played after two others: where a repeat begins, and at a second ending,
/// which is not played after the bar before it.
fn is_met_from_two(bars: &[Bar], index: usize) -> bool {
    let ending = |index: usize| bars.get(index).and_then(|bar| bar.ending.as_ref());
    let before = index.checked_sub(1).and_then(ending);
    bars.get(index).is_some_and(|bar| bar.repeat_start)
        || before.is_some() && ending(index).is_some_and(|ending| ending.first)
}

/// Whether the pattern of the half bar or the beat before covers each sound.
fn patterned(sounds: &[Sound], score: &Score) -> Vec<bool> {
    let mut covered = vec![false; sounds.len()];
    let alike = |at: Moment, unit: Duration| {
        let [now, then] = beside_before(sounds, at, unit)?;
        let hands = |(range, start): Stretch| {
            sounds[range].iter().map(move |sound| {
                (sound.onset - start, sound.right.map(|finger| on_string(finger, sound)))
            })
        };
        // A voice that has more than one string.
        let own = sounds[now.0.clone()].iter();
        let strings: BTreeSet<_> =
            own.filter_map(|sound| Some((sound.voice, sound.placement?.place.string))).collect();
        let moves = strings.iter().zip(strings.iter().skip(1)).any(|(a, b)| a.0 == b.0);
        (moves && hands(now.clone()).eq(hands(then))).then_some(now.0)
    };
    for (unit, begins) in score.bars().iter().flat_map(units) {
        // What goes on goes on to the end of the bar, so that there is no gap in it.
        for range in begins.iter().rev().map_while(|at| alike(*at, unit)) {
            covered[range].fill(true);
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
        assert_eq!(letters(Density::WhereNeeded), "i·im··im");
    }

    /// House: all letters of a bar or none.
    #[test]
    fn an_alternation_is_printed_in_its_first_bar() {
        let bar = "3.2.2i 2.0.0m 2.1.1i 2.3.3m";
        let other = "2.1.1i 2.0.0m 3.2.2i 3.0.0m";
        assert_eq!(needed(&format!("4 @1 {bar} | {other} | {bar}")), "imim········");
        // It goes on from an odd bar.
        let odd = "2.1.1i 2.0.0m 3.2.2i";
        let on = "3.2.2m 2.0.0i 2.1.1m";
        assert_eq!(needed(&format!("4 @1 {odd} | {on} | 2 2.1.1i | 2.1.1m")), "imi·····");
    }

    /// House: one bare bar in a lettered line looks forgotten.
    #[test]
    fn a_lone_bar_between_two_with_letters_has_them_too() {
        let (one, other) = ("3.2.2i 2.0.0m 2.1.1i 2.3.3m", "2.1.1i 2.0.0m 3.2.2i 3.0.0m");
        let third = "2.1.1a 2.0.0m 3.2.2i 3.0.0m";
        assert_eq!(needed(&format!("4 @1 {one} | {other} | {third}")), "imimimimamim");
        // The bar before again, and two of them.
        assert_eq!(needed(&format!("4 @1 {one} | {one} | {third}")), "imim····amim");
        let two = needed(&format!("4 @1 {one} | {other} | {one} | {third}"));
        assert_eq!(two, "imim········amim");
    }

    /// House: where nearly every bar has its letters, a line without them looks forgotten.
    #[test]
    fn a_voice_most_of_which_has_letters_has_no_gap_of_a_line() {
        let (even, odd) = ("3.2.2i 2.0.0m 2.1.1i 2.3.3m", "2.1.1i 2.0.0m 2.1.1i 2.3.3m");
        let other = |finger: &str| format!("2.1.1{finger} 2.0.0{finger} 3.2.2i 3.0.0m");
        let lettered = |count: usize| -> Vec<String> {
            (0..count).map(|at| other(["a", "p"][at % 2])).collect()
        };
        let text = |before: usize, gap: usize| {
            let gap = (0..gap).map(|at| [even, odd][at % 2].to_owned());
            let bars: Vec<String> = lettered(before).into_iter().chain(gap).collect();
            needed(&format!("4 @1 {}", bars.join(" | ")))
        };
        // The first bar of the gap has its letters: it begins to take turns.
        assert!(!text(4, 4).contains('·'));
        assert!(text(3, 5).ends_with("····"), "not most of them");
        assert!(text(8, 6).ends_with("····"), "five without");
        assert!(!text(18, 6).contains('·'), "three quarters with");
        // The bar before again.
        let again = format!("4 @1 {} | {even} | {even} | {odd}", lettered(5).join(" | "));
        assert!(needed(&again).ends_with("imim····imim"), "{}", needed(&again));
    }

    /// House: a row with a few bars left out looks unfinished.
    #[test]
    fn a_short_row_of_chords_most_of_which_have_letters_has_all() {
        let chord = |strings: [u8; 4], fret: u8| -> String {
            let fingers = strings.iter().zip("pima".chars());
            let notes = fingers.map(|(string, finger)| format!("{string}.{fret}.1{finger}"));
            notes.collect::<Vec<_>>().join("+")
        };
        let (high, low) = ([4, 3, 2, 1], [5, 4, 3, 2]);
        let row = |strings: &[[u8; 4]], joined: &str, value: u8| {
            let chords = strings.iter().zip(1..).map(|(strings, fret)| chord(*strings, fret));
            let bars: Vec<String> = chords.map(|it| it.replace('+', joined)).collect();
            needed(&format!("{value} @1 {}", bars.join(" | ")))
        };
        for (joined, value) in [("+", 1), (" ", 4)] {
            assert_eq!(row(&[high; 4], joined, value), "pima············");
            assert_eq!(row(&[high, high, high, low], joined, value), "pima········pima");
            let most = row(&[high, low, low, high, low], joined, value);
            assert_eq!(most, "pima".repeat(5));
        }
    }

    #[test]
    fn among_many_letters_a_bar_of_the_thumb_has_all_of_them() {
        let bar = |finger: &str| format!("2.1.1{finger} 2.0.0{finger} 3.2.2i 3.0.0m");
        let row = [bar("a"), bar("m"), bar("a"), bar("m"), bar("a")].join(" | ");
        let thumb = "5.0.0p 5.2.2p 5.3.3p 4.0.0p";
        let walk = format!("{thumb} | 4.0.0p 5.3.3p 5.2.2p 5.0.0p");
        assert!(needed(&format!("4 @1 {row} | {walk}")).ends_with("pppppppp"));
        assert!(needed(&format!("4 @1 {} | {walk}", bar("a"))).ends_with("pppp····"));
    }

    #[test]
    fn what_is_told_once_does_not_fill_a_gap() {
        let (one, other) = ("2.1.1i+1.0.0m", "2.1.1m+1.0.0a");
        let row = [one, other, one, other, one].join(" | ");
        let shown = needed(&format!("1 @1 {row} | 2 {one} {one}"));
        assert!(shown.ends_with("imim··"), "the same chord at once: {shown}");
        let upper = ["2.1.1m 2.3.3i"; 9].join(" | ");
        let bass = ["5.3.3p 5.2.2i", "5.2.2i 5.3.3p"];
        let bass: Vec<&str> = bass.into_iter().cycle().take(5).collect();
        let thumb = ["5.3.3p 5.2.2p", "5.2.2p 5.3.3p"].repeat(2);
        let low = [bass, thumb].concat().join(" | ");
        let shown = needed(&format!("2 @1 {upper} / {low}"));
        assert!(shown.ends_with("pi················"), "{shown}");
    }

    /// i m after a bar that leads there, and after one that does not.
    #[test]
    fn the_first_of_like_bars_has_letters_where_another_has() {
        let (bar, to, not) = ("2.1.1i 2.3.3m", "2.1.1i 2.0.0m", "2.0.0m 2.0.0m");
        let filler = [to; 12].join(" | ");
        let text = format!("2 @1 {to} | {bar} | {filler} | {not} | {bar} | {to} | {to}");
        let shown = needed(&text);
        assert!(shown.starts_with("imim··"), "{shown}");
    }

    /// Before a repeat the first time the bar before it, then its own end, and the second
    /// ending after the bar before the first.
    #[test]
    fn nothing_is_carried_on_where_two_bars_lead() {
        let bar = "2.1.1i 2.3.3m 2.1.1i 2.3.3m";
        assert_eq!(needed(&format!("4 @1 {bar} |: {bar} | {bar}")), "imimimim····");
        let endings = format!("4 @1 {bar} |1 {bar} |2 {bar} | {bar}");
        assert_eq!(needed(&endings), "imim····imim····");
    }

    #[test]
    fn two_notes_begin_an_alternation() {
        assert_eq!(needed("2 @1 3.0.0m 2.0.0i | 4 2.1.1m 2.3.3i 1.0.0m"), "mi···");
        assert_eq!(needed("1 @1 3.0.0m | 2.0.0i | 2.1.1m | 2.1.1i"), "mi··");
    }

    #[test]
    fn a_bar_in_which_an_alternation_breaks_is_printed_in_full() {
        let bar = "2.1.1i 2.3.3m 1.0.0i 1.1.1m";
        let same = "1.0.0i 2.3.3m 2.1.1m 2.0.0i";
        assert_eq!(needed(&format!("4 @1 {bar} | {same} | {bar}")), "imimimmiimim");
        let late = "1.0.0m 2.3.3i 2.1.1m 2.0.0i";
        assert_eq!(needed(&format!("4 @1 {bar} | {late} | {late}")), "imimmimi····");
    }

    /// It would be carried on in turns.
    #[test]
    fn a_bar_that_begins_with_the_finger_before_is_printed() {
        let bar = "2.1.1i 2.3.3m 2.1.1i";
        assert_eq!(needed(&format!("4 @1 {bar} | {bar}")), "imiimi");
    }

    #[test]
    fn after_three_fingers_two_of_them_are_printed() {
        let text = "4 @1 1.0.0a 2.1.1m 3.0.0i | 2 2.1.1m 3.0.0i | 4 2.1.1m 2.3.3i 1.0.0m";
        assert_eq!(needed(text), "amimi···");
    }

    #[test]
    fn a_bar_is_printed_where_other_strings_or_another_rhythm_ask_for_it() {
        let bar = |strings: [u8; 3]| {
            let [a, m, i] = strings;
            format!("{a}.0.0a {m}.0.0m {i}.0.0i")
        };
        let (high, low) = (bar([1, 2, 3]), bar([2, 3, 4]));
        assert_eq!(needed(&format!("4 @1 {high} | {high} | {low} | {low}")), "ami···ami···");
        let rhythm = "4 1.0.0a 2 2.0.0m 4 3.0.0i";
        assert_eq!(needed(&format!("4 @1 {high} | {rhythm} | 4 {high}")), "amiami···");
    }

    #[test]
    fn a_pattern_is_printed_again_after_four_bars_of_others() {
        let (bar, other) = ("4 1.0.0a 2.0.0m 3.0.0i", "4 1.0.0a 2 2.0.0m 4 3.0.0i");
        let after = |bars: usize| {
            let others = vec![other; bars].join(" | ");
            let shown = needed(&format!("4 @1 {bar} | {others} | {bar}"));
            shown.ends_with("ami")
        };
        assert!(!after(3));
        assert!(after(4));
    }

    #[test]
    fn one_finger_on_slow_notes_is_carried_on() {
        assert_eq!(needed("2 @1 2.1.1i 2.3.4i | 2.1.1i 2.3.4i | 2.1.1m 2.3.4i"), "ii··mi");
    }

    #[test]
    fn a_pattern_is_printed_once_in_its_first_half_bar() {
        let half = "4.0.0p 3.0.0i 2.1.1m 1.0.0a";
        let text = format!("8 @1 {half} {half} | {half} {half}");
        assert_eq!(needed(&text), "pima············");
        // On one string it is none, also over a bass.
        let half = "8 1.0.0a 1.0.0i 4 1.0.0m";
        assert_eq!(needed(&format!("@1 {half} {half}")), "aimaim");
        assert_eq!(needed(&format!("@1 {half} {half} / 2 5.0.0p 5.0.0p")), "aimaimp·");
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
        assert_eq!(needed(text), "imimp·");
    }

    #[test]
    fn a_finger_on_a_lone_bass_is_printed() {
        let text = "4 @1 2.1.1m r r 2.1.1m / 4 5.3.3p 5.3.3i r r";
        assert_eq!(needed(text), "mmpi");
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
        assert_eq!(needed(&format!("2 @1 {chord} 5.3.3p")), "p·imap");
    }

    #[test]
    fn a_chord_is_printed_when_its_fingers_change() {
        let ima = "3.0.0i+2.1.1m+1.0.0a";
        let im = "3.0.0i+2.1.1m";
        assert_eq!(needed(&format!("4 @1 {ima} {ima} {im} {ima}")), "ima···im···");
        assert_eq!(needed(&format!("1 @1 {ima} | {ima} | {im} | {im} | {ima}")), "ima···im··ima");
    }

    /// Six strings after three, the same three fingers with the thumb.
    #[test]
    fn a_chord_is_printed_when_its_fingers_or_strings_change() {
        let whole = "6.3.3p+5.2.2p+4.0.0p+3.0.0i+2.0.0m+1.1.1a";
        let most = "5.3.3p+4.2.2p+3.0.0i+2.1.1m+1.0.0a";
        // However many strings the thumb sweeps.
        assert_eq!(needed(&format!("1 @1 {most} | {whole}")), "p·ima······");
        let low = "4.3.3p+3.2.2i+2.1.1m";
        let high = "4.3.3p+2.1.1i+1.1.1m";
        assert_eq!(needed(&format!("1 @1 {low} | {high}")), "pimpim");
        // The thumb may change its string.
        let other = "5.0.0p+3.2.2i+2.1.1m";
        assert_eq!(needed(&format!("1 @1 {low} | {other}")), "pim···");
    }

    /// E7 struck, broken on ④ ③ ②, and struck again.
    #[test]
    fn a_chord_has_its_letters_again_after_one_broken_on_other_strings() {
        let chord = "1 6.0.0p+5.2.2p+4.0.0p+3.1.1i+2.0.0m+1.0.0a";
        let broken = |strings: &str| needed(&format!("{chord} | 4 6.0.0p {strings} | {chord}"));
        assert!(broken("4.0.0i 3.1.1m 2.0.0a").ends_with("pimap··ima"));
        assert!(broken("3.1.1i 2.0.0m 1.0.0a").ends_with("pima······"));
    }

    #[test]
    fn a_row_of_chords_has_no_hole_of_one() {
        let (high, low) = ("4.3.3p+3.2.2i+2.1.1m", "6.3.3p+5.2.2i+4.0.0m");
        let row = |hole: &str| needed(&format!("1 @1 2.1.1i+1.0.0m | {high} | {hole} | {low}"));
        assert_eq!(row("5.0.0p+3.2.2i+2.1.1m"), "impimpimpim");
        assert_eq!(row(high), "impim···pim", "the same again");
    }

    #[test]
    fn a_pattern_of_beats_leaves_no_gap() {
        let (first, other) = ("4.0.0p 3.0.0i 2.1.1m 1.0.0a", "4.0.0p 3.0.0i 2.1.1a 1.0.0m");
        let bar = |beats: [&str; 4]| needed(&format!("16 @1 {}", beats.join(" ")));
        assert_eq!(bar([first; 4]), "pima············");
        assert_eq!(bar([first, other, other, other]), "pimapiam········");
        assert_eq!(bar([first, first, first, other]), "pimapimapimapiam");
    }

    #[test]
    fn a_pattern_on_other_strings_is_printed() {
        let half = |m: &str| format!("6.0.0p 4.0.0i {m}m 1.0.0a");
        let text = format!("8 @1 {} {}", half("3.0.0"), half("2.0.0"));
        assert_eq!(needed(&text), "pimapima");
        // The thumb may change its string.
        assert_eq!(
            needed("8 @1 6.0.0p 3.0.0i 2.0.0m 1.0.0a 5.0.0p 3.0.0i 2.0.0m 1.0.0a"),
            "pima····"
        );
    }
}

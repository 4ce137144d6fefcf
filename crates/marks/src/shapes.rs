//! Chords, struck in a row or broken, are read as shapes: some digits of a shape, or those
//! of some chords of a row, leave a reader in doubt about the others (common practice, no
//! source).
//!
//! - *Broken.* Three onsets or more in a bar, one after the other, of which each is on other
//!   strings than all before: if one of the stopped sounds has its digit, or one finger stops
//!   several of three or more, all that are stopped have theirs.
//! - *Gathered.* A chord that is struck in the bar after one in which its shape was broken and
//!   its fingers were told: all have theirs if a stopped sound was not among the broken ones,
//!   else none has.
//! - *In a row.* Chords of three notes or more with nothing between them: if one has its
//!   digits, all have.
//!
//! What is printed already, in the bar or the one before, is not printed again.

use apoyando_fingering::{Fingering, Placement};

use crate::broken::{is_one_place, is_shape};
use crate::sounds::{CHORD, Sound, is_chord, layers};

/// Bars after the one where it was printed in which a shape is remembered.
const BARS: u32 = 1;

/// Whether the digit of a sound is printed where its pitch was last played, so, in the same
/// bar or the one before.
pub(crate) fn is_shown(sounds: &[Sound], needed: &[bool], index: usize) -> bool {
    let sound = &sounds[index];
    sounds[..index]
        .iter()
        .zip(needed)
        .rev()
        .take_while(|(earlier, _)| earlier.bar.0 + BARS >= sound.bar.0)
        .filter(|(earlier, _)| earlier.key == sound.key)
        .take_while(|(earlier, _)| earlier.placement == sound.placement)
        .any(|(_, needed)| *needed)
}

/// Adds the digits that broken chords want.
pub(crate) fn broken(sounds: &[Sound], fingering: &Fingering, needed: &mut [bool]) {
    let mut at = 0;
    while at < sounds.len() {
        let mut end = at;
        let mut onsets = 0;
        for layer in layers(&sounds[at..]) {
            let before = &sounds[at..end];
            if layer[0].bar != sounds[at].bar || !layer.iter().all(|it| on_new_string(it, before)) {
                break;
            }
            end += layer.len();
            onsets += 1;
        }
        let stopped: Vec<usize> = (at..end).filter(|at| sounds[*at].is_stopped()).collect();
        let wanted = stopped.iter().any(|at| needed[*at]) || shares(sounds, &stopped, fingering);
        if onsets >= CHORD && wanted {
            for at in stopped {
                needed[at] |= !is_shown(sounds, needed, at);
            }
        }
        // The next may begin with the last onset of this one.
        at = end.max(at + 1);
    }
}

/// Whether a sound is on another string than those before it.
fn on_new_string(sound: &Sound, before: &[Sound]) -> bool {
    let string = |sound: &Sound| sound.placement.map(|placement| placement.place.string);
    string(sound).is_some() && before.iter().all(|other| string(other) != string(sound))
}

/// Whether one finger stops two of three sounds or more without a barre.
fn shares(sounds: &[Sound], stopped: &[usize], fingering: &Fingering) -> bool {
    let finger = |at: &usize| sounds[*at].placement.and_then(|placement| placement.finger);
    let barre = stopped.iter().any(|at| {
        let onset = sounds[*at].onset;
        fingering.barres.iter().any(|span| (span.from..=span.to).contains(&onset))
    });
    !barre
        && stopped.len() >= CHORD
        && stopped
            .iter()
            .enumerate()
            .any(|(rank, at)| stopped[..rank].iter().any(|other| finger(other) == finger(at)))
}

/// Gives chords that gather what was broken before them their digits if they add something
/// stopped to it, or takes them: of the bar before, or of all bars of the part so far if they are
/// one shape. Those that are fixed stay.
pub(crate) fn gathered(sounds: &[Sound], fixed: &[bool], needed: &mut [bool]) {
    let mut at = 0;
    for layer in layers(sounds) {
        let chord = at..at + layer.len();
        at = chord.end;
        let bar = layer[0].bar.0;
        let last = sounds[..chord.start].partition_point(|it| it.bar.0 + 1 < bar)..chord.start;
        let is_one = |from: usize| {
            sounds[from..chord.start].chunk_by(|a, b| a.bar == b.bar).all(is_shape)
                && is_one_place(&sounds[from..chord.end])
        };
        let gathers = is_chord(layer)
            && sounds[last.clone()].iter().all(|it| it.bar.0 < bar)
            && !last.is_empty()
            && is_one(last.start)
            && !fixed[chord.clone()].contains(&true);
        if !gathers {
            continue;
        }
        let before = if is_one(0) { 0..last.end } else { last };
        if needed[before.clone()].contains(&true) {
            let was =
                |it: &Sound| sounds[before.clone()].iter().any(|on| on.placement == it.placement);
            needed[chord].fill(layer.iter().any(|it| it.is_stopped() && !was(it)));
        }
    }
}

/// Adds the digits that rows of chords want.
pub(crate) fn in_rows(sounds: &[Sound], needed: &mut [bool]) {
    let mut row: Vec<std::ops::Range<usize>> = Vec::new();
    let mut at = 0;
    for layer in layers(sounds) {
        let chord = at..at + layer.len();
        at = chord.end;
        if is_chord(layer) {
            row.push(chord);
        } else {
            of_row(sounds, &std::mem::take(&mut row), needed);
        }
    }
    of_row(sounds, &row, needed);
}

fn of_row(sounds: &[Sound], row: &[std::ops::Range<usize>], needed: &mut [bool]) {
    let stops = |chord: &std::ops::Range<usize>| -> Vec<Option<Placement>> {
        sounds[chord.clone()].iter().map(|sound| sound.placement).collect()
    };
    if row.len() < 2 || !row.iter().any(|chord| needed[chord.start]) {
        return;
    }
    for (rank, chord) in row.iter().enumerate() {
        let bar = sounds[chord.start].bar.0;
        let known = row[..rank].iter().any(|other| {
            sounds[other.start].bar.0 + BARS >= bar
                && needed[other.start]
                && stops(other) == stops(chord)
        });
        if !known {
            needed[chord.clone()].fill(true);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::digits as needed;

    #[test]
    fn a_broken_chord_has_the_digits_of_all_that_is_stopped_or_none() {
        // C after its first bar, and with 4 in the bass.
        let (own, other) = ("5.3.3 3.0.0 2.1.1 1.0.0", "5.3.4 3.0.0 2.1.1 1.0.0");
        let open = "4.0.0 3.0.0 4.0.0 3.0.0";
        let third = |bar: &str| needed(&format!("4 @1 {own} | {open} | {open} | {bar}"));
        assert_eq!(third(own), "3·1·············");
        assert_eq!(third(other), "3·1·········4·1·");
        // What is printed is remembered.
        let half = format!("4 @1 {own} | 8 {other} 2.1.1 2.3.3 2.1.1 2.3.3");
        assert_eq!(needed(&half), "3·1·4·······");
        // A turn on one string is none.
        assert_eq!(needed("4 @1 1.0.0 2.1.1 2.3.4 1.0.0"), "·14·");
    }

    /// The shape of D with 1, 2 and 1.
    #[test]
    fn a_broken_chord_in_which_a_finger_goes_about_has_its_digits() {
        let scale = "6.3.2 5.2.1 5.3.2 4.2.1";
        let broken = "4.0.0 3.2.1 2.3.2 1.1.1";
        assert!(needed(&format!("4 @2 {scale} | {broken}")).ends_with("121"));
        let apart = "4.0.0 3.2.1 2.3.2 1.0.0";
        assert!(needed(&format!("4 @2 {scale} | {apart}")).ends_with("··0"));
        // Two notes are no shape.
        assert_eq!(needed("4 @1 2.1.1 2.3.3 2.3.3 2.1.1 | 4.3.3 3.0.0 1.0.0 6.3.3"), "1·······");
    }

    /// The chord of B7 with D♯ on ④, which was not broken; C, of which all was, in two bars.
    #[test]
    fn a_chord_with_more_than_was_broken_before_it_has_its_digits_and_another_none() {
        let bar = "5.2.2 3.2.3 2.0.0 1.2.4";
        let seventh = needed(&format!("4 @1 {bar} | 1 5.2.2+4.1.1+3.2.3+2.0.0+1.2.4"));
        assert_eq!(seventh, "230421304");
        let same = needed(&format!("4 @1 {bar} | 1 5.2.2+3.2.3+2.0.0+1.2.4"));
        assert_eq!(same, "2304····");
        let (low, high) = ("5.3.4 3.0.0 2.1.1 1.0.0", "4.2.3 3.0.0 2.1.1 1.0.0");
        let chord = "1 5.3.4+4.2.3+3.0.0+2.1.1+1.0.0";
        let row = format!("4 @1 {high} | {low} | {low}");
        assert!(needed(&format!("{row} | {chord}")).ends_with("·····"));
        let other = "4.0.0 3.2.2 2.3.4 1.1.1";
        let after = needed(&format!("4 @1 {other} | {high} | {low} | {chord}"));
        assert!(after.ends_with("43010"), "{after}");
    }

    #[test]
    fn chords_in_a_row_all_have_their_digits_or_none() {
        let (own, other) = ("5.3.3+4.2.2+2.1.1", "4.2.1+3.2.2+2.1.1");
        let first = "2 @1 2.1.1 2.3.3 | 1 ";
        assert_eq!(needed(&format!("{first} {own} | {own} | {own}")), "1··········");
        assert_eq!(needed(&format!("{first} {own} | {other}")), "1·321121");
        // A note between them, and what is repeated.
        assert_eq!(needed(&format!("{first} {own} | 1.0.0 | {other}")), "1·····121");
        assert_eq!(needed(&format!("{first} {other} | {other} | {own} | {own}")), "1·121···321···");
    }
}

//! Sections 1 and 2.

use apoyando_fingering::{PinAuthor, PinRule, StringSet};
use apoyando_fretboard::StringNumber;
use apoyando_music::{Duration, JoinKind, Moment};

use super::kit::Case;
use crate::heard::{Heard, Kind, Role, hear, hurry, milliseconds};
use crate::played::{phrase_ends, play};

fn strings(numbers: &[u8]) -> PinRule {
    PinRule::Strings(numbers.iter().filter_map(|n| StringNumber::new(*n)).collect::<StringSet>())
}

fn moment(sixteenths: i64) -> Moment {
    Moment::after_start(Duration::new(sixteenths, 16))
}

fn keys(heard: &Heard) -> Vec<i16> {
    heard.sounds.iter().map(|sound| sound.key).collect()
}

#[test]
fn hurry_has_four_steps() {
    let steps: Vec<i64> = [149, 150, 299, 300, 599, 600].map(hurry).into();
    assert_eq!(steps, [4, 3, 3, 2, 2, 1]);
}

/// A quarter lasts 833 ms at 72 (60 000 / 72 = 833.3) and 500 ms at 120; the
/// mark at the earlier onset counts, and one of nothing a minute is none.
#[test]
fn times_are_those_of_the_mark_at_the_earlier_onset() {
    let case = Case::new(&["E4.q E4.q | E4.q E4.q"]).at(1, 120);
    let ms = |case: &Case, from, to| milliseconds(&case.problem(), moment(from), moment(to));
    assert_eq!([ms(&case, 0, 4), ms(&case, 4, 8), ms(&case, 8, 12)], [833, 833, 500]);
    assert_eq!(ms(&case, 4, 12), 1666);
    let none = case.at(0, 60).at(1, 0);
    assert_eq!([ms(&none, 0, 4), ms(&none, 8, 12)], [1000, 833]);
}

/// Stemmed both ways: one sound, as long as the longer, melody by the first
/// voice.
#[test]
fn tones_of_one_key_and_onset_are_one_sound() {
    let case = Case::new(&["E4.q G4.q", "E4.h"]);
    let heard = hear(&case.problem());
    assert_eq!(keys(&heard), [64, 67]);
    assert_eq!(heard.sounds[0].tones.len(), 2);
    assert_eq!((heard.sounds[0].role, heard.sounds[0].written), (Role::Melody, moment(8)));
}

#[test]
fn pins_on_no_common_string_part_them() {
    let unison = || Case::new(&["E4.h", "E4.h"]);
    let count = |case: &Case| hear(&case.problem()).sounds.len();
    let apart = unison().pinned(0, strings(&[1])).pinned(1, strings(&[2]));
    assert_eq!(count(&apart), 2);
    assert_eq!(count(&unison().pinned(0, strings(&[1, 2])).pinned(1, strings(&[2]))), 1);
    assert_eq!(count(&unison().pinned(0, strings(&[1]))), 1);
    // Two pins of the author hold together: ② is left, and nothing in common.
    let both = apart.pinned(0, strings(&[2, 3]));
    assert_eq!(count(&both), 2);
    // An imported pin gives way to the author's on the same tone.
    let mut imported = unison().pinned(0, strings(&[1])).pinned(1, strings(&[2]));
    imported.pins.0[1].author = PinAuthor::Import;
    assert_eq!(count(&imported), 2);
    assert_eq!(count(&imported.pinned(1, strings(&[1, 2]))), 1);
}

#[test]
fn one_event_with_a_key_twice_is_a_unison_on_two_strings() {
    let heard = hear(&Case::new(&["D#4+Eb4.h"]).problem());
    assert_eq!(keys(&heard), [63, 63]);
    // The event goes from low to high: its last note is the melody.
    assert_eq!([heard.sounds[0].role, heard.sounds[1].role], [Role::Inner, Role::Melody]);
}

#[test]
fn a_sound_ends_when_its_key_is_struck_again() {
    let heard = hear(&Case::new(&["E4.h F4.h", "r.q E4.q E4.h"]).problem());
    assert_eq!(keys(&heard), [64, 64, 64, 65]);
    let ends: Vec<Moment> = heard.sounds.iter().map(|s| s.written).collect();
    assert_eq!(ends, [moment(4), moment(8), moment(16), moment(16)]);
    // What ends at an onset is not wanted there.
    assert!((0..3).all(|layer| heard.wanted(layer).is_empty()));
}

#[test]
fn roles_are_melody_bass_and_inner() {
    let roles = |voices: &[&str]| -> Vec<Role> {
        hear(&Case::new(voices).problem()).sounds.iter().map(|s| s.role).collect()
    };
    use Role::{Bass, Inner, Melody};
    assert_eq!(roles(&["C4+E4.h"]), [Inner, Melody]);
    assert_eq!(roles(&["C4+E4+G4.h"]), [Bass, Inner, Melody]);
    assert_eq!(roles(&["G4.h", "C3+E3.h"]), [Bass, Inner, Melody]);
    // A voice of rests is none: the second voice is not the highest of two.
    assert_eq!(roles(&["r.h", "C3+E3.h"]), [Inner, Inner]);
    assert_eq!(roles(&["G4.h", "E3.h", "r.h"]), [Bass, Melody]);
    assert_eq!(roles(&["G4.h", "E3.h", "E3.h"]), [Bass, Melody], "inner, and bass as well");
}

#[test]
fn joins_lead_from_sound_to_sound() {
    let heard = hear(&Case::new(&["C4.q( D4.q) E4.q< G4.q>"]).problem());
    let from: Vec<_> = heard.sounds.iter().map(|sound| sound.from).collect();
    assert_eq!(from, [None, Some((0, JoinKind::Slur)), None, Some((2, JoinKind::Glide))]);
    // Of two tones that are joined the first decides: that of voice 1.
    let heard = hear(&Case::new(&["C4.q( D4.q)", "F4.q< D4.q>"]).problem());
    assert_eq!(heard.sounds[2].from, Some((0, JoinKind::Slur)));
}

#[test]
fn harmonics_are_kinds_of_sounds() {
    let heard = hear(&Case::new(&["E4.qo B4.qa E4.q"]).problem());
    let kinds: Vec<Kind> = heard.sounds.iter().map(|sound| sound.kind).collect();
    assert_eq!(kinds, [Kind::Natural, Kind::Artificial, Kind::Plain]);
}

/// C major broken in eighths rings on to the next bar, but the E that is struck
/// again to then, and the G that a slur leads from to where it leads.
#[test]
fn broken_chords_ring_on() {
    let heard = hear(&Case::new(&["C3.e E3.e G3.e( C4.e) E3.e G3.e C4.q | D4.w"]).problem());
    assert_eq!(heard.figure[..7], [Some(0); 7]);
    assert_eq!(heard.figure[7], None);
    let wanted: Vec<Moment> = heard.sounds.iter().map(|sound| sound.wanted).collect();
    let expected = [16, 8, 6, 12, 16, 16, 16, 32].map(moment);
    assert_eq!(wanted, expected);
}

#[test]
fn what_is_no_chord_is_no_figure() {
    let figure = |voices: &[&str]| hear(&Case::new(voices).problem()).figure;
    assert_eq!(figure(&["C4.e D4.e E4.e F4.e"]), [None; 4]);
    assert_eq!(figure(&["C3.q E3.q G3.q C4.q"]), [None; 4]);
    assert_eq!(figure(&["C3.e E3.e C3.e E3.e"]), [None; 4]);
    // B flat and C are of one chord and too near.
    assert_eq!(figure(&["C4.e E4.e Bb4.e C5.e"]), [Some(0), Some(0), Some(0), None]);
    // The taking begins again at the second layer.
    assert_eq!(figure(&["D4.e C4.e E4.e G4.e"]), [None, Some(1), Some(1), Some(1)]);
    // A bass that sounds on counts: C sharp under C E G is no chord.
    assert_eq!(figure(&["r.e C4.e E4.e G4.e", "C#3.h"]), [None; 4]);
    // F C E is one, without its A, and with G it is none.
    let three = [Some(0), Some(0), Some(0), None];
    assert_eq!(figure(&["r.e C4.e E4.e G4.e", "F3.h"]), three);
    assert_eq!(figure(&["r.e C4.e E4.e G4.e", "A2.h"]), [Some(0); 4]);
}

/// |: A |1 B :|2 C: played A B A C. From B the way goes back, from A on to C.
#[test]
fn endings_are_cuts_and_seams() {
    let case = Case::new(&["|: C4.q D4.q | [1 E4.q F4.q :| | [2 G4.q A4.q"]).at(0, 60);
    let problem = case.problem();
    let played = play(&problem, &hear(&problem));
    assert_eq!(played.reached, [true, true, true, false, true, false]);
    let seams: Vec<_> = played.seams.iter().map(|s| (s.from, s.to, s.milliseconds)).collect();
    assert_eq!(seams, [(3, 0, 1000), (1, 4, 1000)]);
}

/// The rest of the bar, an empty bar and the beginning of the next are passed
/// over a seam: 1 + 2 + 1 seconds.
#[test]
fn a_seam_lasts_as_long_as_what_is_played_between() {
    let case = Case::new(&["|: r.q C4.q | D4.q r.q | r.h :|"]).at(0, 60);
    let problem = case.problem();
    let played = play(&problem, &hear(&problem));
    let seams: Vec<_> = played.seams.iter().map(|s| (s.from, s.to, s.milliseconds)).collect();
    assert_eq!(seams, [(1, 0, 5000)]);
    assert_eq!(played.reached, [true, false]);
}

#[test]
fn a_layer_may_lead_back_to_itself() {
    let case = Case::new(&["|: C4.h :|"]).at(0, 60);
    let problem = case.problem();
    let played = play(&problem, &hear(&problem));
    assert_eq!((played.seams[0].from, played.seams[0].to), (0, 0));
    assert_eq!(played.seams[0].milliseconds, 2000);
}

#[test]
fn what_cannot_be_played_is_played_as_written() {
    let case = Case::new(&["|: C4.q | D4.q"]);
    let problem = case.problem();
    let played = play(&problem, &hear(&problem));
    assert_eq!(played.reached, [true, false]);
    assert!(played.seams.is_empty());
}

#[test]
fn phrases_end_at_signs_and_fermatas() {
    let case = Case::new(&["C4.q || | D4.q^ E4.q | |: F4.q :| | G4.q"]);
    let problem = case.problem();
    let heard = hear(&problem);
    let ends: Vec<bool> = (0..4).map(|layer| phrase_ends(&problem, &heard, layer)).collect();
    assert_eq!(ends, [true, true, true, true]);
    let case = Case::new(&["C4.q | D4.q E4.q | F4.q", "C3.q^ | r.h | r.q"]);
    let problem = case.problem();
    let heard = hear(&problem);
    assert!((0..3).all(|layer| !phrase_ends(&problem, &heard, layer)));
}

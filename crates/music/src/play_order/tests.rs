//! Repeats, endings and jumps, each in a line of text.

use proptest::prelude::*;

use super::*;
use crate::key::KeySignature;
use crate::rhythm::{Duration, Metre};
use crate::score::{Draft, DraftBar, DraftPart, Ending};

/// Bars in signs: `|:` and `:|` (or `:|3`) on either side, `1`, `2`, `12`
/// for endings, `p` for a pickup of a quarter, `-` for a bar short of one; `$`
/// and `@` for segno and coda before the bar, `Fine`, `Out` (to the coda), `DC`
/// and `DS` (with `:Fine` or `:Coda`) behind it after commas.
fn score(text: &str) -> Score {
    let mut bars: Vec<DraftBar> = Vec::new();
    for (index, word) in text.split_whitespace().enumerate() {
        let mut bar = DraftBar::new(index as u32 + 1, Metre::COMMON, KeySignature::NONE);
        let mut words = word.split(',');
        let word = words.next().unwrap_or_default();
        words.for_each(|word| say(&mut bar, word));
        bar.landmark = match word {
            word if word.contains('$') => Some(Landmark::Segno),
            word if word.contains('@') => Some(Landmark::Coda),
            _ => None,
        };
        let (open, word) = match word.strip_prefix("|:") {
            Some(word) => (true, word),
            None => (false, word),
        };
        bar.repeat_start = open;
        let (word, end) = match word.split_once(":|") {
            Some((word, count)) => (word, Some(count.parse().unwrap_or(2))),
            None => (word, None),
        };
        bar.repeat_end = end;
        let passes: Vec<u8> = word.bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
        if !passes.is_empty() {
            bar.ending = Some(Ending { passes, first: true, last: true });
        }
        if word.contains('p') {
            bar.length = Some(Duration::QUARTER);
        }
        if word.contains('-') {
            bar.length = Some(Duration::new(3, 4));
        }
        bars.push(bar);
    }
    let part = DraftPart::guitar(String::new());
    Score::assemble(Draft { bars, parts: vec![part], ..Draft::default() }).unwrap()
}

fn say(bar: &mut DraftBar, word: &str) {
    let (what, until) = word.split_once(':').unwrap_or((word, ""));
    let until = match until {
        "Fine" => Until::Fine,
        "Coda" => Until::Coda,
        "" => Until::End,
        _ => panic!("{word} is no word of these tests"),
    };
    match what {
        "Fine" => bar.exit = Some(Exit::Fine),
        "Out" => bar.exit = Some(Exit::ToCoda),
        "DC" => bar.jump = Some(Jump { to: JumpTo::Capo, until }),
        "DS" => bar.jump = Some(Jump { to: JumpTo::Segno, until }),
        _ => panic!("{word} is no word of these tests"),
    }
}

/// The bars alone, as numbers.
fn bars(text: &str) -> Vec<u32> {
    order(text).into_iter().map(|(bar, _)| bar).collect()
}

fn order(text: &str) -> Vec<(u32, u8)> {
    play_order(&score(text)).unwrap().iter().map(|p| (p.bar.0 + 1, p.pass)).collect()
}

#[test]
fn repeats_are_counted() {
    assert_eq!(order("x x"), [(1, 1), (2, 1)]);
    assert_eq!(order("x :| x"), [(1, 1), (2, 1), (1, 2), (2, 2), (3, 1)]);
    assert_eq!(order("x |::|3 x"), [(1, 1), (2, 1), (2, 2), (2, 3), (3, 1)]);
    assert_eq!(order(":| :|"), [(1, 1), (1, 2), (2, 1), (2, 2)]);
    assert_eq!(order(""), []);
}

#[test]
fn endings_are_taken_by_pass() {
    assert_eq!(order("|:x 1:| 2 x"), [(1, 1), (2, 1), (1, 2), (3, 2), (4, 1)]);
    assert_eq!(order("x 12:| 3"), [(1, 1), (2, 1), (1, 2), (2, 2), (1, 3), (3, 3)],);
    // Only a first ending: the second pass goes on behind it.
    assert_eq!(order("x 1:| x"), [(1, 1), (2, 1), (1, 2), (3, 1)]);
}

#[test]
fn a_pickup_is_played_again_where_there_is_room() {
    assert_eq!(order("p x -:|"), [(1, 1), (2, 1), (3, 1), (1, 2), (2, 2), (3, 2)]);
    assert_eq!(order("p x x:|"), [(1, 1), (2, 1), (3, 1), (2, 2), (3, 2)]);
    assert_eq!(order("p |:x -:|"), [(1, 1), (2, 1), (3, 1), (2, 2), (3, 2)]);
}

#[test]
fn faults_are_named() {
    let fault = |text: &str| play_order(&score(text)).unwrap_err();
    assert_eq!(fault("|:x |:x :|"), PlayOrderError::Nested { open: 1, bar: 2 });
    assert_eq!(fault("x |:x"), PlayOrderError::Unclosed { open: 2 });
    assert_eq!(fault("x 1 2"), PlayOrderError::EndingWithoutRepeat { bar: 2 });
    assert_eq!(
        fault("x 1:| 3"),
        PlayOrderError::MissingEnding { from: 1, to: 3, pass: 2, passes: 3 }
    );
}

/// Common practice, no source, as all of these.
#[test]
fn jumps_back_go_to_their_fine() {
    assert_eq!(bars("a b,Fine c d,DC:Fine"), [1, 2, 3, 4, 1, 2]);
    assert_eq!(bars("a $b c,Fine d,DS:Fine"), [1, 2, 3, 4, 2, 3]);
    assert_eq!(bars("a $b c d,DS"), [1, 2, 3, 4, 2, 3, 4]);
    // Said alone, it heeds whatever is on the way.
    assert_eq!(bars("a b,Fine c,DC"), [1, 2, 3, 1, 2]);
    // Not the last bar: play goes on where it was.
    assert_eq!(bars("a b,DC c"), [1, 2, 1, 2, 3]);
    // Fine ends nothing the first time, not even the piece.
    assert_eq!(bars("a,Fine b"), [1, 2]);
    // Of two signs the nearest before the jump.
    assert_eq!(bars("$a $b c,DS"), [1, 2, 3, 2, 3]);
    assert_eq!(bars("$a,DS"), [1, 1]);
}

#[test]
fn jumps_back_leave_for_the_coda() {
    assert_eq!(bars("a b,Out c,DC:Coda @d e"), [1, 2, 3, 1, 2, 4, 5]);
    assert_eq!(bars("a $b,Out c,DS:Coda @d"), [1, 2, 3, 2, 4]);
    // What lies between is heeded only by name.
    assert_eq!(bars("a,Fine b,Out c,DC:Coda @d"), [1, 2, 3, 1, 2, 4]);
    assert_eq!(bars("a,Out b,Fine c,DC:Fine @d e,DC"), [1, 2, 3, 1, 2]);
    // In the coda Fine ends the piece.
    assert_eq!(bars("a,Out b,DC:Coda @c,Fine d"), [1, 2, 1, 3]);
    // The way out at the bar of the jump: back first, then out.
    assert_eq!(bars("a b,Out,DC:Coda @c"), [1, 2, 1, 2, 3]);
    // Two ways out, each with its coda.
    assert_eq!(bars("a,Out b,DC:Coda @c $d,Out e,DS:Coda @f"), [1, 2, 1, 3, 4, 5, 4, 6]);
}

#[test]
fn repeats_that_have_been_played_are_not_taken_again() {
    assert_eq!(
        order("|:a b:| c,Fine d,DC:Fine"),
        [(1, 1), (2, 1), (1, 2), (2, 2), (3, 1), (4, 1), (1, 2), (2, 2), (3, 1)]
    );
    assert_eq!(
        order("|:a 1:| 2,Fine |:c:| d,DC:Fine"),
        [(1, 1), (2, 1), (1, 2), (3, 2), (4, 1), (4, 2), (5, 1), (1, 2), (3, 2)]
    );
    // A segno inside a repeat: from there through the last ending.
    assert_eq!(bars("|:a $b 1:| 2 c,DS"), [1, 2, 3, 1, 2, 4, 5, 2, 4, 5]);
    // What has not been played yet has its repeats.
    assert_eq!(bars("a,Out b,DC:Coda @c d:|"), [1, 2, 1, 3, 4, 3, 4]);
    assert_eq!(bars("a b,DC |:c:|"), [1, 2, 1, 2, 3, 3]);
}

/// A word in a repeat is heeded when its bar is played for the last time.
#[test]
fn words_in_repeats_wait_for_the_last_pass() {
    assert_eq!(bars("|:a b:|,DC c,Fine"), [1, 2, 1, 2, 1, 2, 3]);
    assert_eq!(bars("|:a 1:|,DC 2"), [1, 2, 1, 3]);
    assert_eq!(bars("a,Out b,DC:Coda |:@c:|,Fine d"), [1, 2, 1, 3, 3]);
}

#[test]
fn da_capo_takes_the_pickup_where_there_is_room() {
    assert_eq!(bars("p x -,DC"), [1, 2, 3, 1, 2, 3]);
    assert_eq!(bars("p x x,DC"), [1, 2, 3, 2, 3]);
}

#[test]
fn faults_of_jumps_are_named() {
    let fault = |text: &str| play_order(&score(text)).unwrap_err();
    let jump = |to, until| Jump { to, until };
    assert_eq!(
        fault("a b,DS $c"),
        PlayOrderError::NoSegno { bar: 2, jump: jump(JumpTo::Segno, Until::End) }
    );
    for text in ["a b,DC:Fine c,Fine", "a,Fine $b c,DS:Fine", "|:a 1:|,DC:Fine 2"] {
        assert!(matches!(fault(text), PlayOrderError::NoFine { .. }), "{text}");
    }
    for text in ["a b,DC:Coda", "a,Out $b c,DS:Coda @d", "a b,DC:Coda c,Out,DC @d"] {
        assert!(matches!(fault(text), PlayOrderError::NoToCoda { .. }), "{text}");
    }
    assert_eq!(fault("a,Out b,DC:Coda"), PlayOrderError::NoCoda { bar: 1 });
    assert_eq!(fault("@a,Out b,DC:Coda"), PlayOrderError::NoCoda { bar: 1 });
    assert_eq!(fault("a b,DC @c"), PlayOrderError::LoneCoda { bar: 3 });
    assert_eq!(fault("a,Out b,DC:Coda @c @d"), PlayOrderError::LoneCoda { bar: 4 });
    assert_eq!(fault("a,Out b @c"), PlayOrderError::LoneToCoda { bar: 1 });
    assert_eq!(fault("a,Out b,Fine c,DC:Fine @d"), PlayOrderError::LoneToCoda { bar: 1 });
    let text = fault("a b,DS:Coda").to_string();
    assert!(text.starts_with("bar 2: D.S. al Coda leads back to a segno"), "{text}");
}

/// Bars with signs at random.
fn signed() -> impl Strategy<Value = String> {
    let sign = prop::sample::select(vec!["", "", "", "$", "@"]);
    let ends = vec!["", "", "", ",Fine", ",Out", ",DC", ",DS", ",DC:Fine", ",DS:Coda", ",Out,DS"];
    let bar = (any::<u8>(), sign, prop::sample::select(ends));
    prop::collection::vec(bar, 1..12).prop_map(|bars| {
        let mut open = false;
        let word = |(kind, sign, end): (u8, &str, &str)| {
            let begin = kind % 7 == 0 && !open;
            open |= begin;
            let close = kind % 5 == 0 || begin;
            open &= !close;
            let (begin, close) = (if begin { "|:" } else { "" }, if close { ":|" } else { "" });
            format!("{begin}{sign}x{close}{end}")
        };
        bars.into_iter().map(word).collect::<Vec<_>>().join(" ")
    })
}

proptest! {
    /// However the signs stand, play ends: every jump is made once at most, so
    /// nothing is played more often than jumps and repeats bring it about.
    #[test]
    fn play_ends(text in signed()) {
        let score = score(&text);
        let jumps = score.bars().iter().filter(|bar| bar.jump.is_some()).count();
        if let Ok(played) = play_order(&score) {
            for index in 0..score.bars().len() {
                let times = played.iter().filter(|p| p.bar.0 as usize == index).count();
                prop_assert!(times <= 2 + jumps, "{text}: bar {} {times} times", index + 1);
            }
            let last = played.last().map(|p| p.bar.0 as usize);
            let fine = last.is_some_and(|last| score.bars()[last].exit == Some(Exit::Fine));
            prop_assert!(last == Some(score.bars().len() - 1) || fine, "{text}");
        }
    }

    /// Without a jump back no other sign changes anything.
    #[test]
    fn signs_alone_change_nothing(text in signed()) {
        let text: Vec<String> = text
            .split(' ')
            .map(|word| word.split(",D").next().unwrap_or_default().to_owned())
            .collect();
        let text = text.join(" ");
        let score = score(&text);
        let codas = score.bars().iter().any(|bar| {
            bar.landmark == Some(Landmark::Coda) || bar.exit == Some(Exit::ToCoda)
        });
        let bare = text.replace(['$', '@'], "").replace(",Fine", "").replace(",Out", "");
        match play_order(&score) {
            Ok(played) => prop_assert_eq!(played, play_order(&super::tests::score(&bare)).unwrap()),
            Err(_) => prop_assert!(codas),
        }
    }
}

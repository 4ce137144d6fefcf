//! Bars of rest that are printed as one long rest: where the source asks for it, all
//! voices of all parts rest, and nothing stands at a barline between.

use apoyando_music::{Bar, BarEnd, Event, Score};

/// What a bar is to a long rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Resting {
    /// Nothing.
    #[default]
    No,
    /// A rest of so many bars begins.
    Begins(u16),
    /// The rest that began before it goes on.
    Within,
}

/// What every bar of a score is to its long rests.
pub fn bars(score: &Score) -> Vec<Resting> {
    let count = score.bars().len();
    let mut out = vec![Resting::No; count];
    let mut at = 0;
    // How many bars of the rest that is asked for are still to come.
    let mut asked = 0;
    while at < count {
        asked = score.bars()[at].long_rest.unwrap_or(asked);
        let bars = length(score, at, asked);
        if bars > 1 {
            out[at] = Resting::Begins(bars);
            out[at + 1..at + usize::from(bars)].fill(Resting::Within);
        }
        at += usize::from(bars.max(1));
        asked = asked.saturating_sub(bars.max(1));
    }
    out
}

/// How many of so many bars from one on can be printed as one rest.
fn length(score: &Score, first: usize, asked: u16) -> u16 {
    let bars = score.bars();
    let mut found = 0;
    for (at, bar) in bars.iter().enumerate().skip(first).take(usize::from(asked)) {
        if !rests(score, at) || (at > first && !goes_on(&bars[at - 1], bar)) {
            break;
        }
        // What stands at its beginning may stand before the whole rest.
        if spoken_of(score, bar, at == first) {
            break;
        }
        found += 1;
    }
    found
}

/// Whether all voices rest in a bar without anything at their rests.
fn rests(score: &Score, bar: usize) -> bool {
    if score.parts().iter().any(|part| part.cues.iter().any(|cue| cue.bar.0 as usize == bar)) {
        return false;
    }
    let voices = score.parts().iter().flat_map(|part| &part.voices);
    let mut events = voices.flat_map(|voice| &voice.bars[bar]);
    events.all(|event: &Event| event.is_rest() && event.marks.is_empty())
}

/// Whether nothing is printed at the line between two bars.
fn goes_on(before: &Bar, bar: &Bar) -> bool {
    let ends = before.repeat_end.is_some()
        || before.end != BarEnd::Plain
        || before.exit.is_some()
        || before.jump.is_some()
        || before.ending.as_ref().is_some_and(|ending| ending.last);
    let begins = bar.repeat_start
        || bar.landmark.is_some()
        || bar.tempo.is_some()
        || !bar.words.is_empty()
        || !bar.rehearsal.is_empty()
        || bar.ending.as_ref().is_some_and(|ending| ending.first);
    let same = before.metre == bar.metre
        && before.signature == bar.signature
        && before.length == bar.length;
    same && !ends && !begins
}

/// Whether dynamics, hairpins or words stand in a bar; at its first moment they do
/// not count where that is `spared`.
fn spoken_of(score: &Score, bar: &Bar, spared: bool) -> bool {
    let (start, end) = (bar.start, bar.end_moment());
    let within = |at| if spared { start < at && at < end } else { start <= at && at < end };
    score.parts().iter().any(|part| {
        part.dynamics.iter().any(|mark| within(mark.at))
            || part.words.iter().any(|words| within(words.at))
            || part.hairpins.iter().any(|hairpin| hairpin.from < end && start < hairpin.until)
    })
}

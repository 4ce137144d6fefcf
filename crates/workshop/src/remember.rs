//! Pins that follow their notes when the piece was changed.

use apoyando_book::{
    BarRange, PinsFile, PlannedPin, PlannedScope, RememberedBars, RememberedNote, RememberedTune,
};
use apoyando_fingering::{Finding, Remedy, Scope, Severity};
use apoyando_music::anchor::{BarMatch, How};
use apoyando_music::{Alignment, Anchor, BarIndex, Memory, NoteId, PartIndex, Resolved, Score};

use crate::pins::{
    Found, Placed, finding, note_at, part_of, place_by, scope_of, spot, which, written,
};

/// Pins placed with the help of what is remembered.
pub struct Followed {
    /// The pins, and what is to be said of them.
    pub placed: Placed,
    /// What is to be remembered from now on; `None` while a pin is lost or
    /// ambiguous, so that nothing is forgotten that could still be put right.
    pub remember: Option<RememberedTune>,
}

/// Puts planned pins on a score, each on the note it meant when it was last
/// built.
pub fn follow(
    score: &Score,
    tune: u32,
    planned: &[PlannedPin],
    remembered: Option<&RememberedTune>,
) -> Followed {
    let memory = Memory::of(score);
    let known = remembered.map(|tune| (tune, Alignment::of(&tune.memory, &memory)));
    let mut next = RememberedTune { tune, memory, ..RememberedTune::default() };
    let mut whole = true;
    let placed = place_by(score, planned, |pin| {
        let found = match &known {
            Some((tune, alignment)) => followed(score, pin, tune, alignment),
            None => None,
        };
        let found =
            found.unwrap_or_else(|| scope_of(score, pin).map(|(part, scope)| (part, scope, None)));
        match &found {
            Ok((part, scope, _)) => put_down(&mut next, score, pin, *part, *scope),
            Err(_) => whole = false,
        }
        found
    });
    Followed { placed, remember: whole.then_some(next) }
}

/// Where a remembered pin is now; `None` if its place is new in the plan.
fn followed(
    score: &Score,
    pin: &PlannedPin,
    tune: &RememberedTune,
    alignment: &Alignment,
) -> Option<Result<Found, Box<Finding>>> {
    let part = match part_of(score, pin) {
        Ok(part) => part,
        Err(finding) => return Some(Err(finding)),
    };
    let plan = pin.scope.to_string();
    match &pin.scope {
        PlannedScope::Note(_) => {
            let known =
                tune.notes.iter().find(|note| note.plan == plan && note.anchor.part == part)?;
            Some(note(score, pin, &known.anchor, alignment))
        }
        PlannedScope::Bars(_) => {
            let known = tune.bars.iter().find(|bars| bars.plan == plan && bars.part == part)?;
            Some(bars(score, pin, known, alignment))
        }
    }
}

fn remedy(pin: &PlannedPin) -> String {
    let file = &pin.place.file;
    format!(
        "give bar and beat of what is meant now in {file}; if they are right as they stand, delete the .pins.toml file beside the piece"
    )
}

fn said(score: &Score, note: NoteId) -> String {
    let note = score.note(note);
    let (bar, beat) = score.bar_and_beat(note.onset);
    format!("bar {bar}, beat {beat}, {}", written(score, note.part, note.pitch))
}

fn note(
    score: &Score,
    pin: &PlannedPin,
    anchor: &Anchor,
    alignment: &Alignment,
) -> Result<Found, Box<Finding>> {
    let part = anchor.part;
    let at = |note: NoteId| score.tones(part).of_note(note).map(Scope::Tone);
    let lost = || {
        let message = format!(
            "the note pinned at {} (written {}) is no longer in the piece",
            pin.scope,
            written_in(score, part, anchor)
        );
        finding(pin, "pin-lost", message, remedy(pin))
    };
    match anchor.resolve(alignment, score) {
        Resolved::Exact(note) => Ok((part, at(note).ok_or_else(lost)?, None)),
        Resolved::Moved { note, how } => {
            let why = match how {
                How::Renumbered => "bars before it have been added or taken out",
                How::Reordered => "bars have changed their order",
                How::Transposed(_) => "the music was transposed",
                How::BarEdited => "its bar has been changed around it",
                How::BySourceId => "it was found by its identifier",
            };
            let message = format!(
                "the pin at {} follows its note to {}: {why}",
                pin.scope,
                said(score, note)
            );
            let mut moved =
                finding(pin, "pin-moved", message, "write the new place into the plan".to_owned());
            moved.severity = Severity::Advice;
            moved.remedies = vec![Remedy::MeansNote(spot(&pin.place), note)];
            // A note that stands where the plan says needs no word.
            let stays = matches!(&pin.scope, PlannedScope::Note(place)
                if note_at(score, part, place, pin).is_ok_and(|there| there == note));
            Ok((part, at(note).ok_or_else(lost)?, (!stays).then_some(*moved)))
        }
        Resolved::Ambiguous(notes) => {
            let places: Vec<String> = notes.iter().take(6).map(|note| said(score, *note)).collect();
            let message = format!(
                "the note pinned at {} may now be at {}",
                pin.scope,
                places.join(" or at ")
            );
            Err(which(finding(pin, "pin-ambiguous", message, remedy(pin)), pin, &notes))
        }
        Resolved::Lost => Err(lost()),
    }
}

fn written_in(score: &Score, part: PartIndex, anchor: &Anchor) -> String {
    written(score, part, anchor.pitch).to_string()
}

fn bars(
    score: &Score,
    pin: &PlannedPin,
    known: &RememberedBars,
    alignment: &Alignment,
) -> Result<Found, Box<Finding>> {
    let now = |old: BarIndex| match alignment.of_bar(usize::from(known.part.0), old) {
        Some(BarMatch::Found { bar, .. } | BarMatch::Edited { bar, .. }) => Ok(*bar),
        Some(BarMatch::OneOf(bars)) => {
            let numbers: Vec<String> =
                bars.iter().map(|bar| score.bar(*bar).number.to_string()).collect();
            let message =
                format!("a bar pinned by {} may now be bar {}", pin.scope, numbers.join(" or "));
            Err(finding(pin, "pin-ambiguous", message, remedy(pin)))
        }
        Some(BarMatch::Gone { .. }) | None => {
            let message = format!("a bar pinned by {} is no longer in the piece", pin.scope);
            Err(finding(pin, "pin-lost", message, remedy(pin)))
        }
    };
    let (first, last) = (now(known.first)?, now(known.last)?);
    if first > last {
        let message = format!("the bars pinned by {} no longer follow one another", pin.scope);
        return Err(finding(pin, "pin-lost", message, remedy(pin)));
    }
    let PlannedScope::Bars(range) = &pin.scope else {
        return Err(finding(pin, "pin-lost", "the pin is not on bars".to_owned(), remedy(pin)));
    };
    let numbers = (score.bar(first).number, score.bar(last).number);
    let moved = (numbers != (range.first, range.last)).then(|| {
        let now = BarRange { first: numbers.0, last: numbers.1 };
        let (was, now) = (range.in_words(), now.in_words());
        let message = format!("the pin on {was} follows its music to {now}");
        let mut moved =
            finding(pin, "pin-moved", message, "write the new bars into the plan".to_owned());
        moved.severity = Severity::Advice;
        moved.remedies = vec![Remedy::MeansBars(spot(&pin.place), first, last)];
        *moved
    });
    Ok((known.part, Scope::Bars { first, last }, moved))
}

/// Remembers where a pin is.
fn put_down(
    tune: &mut RememberedTune,
    score: &Score,
    pin: &PlannedPin,
    part: PartIndex,
    scope: Scope,
) {
    let plan = pin.scope.to_string();
    match scope {
        Scope::Tone(tone) => {
            let anchor = Anchor::of(score, score.tones(part).get(tone).head());
            let note = RememberedNote { plan, anchor };
            if !tune.notes.contains(&note) {
                tune.notes.push(note);
            }
        }
        Scope::Bars { first, last } => {
            let bars = RememberedBars { plan, part, first, last };
            if !tune.bars.contains(&bars) {
                tune.bars.push(bars);
            }
        }
    }
}

/// A pins file with what several items on one piece remember. A tune of which
/// an item remembers nothing stays as it was.
pub fn merged(before: Option<&PinsFile>, tunes: Vec<(u32, Option<RememberedTune>)>) -> PinsFile {
    let mut numbers: Vec<u32> = tunes.iter().map(|(number, _)| *number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let mut file = PinsFile::default();
    for number in numbers {
        let of_tune: Option<Vec<&RememberedTune>> =
            tunes.iter().filter(|(n, _)| *n == number).map(|(_, tune)| tune.as_ref()).collect();
        let tune = match of_tune {
            None => before.and_then(|file| file.tune(number)).cloned(),
            Some(tunes) => tunes.into_iter().cloned().reduce(|mut all, next| {
                for note in next.notes {
                    if !all.notes.contains(&note) {
                        all.notes.push(note);
                    }
                }
                for bars in next.bars {
                    if !all.bars.contains(&bars) {
                        all.bars.push(bars);
                    }
                }
                all
            }),
        };
        file.tunes.extend(tune.filter(|tune| !tune.notes.is_empty() || !tune.bars.is_empty()));
    }
    file
}

#[cfg(test)]
mod tests {
    use apoyando_book::{PlannedRule, SourcePlace};
    use apoyando_fingering::{PinRule, PositionSet};

    use super::*;

    fn score(bars: &str) -> Score {
        let text = format!("X:1\nT:T\nM:3/4\nL:1/4\nK:C clef=treble-8\n{bars}\n");
        let reading = apoyando_formats::read("t.abc", text.as_bytes()).unwrap();
        reading.pieces.into_iter().next().unwrap().score
    }

    fn positions(bars: &str) -> PlannedPin {
        PlannedPin {
            place: SourcePlace::start_of("sections/s.toml"),
            part: 1,
            scope: PlannedScope::Bars(bars.parse().unwrap()),
            rule: PlannedRule::Positions(PositionSet::ALL),
        }
    }

    fn scope_in(followed: &Followed) -> Option<(u32, u32)> {
        followed.placed.pins[0].0.iter().find_map(|pin| match (pin.scope, pin.rule) {
            (Scope::Bars { first, last }, PinRule::Positions(_)) => Some((first.0, last.0)),
            _ => None,
        })
    }

    const OLD: &str = "C E G | c B A | G F E | D E F | E3 |]";

    #[test]
    fn ranges_follow_their_bars() {
        let plan = [positions("2-3")];
        let first = follow(&score(OLD), 1, &plan, None);
        assert_eq!(scope_in(&first), Some((1, 2)));
        assert!(first.placed.findings.is_empty());
        let remembered = first.remember.unwrap();
        // A bar before them, and a bar between them.
        let longer = score("G3 | C E G | c B A | A B c | G F E | D E F | E3 |]");
        let second = follow(&longer, 1, &plan, Some(&remembered));
        assert_eq!(scope_in(&second), Some((2, 4)));
        let said = second.placed.findings[0].to_string();
        assert!(said.contains("the pin on bars 2 to 3 follows its music to bars 3 to 5"), "{said}");
        // It goes on following from where it was found.
        let third = follow(&score(OLD), 1, &plan, second.remember.as_ref());
        assert_eq!(scope_in(&third), Some((1, 2)));
        assert!(third.placed.findings.is_empty());
    }

    #[test]
    fn a_range_without_its_bar_is_lost_and_nothing_is_forgotten() {
        let plan = [positions("2-3")];
        let remembered = follow(&score(OLD), 1, &plan, None).remember.unwrap();
        let shorter = score("C E G | c B A | D E F | E3 |]");
        let lost = follow(&shorter, 1, &plan, Some(&remembered));
        assert_eq!(scope_in(&lost), None);
        assert_eq!(lost.placed.findings[0].rule, "pin-lost");
        assert_eq!(lost.placed.findings[0].severity, Severity::Error);
        assert!(lost.remember.is_none());
    }

    #[test]
    fn a_new_place_in_the_plan_is_taken_as_it_stands() {
        let remembered = follow(&score(OLD), 1, &[positions("2-3")], None).remember.unwrap();
        let longer = score("G3 | C E G | c B A | G F E | D E F | E3 |]");
        let fresh = follow(&longer, 1, &[positions("3-4")], Some(&remembered));
        assert_eq!(scope_in(&fresh), Some((2, 3)));
        assert!(fresh.placed.findings.is_empty());
    }
}

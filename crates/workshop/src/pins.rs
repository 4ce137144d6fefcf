//! From the pins of a plan, given by bar, beat and voice, to pins on tones.

use apoyando_book::{BarRange, PinPlace, PlannedPin, PlannedRule, PlannedScope, SourcePlace};
use apoyando_fingering::{
    Finding, FindingPlace, Pin, PinAuthor, PinRule, Pins, PlanSpot, Remedy, RightFingerSet, Scope,
    Severity,
};
use apoyando_music::{BarIndex, NoteId, PartIndex, Pitch, Score};

/// The pins of every part, and what could not be placed.
pub struct Placed {
    /// Per part of the score.
    pub pins: Vec<Pins>,
    /// A finding for every pin that means no note, or more than one.
    pub findings: Vec<Finding>,
}

/// Puts planned pins on the tones and bars of a score, taking bar and beat as
/// they stand in the plan.
pub fn place(score: &Score, planned: &[PlannedPin]) -> Placed {
    place_by(score, planned, |pin| scope_of(score, pin).map(|(part, scope)| (part, scope, None)))
}

/// Where a pin is, and what is to be said of that.
pub(crate) type Found = (PartIndex, Scope, Option<Finding>);

pub(crate) fn place_by(
    score: &Score,
    planned: &[PlannedPin],
    mut find: impl FnMut(&PlannedPin) -> Result<Found, Box<Finding>>,
) -> Placed {
    let mut pins = vec![Pins::default(); score.parts().len()];
    let mut findings: Vec<Finding> = Vec::new();
    let mut say = |finding: Finding| {
        // Several rules may stand on one place: it is spoken of once.
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    };
    for pin in planned {
        match find(pin) {
            Ok((part, scope, finding)) => {
                let rule = rule(pin.rule);
                pins[usize::from(part.0)].0.push(Pin { scope, rule, author: PinAuthor::Author });
                finding.into_iter().for_each(&mut say);
            }
            Err(finding) => say(*finding),
        }
    }
    Placed { pins, findings }
}

/// The rule of a planned pin, as the search reads it.
pub const fn rule(rule: PlannedRule) -> PinRule {
    match rule {
        PlannedRule::Strings(set) => PinRule::Strings(set),
        PlannedRule::Frets(set) => PinRule::Frets(set),
        PlannedRule::LeftFingers(set) => PinRule::LeftFingers(set),
        PlannedRule::SecondFingers(set) => PinRule::SecondFingers(set),
        PlannedRule::RightFingers(set) => PinRule::RightFingers(set),
        PlannedRule::Positions(set) => PinRule::Positions(set),
        PlannedRule::Barre(limit) => PinRule::Barre(limit),
    }
}

/// The pins of an exercise's writer with the author's over them: what the author decides about a
/// hand at a note stands in the place of what the writer wanted of that hand there.
pub(crate) fn over(writer: &Pins, author: Pins) -> Pins {
    let left =
        |rule| matches!(rule, PinRule::Strings(_) | PinRule::Frets(_) | PinRule::LeftFingers(_));
    let right = |rule| matches!(rule, PinRule::RightFingers(_));
    let replaces = |pin: &Pin, own: &Pin| {
        matches!(own.scope, Scope::Tone(_))
            && pin.scope == own.scope
            && (left(pin.rule) && left(own.rule) || right(pin.rule) && right(own.rule))
    };
    // What a file says is outranked, and said to be, where the hand is worked out.
    let stays = |own: &&Pin| {
        own.author == PinAuthor::Import || !author.0.iter().any(|pin| replaces(pin, own))
    };
    let mut pins: Vec<Pin> = writer.0.iter().filter(stays).copied().collect();
    pins.extend(author.0);
    Pins(pins)
}

/// The pin of a plan that became this one on a part of a score; `None` for a pin that no author
/// wrote there.
#[must_use]
pub fn planned<'a>(
    score: &Score,
    part: PartIndex,
    plan: &'a [PlannedPin],
    pin: &Pin,
) -> Option<&'a PlannedPin> {
    plan.iter().find(|it| {
        rule(it.rule) == pin.rule && scope_of(score, it).is_ok_and(|at| at == (part, pin.scope))
    })
}

pub(crate) fn finding(
    pin: &PlannedPin,
    rule: &'static str,
    message: String,
    remedy: String,
) -> Box<Finding> {
    let (bar, beat) = match &pin.scope {
        PlannedScope::Note(place) => (place.bar, Some(place.beat.to_string())),
        PlannedScope::Bars(bars) => (bars.first, None),
    };
    Box::new(Finding {
        rule,
        severity: Severity::Error,
        place: FindingPlace {
            file: Some(pin.place.file.to_string()),
            line: Some(pin.place.line),
            bar: Some(bar),
            beat,
            part: (pin.part > 1).then(|| format!("part {}", pin.part)),
        },
        message,
        remedy: Some(remedy),
        remedies: vec![Remedy::TakeOut(spot(&pin.place))],
    })
}

/// Where something stands in its file of the plan.
pub(crate) const fn spot(place: &SourcePlace) -> PlanSpot {
    PlanSpot { line: place.line, column: place.column }
}

/// A finding on a pin that may mean any of some notes: each can be chosen, or the pin taken out.
pub(crate) fn which(mut finding: Box<Finding>, pin: &PlannedPin, notes: &[NoteId]) -> Box<Finding> {
    let means = notes.iter().map(|note| Remedy::MeansNote(spot(&pin.place), *note));
    finding.remedies.splice(0..0, means);
    finding
}

/// The part that a pin is for.
pub(crate) fn part_of(score: &Score, pin: &PlannedPin) -> Result<PartIndex, Box<Finding>> {
    let parts = score.parts().len();
    if pin.part == 0 || usize::from(pin.part) > parts {
        return Err(finding(
            pin,
            "pin-part",
            format!("there is no part {} in a score of {parts}", pin.part),
            format!("give a part from 1 to {parts}"),
        ));
    }
    Ok(PartIndex(pin.part - 1))
}

pub(crate) fn scope_of(
    score: &Score,
    pin: &PlannedPin,
) -> Result<(PartIndex, Scope), Box<Finding>> {
    let part = part_of(score, pin)?;
    let scope = match &pin.scope {
        PlannedScope::Note(place) => {
            let note = note_at(score, part, place, pin)?;
            match score.tones(part).of_note(note) {
                Some(tone) => Scope::Tone(tone),
                None => return Err(lost(pin, score, part, place)),
            }
        }
        PlannedScope::Bars(range) => {
            let numbered = |number| score.bars().iter().filter(move |bar| bar.number == number);
            for number in [range.first, range.last] {
                if numbered(number).next().is_none() {
                    return Err(no_bar(pin, score, number));
                }
            }
            let first = score.bars().iter().position(|bar| bar.number == range.first);
            let last = score.bars().iter().rposition(|bar| bar.number == range.last);
            Scope::Bars {
                first: BarIndex(first.unwrap_or_default() as u32),
                last: BarIndex(last.unwrap_or_default() as u32),
            }
        }
    };
    Ok((part, scope))
}

/// The bars that a range of printed numbers means.
pub(crate) fn bars_of(
    score: &Score,
    place: &SourcePlace,
    bars: BarRange,
) -> Result<(BarIndex, BarIndex), Box<Finding>> {
    let pin = PlannedPin {
        place: place.clone(),
        part: 1,
        scope: PlannedScope::Bars(bars),
        rule: PlannedRule::RightFingers(RightFingerSet::ALL),
    };
    match scope_of(score, &pin)? {
        (_, Scope::Bars { first, last }) => Ok((first, last)),
        (_, Scope::Tone(_)) => Err(no_bar(&pin, score, bars.first)),
    }
}

fn no_bar(pin: &PlannedPin, score: &Score, number: u32) -> Box<Finding> {
    let numbers = || score.bars().iter().map(|bar| bar.number);
    let (low, high) = (numbers().min().unwrap_or(0), numbers().max().unwrap_or(0));
    finding(
        pin,
        "pin-lost",
        format!("there is no bar {number}"),
        format!("the bars are {low} to {high}"),
    )
}

/// Sounding pitch of a pitch as it is written in a part's clef.
fn sounding(score: &Score, part: PartIndex, written: Pitch) -> Pitch {
    written.up_octaves(-score.part(part).clef.octaves_up())
}

pub(crate) fn written(score: &Score, part: PartIndex, sounding: Pitch) -> Pitch {
    sounding.up_octaves(score.part(part).clef.octaves_up())
}

/// The note that a place means.
pub(crate) fn note_at(
    score: &Score,
    part: PartIndex,
    place: &PinPlace,
    pin: &PlannedPin,
) -> Result<NoteId, Box<Finding>> {
    let mut moments = score
        .bars()
        .iter()
        .filter(|bar| bar.number == place.bar)
        .map(|bar| bar.moment_of_beat(place.beat.count()))
        .peekable();
    if moments.peek().is_none() {
        return Err(no_bar(pin, score, place.bar));
    }
    let Some(at) = moments.flatten().next() else {
        return Err(lost(pin, score, part, place));
    };
    let wanted = place.pitch.map(|pitch| sounding(score, part, pitch));
    let here: Vec<NoteId> = score
        .notes()
        .iter()
        .filter(|note| note.part == part && note.voice.0 == place.voice && note.onset == at)
        .filter(|note| wanted.is_none_or(|pitch| note.pitch == pitch))
        .map(|note| note.id)
        .collect();
    match here[..] {
        [] => Err(lost(pin, score, part, place)),
        [note] => Ok(note),
        _ => {
            let pitches: Vec<String> = here
                .iter()
                .map(|note| written(score, part, score.note(*note).pitch).to_string())
                .collect();
            let found = finding(
                pin,
                "pin-ambiguous",
                format!("{} notes begin at {place}; the pin does not say which", pitches.len()),
                format!("say which as written: pitch = \"{}\"", pitches.join("\" or \"")),
            );
            Err(which(found, pin, &here))
        }
    }
}

fn lost(pin: &PlannedPin, score: &Score, part: PartIndex, place: &PinPlace) -> Box<Finding> {
    let mut there: Vec<String> = score
        .notes()
        .iter()
        .filter(|note| note.part == part && score.bar(note.bar).number == place.bar)
        .map(|note| {
            let beat = score.bar(note.bar).beat_text(note.onset);
            let pitch = written(score, part, note.pitch);
            format!("beat {beat} voice {} {pitch}", note.voice.0)
        })
        .collect();
    there.dedup();
    there.truncate(8);
    let remedy = if there.is_empty() {
        "the bar has no notes in this part".to_owned()
    } else {
        format!("in this bar there are: {}", there.join(", "))
    };
    finding(pin, "pin-lost", format!("no note begins at {place}"), remedy)
}

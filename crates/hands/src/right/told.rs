//! What the right hand could not obey.

use apoyando_fingering::{Finding, Pin, PinAuthor, PinRule, RightFingerSet, Scope, Severity};

use super::Asked;
use super::beat::{Beats, Pluck};
use crate::answer::findings::{in_words, releases};
use crate::hand::limits::takes_in;
use crate::when;

/// Findings in the order of the layers.
pub(super) fn findings(asked: &Asked<'_>, beats: &Beats) -> Vec<Finding> {
    let mut found = Vec::new();
    for beat in &beats.beats {
        let (layer, plucks) = (beat.layer, beats.plucks(beat));
        for pluck in plucks.iter().filter(|pluck| pluck.contradicted) {
            let pins = pins(asked, layer, pluck);
            if !is_told_with_the_pins(&pins) {
                found.push(contradiction(asked, layer, &pins));
            }
        }
        if beat.awry {
            let pinned = plucks.iter().filter(|pluck| !pluck.contradicted);
            let pins: Vec<&Pin> = pinned.flat_map(|pluck| pins(asked, layer, pluck)).collect();
            found.push(out_of_order(asked, layer, &pins));
        }
    }
    found
}

/// The pins of right fingers on a sound.
fn pins<'a>(asked: &Asked<'a>, layer: usize, pluck: &Pluck) -> Vec<&'a Pin> {
    let concerns = |pin: &&Pin| match (pin.rule, pin.scope) {
        (PinRule::RightFingers(_), Scope::Tone(tone)) => {
            asked.music.sounds[pluck.sound].tones.contains(&tone)
        }
        (PinRule::RightFingers(_), bars) => takes_in(bars, asked.music.layers[layer].bar),
        _ => false,
    };
    asked.pins.iter().filter(concerns).collect()
}

fn set(pin: &Pin) -> RightFingerSet {
    match pin.rule {
        PinRule::RightFingers(set) => set,
        _ => RightFingerSet::ALL,
    }
}

/// Whether two of the author's pins on one scope exclude each other, which is
/// said for pins of all kinds.
fn is_told_with_the_pins(pins: &[&Pin]) -> bool {
    let authors = |pin: &Pin| pin.author == PinAuthor::Author;
    pins.iter().enumerate().any(|(index, one)| {
        pins[..index].iter().any(|other| {
            one.scope == other.scope
                && authors(one)
                && authors(other)
                && set(one).and(set(other)).is_empty()
        })
    })
}

fn contradiction(asked: &Asked<'_>, layer: usize, pins: &[&Pin]) -> Finding {
    Finding {
        rule: "pins-contradict",
        severity: Severity::Error,
        place: when::place(
            asked.problem.score,
            asked.problem.part,
            asked.music.layers[layer].onset,
        ),
        message: format!("{} together leave no right finger for this note", listed(pins)),
        remedy: Some("remove one of the pins".to_owned()),
        remedies: releases(pins.iter().copied()),
    }
}

fn out_of_order(asked: &Asked<'_>, layer: usize, pins: &[&Pin]) -> Finding {
    Finding {
        rule: "right-hand-out-of-order",
        severity: Severity::Warning,
        place: when::place(
            asked.problem.score,
            asked.problem.part,
            asked.music.layers[layer].onset,
        ),
        message: format!(
            "pinned to {} the right hand does not lie in the order p i m a from the thickest string",
            listed(pins)
        ),
        remedy: Some("change the pins".to_owned()),
        remedies: releases(pins.iter().copied()),
    }
}

/// Each pin once, as the author would say it.
fn listed(pins: &[&Pin]) -> String {
    let mut said: Vec<String> = Vec::new();
    let mut seen: Vec<&Pin> = Vec::new();
    for pin in pins {
        if !seen.contains(pin) {
            seen.push(pin);
            said.push(in_words(&pin.rule));
        }
    }
    said.join(", ")
}

//! The words of faults.

use apoyando_fingering::{
    BarreSpan, LeftFinger, Pin, PinRule, Placement, Position, PositionSpan, Price, RightFinger,
    Scope, Seam, SecondFinger, Shift, Stroke,
};
use apoyando_music::KeyNumber;

pub(super) fn said(placement: &Placement) -> String {
    match placement.finger {
        Some(finger) => format!("{} with finger {finger}", placement.place),
        None => placement.place.to_string(),
    }
}

pub(super) fn placed(placement: &Option<Placement>) -> String {
    placement.as_ref().map_or_else(|| "no string (left out)".to_owned(), said)
}

pub(super) fn second(second: &Option<SecondFinger>) -> String {
    second.map_or_else(
        || "no finger".to_owned(),
        |second| format!("finger {} from {}", second.finger, second.from.since_start()),
    )
}

pub(super) fn position(position: &Option<Position>) -> String {
    position.map_or_else(|| "no position".to_owned(), |position| format!("position {position}"))
}

pub(super) fn position_span(span: &Option<PositionSpan>) -> String {
    span.map_or_else(
        || "nothing".to_owned(),
        |span| {
            let (from, to) = (span.from.since_start(), span.to.since_start());
            format!("{} from {from} to {to}", span.position)
        },
    )
}

pub(super) fn barre_span(span: &Option<BarreSpan>) -> String {
    span.map_or_else(
        || "nothing".to_owned(),
        |BarreSpan { barre, from, to }| {
            let (from, to) = (from.since_start(), to.since_start());
            format!(
                "fret {} over {} to {} from {from} to {to}",
                barre.fret, barre.thin, barre.thick
            )
        },
    )
}

pub(super) fn shift(shift: &Option<Shift>) -> String {
    shift.map_or_else(
        || "nothing".to_owned(),
        |shift| format!("{} to {} at {}", shift.from, shift.to, shift.at.since_start()),
    )
}

pub(super) fn price(price: &Price) -> String {
    format!("{} left out, {} broken, effort {}", price.escapes, price.broken, price.effort)
}

pub(super) fn key(key: &Option<KeyNumber>) -> String {
    key.map_or_else(|| "nothing".to_owned(), |key| format!("key {}", key.0))
}

pub(super) fn finger_or_open(finger: &Option<LeftFinger>) -> String {
    finger.map_or_else(|| "open".to_owned(), |finger| format!("by finger {finger}"))
}

pub(super) fn letters(hand: &[RightFinger]) -> String {
    let letters: Vec<String> = hand.iter().map(ToString::to_string).collect();
    letters.join(" ")
}

pub(super) const fn stroke(stroke: Option<Stroke>) -> &'static str {
    match stroke {
        Some(Stroke::Rest) => "rest stroke",
        Some(Stroke::Free) => "free stroke",
        None => "no stroke",
    }
}

pub(super) fn pinned(pin: &Pin) -> String {
    let kind = match pin.rule {
        PinRule::Strings(_) => "the string",
        PinRule::Frets(_) => "the fret",
        PinRule::LeftFingers(_) => "the left finger",
        PinRule::SecondFingers(_) => "the second finger",
        PinRule::RightFingers(_) => "the right finger",
        PinRule::Positions(_) => "the position",
        PinRule::Barre(_) => "the barre",
    };
    match pin.scope {
        Scope::Tone(tone) => format!("{kind} of tone {}", tone.0),
        Scope::Bars { .. } => format!("{kind} over bars"),
    }
}

pub(super) fn seam(seam: &Seam) -> String {
    let (from, to) = (seam.from.since_start(), seam.to.since_start());
    let shift = seam.shift.map_or_else(
        || "without a shift".to_owned(),
        |(from, to)| format!("with a shift from {from} to {to}"),
    );
    format!("from {from} to {to} of a whole note {shift}")
}

//! What else there is for a note: each way with what it costs more, how it sounds, and what of
//! the rest of the hand follows it.

use std::fmt::Write;

use apoyando_book::BarRange;
use apoyando_book::edit::{PinKey, PinValue};
use apoyando_fingering::{
    Fingering, FretSet, LeftFingerSet, Pin, PinRule, Placement, Position, StringSet,
};
use apoyando_handout::{escaped, placed};
use apoyando_hands::{Alternative, Difference, Solved};
use apoyando_music::{Tone, ToneId};
use apoyando_sound::strings::{Hardness, Plucker};
use apoyando_sound::studio::Sounding;
use apoyando_workshop::BuiltItem;
use apoyando_workshop::piece::FingeredPart;

use crate::stretch::stretch;

/// So many other ways are shown.
const SHOWN: usize = 8;

/// What a pin says.
pub type Pinned = Vec<(PinKey, PinValue)>;

/// Whether a way is what was decided about the left hand at this note, and no more.
pub fn is_decided(way: Difference, decided: &[Pin]) -> bool {
    let is_left = |rule: &PinRule| !matches!(rule, PinRule::RightFingers(_));
    let mut rules = decided.iter().map(|pin| pin.rule).filter(is_left).peekable();
    rules.peek().is_some()
        && rules.all(|rule| match (way, rule) {
            (Difference::Place(place), PinRule::Strings(set)) => {
                set == StringSet::NONE.with(place.string)
            }
            (Difference::Place(place), PinRule::Frets(set)) => {
                set == FretSet::NONE.with(place.fret)
            }
            (Difference::Finger(finger), PinRule::LeftFingers(set)) => {
                set == LeftFingerSet::NONE.with(Some(finger))
            }
            _ => false,
        })
}

/// Writes the other ways of a note on its card. What the pins of those say that are one.
pub fn ways(
    card: &mut String,
    (item, part): (&BuiltItem, &FingeredPart),
    solved: &Solved<'_>,
    others: &[Alternative],
) -> Vec<Pinned> {
    let mut pins = Vec::new();
    if others.is_empty() {
        card.push_str("<p>There is no other way within this lesson.</p>");
        return pins;
    }
    card.push_str("<h3>Other ways, the easiest first</h3><ol class=\"ways\">");
    for other in others.iter().take(SHOWN) {
        let (said, way) = offer(other);
        let take = match &way {
            Way::Pin(pin) => serde_json::to_string(pin).unwrap_or_default(),
            Way::Position(position) => format!("position {position}"),
        };
        let then = solved.fingering_of(other);
        let (moved, moves) = match (other.difference, &then, &part.fingering) {
            (Difference::Position(position), Some(then), _) => {
                (String::new(), range(item, then, other.tone, position))
            }
            (_, Some(then), Some(now)) => moves(item, (now, then), other.tone),
            _ => Default::default(),
        };
        let _ = write!(
            card,
            "<li data-moved=\"{moved}\"><button type=\"button\" data-take=\"{}\">{}</button> <span class=\"more\">{} more effort</span>",
            escaped(&take),
            escaped(&said),
            other.more
        );
        if let Difference::Place(place) = other.difference {
            let sounding =
                Sounding { place, partial: 1, plucker: Plucker::Free, hardness: Hardness::Middle };
            let _ = write!(
                card,
                " <button type=\"button\" class=\"hear\" data-hear=\"{sounding}\" aria-label=\"Hear {}\">Hear</button>",
                escaped(&said)
            );
        }
        card.push_str(&moves);
        card.push_str("</li>");
        if let Way::Pin(pin) = way {
            pins.push(pin);
        }
    }
    card.push_str("</ol>");
    pins
}

/// What is decided when a way is taken.
enum Way {
    Pin(Pinned),
    /// A position, in bars that are still to be chosen.
    Position(Position),
}

/// How many notes are told one by one.
const TOLD: usize = 2;

/// What a way has played otherwise besides its own note: the notes, for the page to mark, and in
/// words. The rest of the hand follows; it is seen before it is taken.
fn moves(item: &BuiltItem, (now, then): (&Fingering, &Fingering), own: ToneId) -> (String, String) {
    let tones = item.score.tones(now.part);
    let others = |tone: &&Tone| tone.id != own && now.tone(tone.id).left != then.tone(tone.id).left;
    let moved: Vec<&Tone> = tones.as_slice().iter().filter(others).collect();
    let marked = std::iter::once(tones.get(own)).chain(moved.iter().copied());
    let notes: Vec<String> = marked.flat_map(|it| &it.notes).map(|it| it.0.to_string()).collect();
    let place = |tone: &Tone| item.score.bar_and_beat(tone.onset);
    let said = match (&moved[..], moved.first(), moved.last()) {
        (all, ..) if all.len() <= TOLD => {
            let told = all.iter().map(|tone| {
                let (bar, beat) = place(tone);
                let (was, comes) = (now.tone(tone.id).left, then.tone(tone.id).left);
                format!("{} at bar {bar}, beat {beat}", followed(was, comes))
            });
            told.collect::<Vec<_>>().join("; ")
        }
        (all, Some(first), Some(last)) => {
            let bars = BarRange { first: place(first).0, last: place(last).0 };
            format!("{} notes otherwise in {}", all.len(), bars.in_words())
        }
        _ => String::new(),
    };
    let said = if said.is_empty() {
        said
    } else {
        format!("<span class=\"then\">then {}</span>", escaped(&said))
    };
    (notes.join(" "), said)
}

/// How a note is played that follows another way.
fn followed(was: Option<Placement>, comes: Option<Placement>) -> String {
    match (was, comes) {
        (Some(was), Some(Placement { place, finger: Some(finger) })) if was.place == place => {
            format!("finger {finger}")
        }
        (_, Some(comes)) => placed(comes),
        (_, None) => "nothing".to_owned(),
    }
}

/// Over which bars the hand is to stay in a position, to be seen and chosen.
fn range(item: &BuiltItem, then: &Fingering, tone: ToneId, position: Position) -> String {
    let at = item.score.tones(then.part).get(tone).onset;
    let (first, last) = stretch(&item.score, then, position, at);
    let end = |end: &str, bar: u32| {
        format!(
            "<input type=\"number\" class=\"range-{end}\" min=\"0\" value=\"{bar}\" aria-label=\"The hand in {position}: {end} bar\">"
        )
    };
    format!(
        "<span class=\"range\" data-part=\"{}\">in bars {} to {}</span>",
        then.part.0,
        end("first", first),
        end("last", last)
    )
}

/// An alternative in words, and what must be decided to have it.
fn offer(alternative: &Alternative) -> (String, Way) {
    let number = |number: u8| PinValue::Number(number.into());
    match alternative.difference {
        Difference::Place(place) => {
            let (string, fret) = (place.string.get(), place.fret.0);
            let said = if fret == 0 {
                format!("open {}", place.string)
            } else {
                format!("{} fret {fret}", place.string)
            };
            let place = vec![(PinKey::String, number(string)), (PinKey::Fret, number(fret))];
            (said, Way::Pin(place))
        }
        Difference::Finger(finger) => {
            let pin = vec![(PinKey::Finger, number(finger.digit()))];
            (format!("finger {finger}"), Way::Pin(pin))
        }
        Difference::Position(position) => {
            (format!("the hand in {position}"), Way::Position(position))
        }
    }
}

//! The card of a note: where it is played and why, what was decided about it, and what else
//! there is.

use std::fmt::Write;

use apoyando_book::Book;
use apoyando_book::edit::{Command, Edit, ItemPlace, NotePlace, PinKey, PinValue, Revision};
use apoyando_fingering::{
    FretSet, LeftFingerSet, Pin, PinAuthor, PinRule, Pins, Position, Problem, Scope, StringSet,
    ToneFingering,
};
use apoyando_handout::{escaped, part_of, placed, spoken, tone_of};
use apoyando_hands::{Alternative, Difference, Solved, solve};
use apoyando_music::{NoteId, Score};
use apoyando_sound::strings::{Hardness, Plucker};
use apoyando_sound::studio::Sounding;
use apoyando_workshop::BuiltItem;
use apoyando_workshop::piece::FingeredPart;

use crate::bench::Bench;
use crate::remarks::{at_note, capital};
use crate::remedy::{About, Revisions};
use crate::stretch::stretch;

/// So many other ways are shown.
const SHOWN: usize = 8;

/// The place of a note as a pin points at it.
pub fn place_of(score: &Score, note: NoteId) -> Option<NotePlace> {
    let own = score.notes().get(note.0 as usize)?;
    let (bar, beat) = score.bar_and_beat(own.onset);
    let with = score
        .notes()
        .iter()
        .filter(|other| (other.part, other.voice, other.onset) == (own.part, own.voice, own.onset));
    let written = own.pitch.up_octaves(score.part(own.part).clef.octaves_up());
    Some(NotePlace {
        part: own.part.0 + 1,
        bar,
        beat,
        voice: own.voice.0,
        pitch: (with.count() > 1).then(|| written.to_string()),
    })
}

/// What an edit of a note must say: the item and the note in the plan, and the revision of
/// the file it is planned in.
#[derive(serde::Serialize)]
struct Handle {
    base: Option<Revision>,
    at: ItemPlace,
    note: NotePlace,
}

/// The card of a note.
pub struct Card {
    /// As it is shown.
    pub html: String,
    /// What is sent when one of the other ways is taken, in their order.
    pub ways: Vec<Edit>,
}

/// The card of a note; `None` if there is no such note.
pub fn card(bench: &Bench, index: usize, note: NoteId) -> Option<Card> {
    let item = bench.item(index)?;
    let own = item.score.notes().get(note.0 as usize)?;
    let at = bench.place_of(index)?;
    let base = bench.revision(&at.file()).ok()?;
    let handle = Handle { base, at, note: place_of(&item.score, note)? };
    let handle_said = serde_json::to_string(&handle).ok()?;
    let written = own.pitch.up_octaves(item.score.part(own.part).clef.octaves_up());
    let (bar, beat) = item.score.bar_and_beat(own.onset);
    let mut card = format!(
        "<div class=\"card\" data-said=\"{}\" data-handle=\"{}\"><h2>{written}</h2><p class=\"where\">{}, bar {bar}, beat {beat}</p>",
        escaped(&spoken(item, note)),
        escaped(&handle_said),
        escaped(&item.title),
    );
    match tone_of(item, note) {
        Some(tone) => hands(&mut card, &tone),
        None => card.push_str("<p>This note has no fingering.</p>"),
    }
    card.push_str(&at_note(bench, index, note));
    let mut ways = Vec::new();
    if let (Some(book), Some(part)) = (bench.book(), part_of(item, note)) {
        ways = ask(&mut card, book, item, part, note);
        let about = About { read: &Revisions::default(), bench, item: Some(index) };
        card.push_str(&about.over_bars(own.part, bar));
        bars_from(&mut card, bar);
    }
    card.push_str("</div>");
    let Handle { base, at, note } = handle;
    let pin = |what| Command::Pin { at: at.clone(), note: note.clone(), what };
    let ways = ways.into_iter().map(|what| Edit { base, command: pin(what) }).collect();
    Some(Card { html: card, ways })
}

/// What may be decided about the bars from this one on.
fn bars_from(card: &mut String, bar: u32) {
    let positions = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"];
    let positions = positions.map(|it| format!("<option>{it}</option>")).concat();
    let _ = write!(
        card,
        "<details class=\"span\"><summary>These bars</summary>\
         <label>From bar <input type=\"number\" class=\"span-from\" min=\"0\" value=\"{bar}\"></label>\
         <label>to bar <input type=\"number\" class=\"span-to\" min=\"0\" value=\"{bar}\"></label>\
         <label>Position <select class=\"span-position\">{positions}</select></label>\
         <button type=\"button\" data-span=\"position\">Keep the hand there</button> \
         <button type=\"button\" data-span=\"no-barre\">No barre in them</button></details>"
    );
}

fn hands(card: &mut String, tone: &ToneFingering) {
    card.push_str("<dl class=\"hands\">");
    if let Some(left) = tone.left {
        let _ = write!(card, "<dt>Left hand</dt><dd>{}</dd>", escaped(&placed(left)));
    }
    if let Some(right) = tone.right {
        let _ = write!(card, "<dt>Right hand</dt><dd><i>{right}</i></dd>");
    }
    card.push_str("</dl>");
}

/// What a pin says.
type Pinned = Vec<(PinKey, PinValue)>;

/// Why, and what else there is: the part is weighed again for it. What the pins of the other
/// ways say.
fn ask(
    card: &mut String,
    book: &Book,
    item: &BuiltItem,
    part: &FingeredPart,
    note: NoteId,
) -> Vec<Pinned> {
    let mut shown = Vec::new();
    let Some(tone) = item.score.tones(part.part).of_note(note) else { return shown };
    let own = |pin: &Pin| pin.scope == Scope::Tone(tone) && pin.author == PinAuthor::Author;
    let (decided, others): (Vec<Pin>, Vec<Pin>) = part.request.pins.0.iter().partition(|p| own(p));
    let pins = &part.request.pins;
    let weighed = |pins: &Pins, ask: &mut dyn FnMut(&Solved<'_>)| {
        let problem = Problem {
            score: &item.score,
            part: part.part,
            instrument: &book.instrument,
            level: &part.request.level,
            pins,
            effort: &book.effort,
            house: &part.request.house,
        };
        if let Ok((solved, _)) = solve(&problem, &part.request.right).and_then(Solved::alike) {
            ask(&solved);
        }
    };
    if decided.is_empty() {
        weighed(pins, &mut |solved| {
            if let Some(reason) = solved.reason(tone) {
                let _ =
                    write!(card, "<p class=\"why\">{}.</p>", escaped(&capital(&reason.sentence)));
            }
            shown = ways(card, item, solved, &solved.alternatives(tone));
        });
        return shown;
    }
    // What there would be, had nothing been decided about this note.
    weighed(&Pins(others), &mut |solved| {
        let free = solved.solution().fingering.tone(tone).left;
        let free = free.map_or_else(|| "nothing".to_owned(), placed);
        let (now, others): (Vec<Alternative>, Vec<Alternative>) = solved
            .alternatives(tone)
            .into_iter()
            .partition(|it| is_decided(it.difference, &decided));
        let more =
            now.first().map_or_else(String::new, |it| format!(", for {} more effort", it.more));
        let _ = write!(
            card,
            "<p class=\"why\">Decided in the plan{more}. The program alone would take {}.</p>\
             <p><button type=\"button\" data-take=\"unpin\">Leave it to the program</button></p>",
            escaped(&free)
        );
        shown = ways(card, item, solved, &others);
    });
    shown
}

/// Whether a way is what was decided about the left hand at this note, and no more.
fn is_decided(way: Difference, decided: &[Pin]) -> bool {
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

fn ways(
    card: &mut String,
    item: &BuiltItem,
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
        let moves = match other.difference {
            Difference::Position(position) => range(item, solved, other, position),
            _ => String::new(),
        };
        let _ = write!(
            card,
            "<li><button type=\"button\" data-take=\"{}\">{}</button> <span class=\"more\">{} more effort</span>{moves}",
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

/// Over which bars the hand is to stay in a position, to be seen and chosen.
fn range(item: &BuiltItem, solved: &Solved<'_>, other: &Alternative, position: Position) -> String {
    let part = solved.solution().fingering.part;
    let tones = item.score.tones(part);
    let at = tones.get(other.tone).onset;
    let Some(fingering) = solved.fingering_of(other) else { return String::new() };
    let (first, last) = stretch(&item.score, &fingering, position, at);
    let end = |end: &str, bar: u32| {
        format!(
            "<input type=\"number\" class=\"range-{end}\" min=\"0\" value=\"{bar}\" aria-label=\"The hand in {position}: {end} bar\">"
        )
    };
    format!(
        "<span class=\"range\" data-part=\"{}\">in bars {} to {}</span>",
        part.0,
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

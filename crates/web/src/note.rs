//! The card of a note: where it is played and why, what was decided about it, and what else
//! there is.

use std::fmt::Write;

use apoyando_book::edit::{Command, Edit, ItemPlace, NotePlace, Revision};
use apoyando_book::{Book, Item, ItemKind};
use apoyando_fingering::{Pin, PinAuthor, Pins, Problem, Scope, ToneFingering};
use apoyando_handout::{escaped, part_of, placed, spoken, tone_of};
use apoyando_hands::{Alternative, Solved, solve};
use apoyando_music::{NoteId, Score};
use apoyando_workshop::BuiltItem;
use apoyando_workshop::piece::FingeredPart;
use apoyando_workshop::pins::planned as in_plan;

use crate::bench::Bench;
use crate::remarks::{at_note, capital};
use crate::remedy::{About, Revisions};
use crate::ways::{Pinned, is_decided, ways};

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
        let about = About { read: &Revisions::default(), bench, item: Some(index) };
        ways = ask(&mut card, (book, about.in_plan(item)), (item, part), note);
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

/// Why, and what else there is: the part is weighed again for it. What the pins of the other
/// ways say.
fn ask(
    card: &mut String,
    (book, planned): (&Book, Option<&Item>),
    (item, part): (&BuiltItem, &FingeredPart),
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
            shown = ways(card, (item, part), solved, &solved.alternatives(tone));
        });
        return shown;
    }
    // Of a piece nobody else decides anything; a pin may hold here that is written in a like bar.
    let by_author = planned.is_none_or(|it| {
        let is_piece = matches!(it.kind, ItemKind::Solo(_) | ItemKind::Duet(..));
        let wrote = |pin: &Pin| in_plan(&item.score, part.part, &it.pins, pin).is_some();
        is_piece || decided.iter().any(wrote)
    });
    // What there would be, had nothing been decided about this note.
    weighed(&Pins(others), &mut |solved| {
        let free = solved.solution().fingering.tone(tone).left;
        let now = part.fingering.as_ref().and_then(|now| now.tone(tone).left);
        let (taken, others): (Vec<Alternative>, Vec<Alternative>) = solved
            .alternatives(tone)
            .into_iter()
            .partition(|it| is_decided(it.difference, &decided));
        let more = taken.first().map(|it| it.more);
        let why = match solved.reason(tone) {
            // The writer of the exercise wanted what the program would have taken.
            Some(reason) if !by_author && free == now => format!("{}.", capital(&reason.sentence)),
            _ => {
                let by =
                    if by_author { "Decided in the plan" } else { "The exercise is written so" };
                let more =
                    more.map_or_else(String::new, |more| format!(", for {more} more effort"));
                let free = free.map_or_else(|| "nothing".to_owned(), placed);
                format!("{by}{more}. The program alone would take {free}.")
            }
        };
        let _ = write!(card, "<p class=\"why\">{}</p>", escaped(&why));
        if by_author {
            card.push_str(
                "<p><button type=\"button\" data-take=\"unpin\">Leave it to the program</button></p>",
            );
        }
        shown = ways(card, (item, part), solved, &others);
    });
    shown
}

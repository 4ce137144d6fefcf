//! What is to be said of the book: as a list, and on the notes it is about.

use std::collections::{BTreeMap, HashSet};
use std::fmt::Write;

use apoyando_fingering::{Finding, FindingPlace};
use apoyando_handout::escaped;
use apoyando_music::{NoteId, PartIndex};
use apoyando_workshop::BuiltItem;

use crate::bench::Bench;
use crate::remedy::{About, Revisions, buttons};

/// The part that a finding names; the only one if it names none.
pub fn part_named(item: &BuiltItem, named: Option<&str>) -> Option<PartIndex> {
    let is_named = |part: &PartIndex| match named {
        None => item.score.parts().len() == 1,
        Some(name) => item.score.part(*part).name == name || name == format!("part {}", part.0 + 1),
    };
    item.score.part_indices().find(is_named)
}

/// The first note that a finding is about; `None` where it names no bar of the item.
fn note_of(item: &BuiltItem, place: &FindingPlace) -> Option<NoteId> {
    let number = place.bar?;
    let part = part_named(item, place.part.as_deref());
    let of_bar = |note: &&apoyando_music::Note| {
        part.is_none_or(|part| note.part == part) && item.score.bar_and_beat(note.onset).0 == number
    };
    let at_beat = |note: &&apoyando_music::Note| {
        place.beat.as_ref().is_none_or(|beat| item.score.bar_and_beat(note.onset).1 == *beat)
    };
    let mut notes = item.score.notes().iter().filter(of_bar);
    let first = notes.clone().next();
    notes.find(at_beat).or(first).map(|note| note.id)
}

/// What is to be said at the notes of an item.
pub fn at_notes(item: &BuiltItem) -> BTreeMap<NoteId, String> {
    let mut said: BTreeMap<NoteId, String> = BTreeMap::new();
    for finding in &item.findings {
        if let Some(note) = note_of(item, &finding.place) {
            let said = said.entry(note).or_default();
            if !said.is_empty() {
                said.push_str(" – ");
            }
            said.push_str(&sentence(finding));
        }
    }
    said
}

/// What is to be said at one note, each with what can be done about it.
pub fn at_note(bench: &Bench, index: usize, note: NoteId) -> String {
    let Some(item) = bench.item(index) else { return String::new() };
    let here = item.findings.iter().filter(|it| note_of(item, &it.place) == Some(note));
    let about = About { read: &Revisions::default(), bench, item: Some(index) };
    let said = here.map(|finding| {
        let said = escaped(&capital(&sentence(finding)));
        let can = buttons(about, finding);
        format!("<p class=\"remark\">{said}. <span class=\"remedies\">{can}</span></p>")
    });
    said.collect()
}

/// A finding and what can be done, without its place.
fn sentence(finding: &Finding) -> String {
    match &finding.remedy {
        Some(remedy) => format!("{} ({remedy})", finding.message),
        None => finding.message.clone(),
    }
}

/// As a sentence that stands alone.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// All of it as a list, in the order of the book; what is about notes leads to them, and what
/// the program can do about it stands beside it as buttons.
pub fn list(bench: &Bench) -> String {
    let items: Vec<_> = (0..).map_while(|index| bench.item(index)).collect();
    let read = Revisions::default();
    let of_items: HashSet<&Finding> = items.iter().flat_map(|item| &item.findings).collect();
    let mut list = String::from("<ul class=\"findings\">");
    let others = bench.findings().filter(|finding| !of_items.contains(finding));
    // Writing to a string cannot fail.
    for finding in others {
        let place = escaped(&finding.place.to_string());
        let place = if place.is_empty() { place } else { format!("{place}: ") };
        let (said, severity) = (escaped(&sentence(finding)), finding.severity);
        let can = buttons(About { read: &read, bench, item: None }, finding);
        let _ = write!(
            list,
            "<li class=\"{severity}\">{place}{said} <span class=\"remedies\">{can}</span></li>"
        );
    }
    for (index, item) in items.iter().enumerate().filter(|(_, item)| !item.findings.is_empty()) {
        let page = bench.page_of(index).unwrap_or_default();
        let title = escaped(&item.title);
        let _ = write!(list, "<li data-page=\"{page}\"><b>{title}</b><ul>");
        for finding in &item.findings {
            let place = FindingPlace { file: None, line: None, ..finding.place.clone() };
            let place = escaped(&place.to_string());
            let colon = if place.is_empty() { "" } else { ": " };
            let (said, severity) = (escaped(&sentence(finding)), finding.severity);
            let _ = write!(list, "<li class=\"{severity}\">{place}{colon}{said} ");
            let show = note_of(item, &finding.place).map(|note| {
                format!(
                    "<button type=\"button\" data-item=\"{index}\" data-note=\"{}\" aria-label=\"Show {place} of {title}\">Show</button> ",
                    note.0,
                )
            });
            let can = buttons(About { read: &read, bench, item: Some(index) }, finding);
            let show = show.unwrap_or_default();
            let _ = write!(list, "<span class=\"remedies\">{show}{can}</span>");
            list.push_str("</li>");
        }
        list.push_str("</ul></li>");
    }
    list.push_str("</ul>");
    if list.contains("<li") { list } else { "<p>There is nothing to be said.</p>".to_owned() }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    #[test]
    fn what_is_said_of_the_demo_leads_to_its_notes() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/garden-gate");
        let bench = Bench::open(&demo).unwrap();
        let list = list(&bench);
        let items = (0..).map_while(|item| bench.item(item));
        let found: Vec<(&Finding, Option<NoteId>)> = items
            .flat_map(|item| item.findings.iter().map(|it| (it, note_of(item, &it.place))))
            .collect();
        assert!(found.len() > 10);
        for (finding, note) in &found {
            assert_eq!(note.is_some(), finding.place.bar.is_some(), "{finding}");
        }
        assert_eq!(
            list.matches(">Show</button>").count(),
            found.iter().filter(|it| it.1.is_some()).count()
        );
    }
}

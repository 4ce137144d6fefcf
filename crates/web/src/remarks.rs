//! What is to be said of the book: as a list, and on the notes it is about.

use std::collections::BTreeMap;
use std::fmt::Write;

use apoyando_fingering::{Finding, FindingPlace};
use apoyando_music::NoteId;
use apoyando_workshop::BuiltItem;

use crate::bench::Bench;
use apoyando_handout::escaped;

/// The findings of an item, of its players too.
fn of_item(item: &BuiltItem) -> impl Iterator<Item = &Finding> {
    item.findings.iter().chain(item.parts.iter().flat_map(|part| &part.findings))
}

/// The first note that a finding is about; `None` where it names no bar of the item.
fn note_of(item: &BuiltItem, place: &FindingPlace) -> Option<NoteId> {
    let number = place.bar?;
    let named = |note: &apoyando_music::Note| match &place.part {
        None => true,
        Some(part) => {
            let own = &item.score.part(note.part).name;
            own == part || *part == format!("part {}", note.part.0 + 1)
        }
    };
    let of_bar = |note: &&apoyando_music::Note| {
        named(note) && item.score.bar_and_beat(note.onset).0 == number
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
    for finding in of_item(item) {
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

/// A finding and what can be done, without its place.
fn sentence(finding: &Finding) -> String {
    match &finding.remedy {
        Some(remedy) => format!("{} ({remedy})", finding.message),
        None => finding.message.clone(),
    }
}

/// All of it as a list, in the order of the book; what is about notes leads to them.
pub fn list(bench: &Bench) -> String {
    // Writing to a string cannot fail.
    let mut list = String::from("<ul class=\"findings\">");
    let mut told = 0;
    for finding in bench.findings().filter(|finding| finding.place.bar.is_none()) {
        let severity = finding.severity;
        let said = escaped(&finding.to_string());
        let _ = write!(list, "<li class=\"{severity}\">{said}</li>");
        told += 1;
    }
    for index in 0.. {
        let Some(item) = bench.item(index) else { break };
        let mut rows = String::new();
        for finding in of_item(item).filter(|finding| finding.place.bar.is_some()) {
            let place = escaped(&finding.place.to_string());
            let said = escaped(&sentence(finding));
            let _ = write!(rows, "<li class=\"{}\">{place}: {said}", finding.severity);
            if let Some(note) = note_of(item, &finding.place) {
                let _ = write!(
                    rows,
                    " <button type=\"button\" data-item=\"{index}\" data-note=\"{}\" aria-label=\"Show {place} of {}\">Show</button>",
                    note.0,
                    escaped(&item.title)
                );
            }
            rows.push_str("</li>");
            told += 1;
        }
        if !rows.is_empty() {
            let page = bench.page_of(index).unwrap_or_default();
            let title = escaped(&item.title);
            let _ = write!(list, "<li data-page=\"{page}\"><b>{title}</b><ul>{rows}</ul></li>");
        }
    }
    list.push_str("</ul>");
    if told == 0 { "<p>There is nothing to be said.</p>".to_owned() } else { list }
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
        let found: Vec<(&Finding, Option<NoteId>)> =
            items.flat_map(|item| of_item(item).map(|it| (it, note_of(item, &it.place)))).collect();
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

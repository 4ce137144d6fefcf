//! Title, authorship and the list of parts.

use apoyando_music::Heading;
use roxmltree::Node;

use super::{child, child_text, elements, text};

/// A part of the part list.
#[derive(Clone, Default)]
pub(super) struct ListedPart {
    pub id: String,
    pub name: String,
    /// Its name or its sound says that it is a guitar.
    pub guitar: bool,
}

/// Title and authorship.
pub(super) fn heading(root: Node<'_, '_>) -> Heading {
    let work = child(root, "work").map(|w| child_text(w, "work-title")).unwrap_or_default();
    let movement = child_text(root, "movement-title");
    let credited = |kind: &str| {
        let credit = elements(root, "credit")
            .find(|credit| elements(*credit, "credit-type").any(|node| text(node) == kind));
        credit.map(|credit| child_text(credit, "credit-words")).unwrap_or_default()
    };
    let (title, subtitle) = match (work, movement) {
        ("", "") => (credited("title"), credited("subtitle")),
        (work, "") => (work, credited("subtitle")),
        ("", movement) => (movement, credited("subtitle")),
        (work, movement) if work == movement => (work, credited("subtitle")),
        both => both,
    };
    let identification = child(root, "identification");
    let creator = |kind: &str| {
        identification
            .and_then(|node| elements(node, "creator").find(|c| c.attribute("type") == Some(kind)))
            .map(text)
            .unwrap_or_default()
    };
    let of = |name| identification.map(|node| child_text(node, name)).unwrap_or_default();
    Heading {
        title: title.to_owned(),
        subtitle: subtitle.to_owned(),
        composer: creator("composer").to_owned(),
        arranger: creator("arranger").to_owned(),
        source: of("source").to_owned(),
        rights: of("rights").to_owned(),
    }
}

/// What of the heading has no place in a score, by name.
pub(super) fn unread(root: Node<'_, '_>) -> Vec<String> {
    let identification = child(root, "identification");
    let creators = identification.into_iter().flat_map(|node| elements(node, "creator"));
    creators
        .filter(|c| !matches!(c.attribute("type"), Some("composer" | "arranger")))
        .map(|c| format!("creator “{}”", c.attribute("type").unwrap_or("of no type")))
        .collect()
}

/// The part list.
pub(super) fn parts(root: Node<'_, '_>) -> Vec<ListedPart> {
    let list = child(root, "part-list").into_iter().flat_map(|list| elements(list, "score-part"));
    list.map(|part| {
        let name = child(part, "part-name");
        let shown = name.filter(|name| name.attribute("print-object") != Some("no"));
        let said = ["instrument-name", "instrument-sound"];
        let instruments = elements(part, "score-instrument");
        let guitar = name
            .map(text)
            .into_iter()
            .chain(instruments.flat_map(|node| said.map(|name| child_text(node, name))))
            .any(|text| text.to_lowercase().contains("guit"));
        ListedPart {
            id: part.attribute("id").unwrap_or_default().to_owned(),
            name: shown.map(text).unwrap_or_default().to_owned(),
            guitar,
        }
    })
    .collect()
}

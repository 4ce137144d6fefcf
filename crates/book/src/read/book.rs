//! `book.toml`.

use std::collections::BTreeMap;

use apoyando_fingering::{EffortTable, Level, Term};
use apoyando_fretboard::{Fret, Instrument, Millimetres};
use serde::Deserialize;
use serde::de::value::{Error as ValueError, MapDeserializer};

use crate::folder::Folder;
use crate::node::{Faults, Fields, Node};
use crate::plan::{Book, Credit, House, NamedLevel};
use crate::read::{self, edition, house, level, section};
use crate::source::Source;

/// Reads the plan and every section it names.
pub(crate) fn read(
    folder: &Folder<'_>,
    source: &Source,
    text: &str,
    faults: &Faults,
) -> Option<Book> {
    let document = match read::parse(source, text) {
        Ok(document) => document,
        Err(error) => {
            faults.borrow_mut().push(error);
            return None;
        }
    };
    let fields = Fields::root(document.as_table(), source, faults);
    let title = fields.need("title", "title = \"The First Positions\"").and_then(|n| n.text());
    let subtitle = fields.text_or_empty("subtitle");
    let author = fields.text_or_empty("author");
    let rights = fields.text_or_empty("rights");
    let language = fields.get("language").and_then(|node| node.choice()).unwrap_or_default();
    let paper = fields.get("paper").and_then(|node| node.choice()).unwrap_or_default();
    let instrument = fields
        .get("instrument")
        .and_then(|node| node.fields())
        .map_or_else(Instrument::guitar, instrument);
    let open = NamedLevel { name: String::new(), level: Level::open() };
    let level = fields.get("level").map_or_else(|| open.clone(), |n| level::read(&n, &open));
    let (house, effort) = house_and_effort(&fields);
    let editions = edition::read(&fields, paper, &house);
    let preface = section::prose(&fields, "preface", folder);
    let credits = fields.get("credits").iter().flat_map(Node::tables).filter_map(credit).collect();
    let sections = fields
        .need("sections", "sections = [\"g-major\"]")
        .iter()
        .flat_map(Node::each)
        .filter_map(|node| {
            let name = node.text()?;
            let file = format!("sections/{name}.toml");
            let text = folder.text(&node, &file, "sections")?;
            let source = Source::new(&file, &text);
            section::read(&name, &source, &text, (folder, &house, &level), faults)
        })
        .collect();
    let place = fields.place().clone();
    fields.finish();
    Some(Book {
        folder: folder.root().to_owned(),
        place,
        title: title?,
        subtitle,
        author,
        rights,
        language,
        paper,
        instrument,
        level,
        effort,
        house,
        editions,
        preface,
        sections,
        credits,
        pieces: BTreeMap::new(),
    })
}

/// House style, and the table of effort with what the house and the author
/// change in it.
pub(crate) fn house_and_effort(fields: &Fields<'_>) -> (House, EffortTable) {
    let house = fields
        .get("house")
        .and_then(|node| node.fields())
        .map_or_else(House::default, house::house);
    let effort = fields
        .get("effort")
        .and_then(|node| node.fields())
        .map_or_else(|| house::effort_of(&house), |fields| effort(fields, &house));
    (house, effort)
}

fn instrument(fields: Fields<'_>) -> Instrument {
    let mut instrument = Instrument::guitar();
    if let Some(tuning) = fields.get("tuning").and_then(|node| node.parsed()) {
        instrument.tuning = tuning;
    }
    let length = |key, range, into: &mut Millimetres| {
        if let Some(length) = fields.get(key).and_then(|node| node.number(range, " mm")) {
            *into = Millimetres(length);
        }
    };
    length("scale-length", 300.0..=900.0, &mut instrument.scale_length);
    length("nut-spread", 20.0..=90.0, &mut instrument.nut_spread);
    length("bridge-spread", 20.0..=120.0, &mut instrument.bridge_spread);
    if let Some(frets) = fields.get("frets").and_then(|node| node.whole(5..=24)) {
        instrument.frets = Fret(frets as u8);
    }
    if let Some(capo) = fields.get("capo").and_then(|node| node.whole(0..=12)) {
        instrument.capo = Fret(capo as u8);
    }
    fields.finish();
    instrument
}

/// Every term of the table may be given another value, under its own name;
/// what is not said is as the house has it.
fn effort(fields: Fields<'_>, house: &House) -> EffortTable {
    let usual = house::effort_of(house);
    let values: Vec<(&'static str, i32)> = Term::ALL
        .iter()
        .map(|info| {
            let given = fields.get(kebab(info.name)).and_then(|node| node.whole(0..=1000));
            (info.name, given.map_or(usual.value(info.term), |value| value as i32))
        })
        .collect();
    fields.finish();
    let map: MapDeserializer<'_, _, ValueError> = MapDeserializer::new(values.into_iter());
    EffortTable::deserialize(map).unwrap_or_default()
}

/// The name of a term as the plan writes it.
fn kebab(name: &'static str) -> &'static str {
    use std::sync::LazyLock;
    static NAMES: LazyLock<BTreeMap<&'static str, &'static str>> = LazyLock::new(|| {
        Term::ALL
            .iter()
            .map(|info| (info.name, &*Box::leak(info.name.replace('_', "-").into_boxed_str())))
            .collect()
    });
    NAMES.get(name).copied().unwrap_or(name)
}

fn credit(fields: Fields<'_>) -> Option<Credit> {
    let what = fields.need("what", "what = \"Editing\"").and_then(|node| node.text());
    let who = fields.need("who", "who = \"A. Teacher\"").and_then(|node| node.text());
    fields.finish();
    Some(Credit { what: what?, who: who? })
}

//! Items of a section.

use apoyando_fingering::Level;
use apoyando_music::{Base, Degree, Key, Mode, NoteValue};

use crate::error::BookError;
use crate::folder::Folder;
use crate::node::{Fields, Node};
use crate::plan::{
    Arpeggio, BarPattern, DuetPart, Exercise, House, Item, ItemKind, NamedLevel, Piece,
    PositionChoice, Progression, RightHand, Scale, Triads,
};
use crate::read::words::Kind;
use crate::read::{breaks, level, nudges, pins, seen};

/// What an item stands in.
pub(crate) struct Around<'a> {
    pub(crate) folder: &'a Folder<'a>,
    pub(crate) house: &'a House,
    pub(crate) level: &'a NamedLevel,
    pub(crate) key: Option<Key>,
}

/// Reads one `[[items]]`.
pub(crate) fn read(fields: Fields<'_>, around: &Around<'_>) -> Option<Item> {
    let kind = fields.need("kind", "kind = \"scale\"").and_then(|node| node.choice::<Kind>());
    let item = kind.and_then(|kind| {
        let level = match fields.get("level") {
            Some(node) => level::narrowed(&node, around.level, "this item").level,
            None => around.level.level.clone(),
        };
        let level = level::widened(&fields, level);
        let title = fields.get("title").and_then(|node| node.text());
        let density =
            fields.get("density").and_then(|node| node.choice()).unwrap_or(around.house.density);
        let right = right_hand(&fields, around.house);
        let aim = fields.get("aim").and_then(|node| node.text());
        let goal = fields.get("goal").and_then(|node| node.whole(20..=300)).map(|goal| goal as u16);
        let also_with = fields
            .get("also-with")
            .map(|node| node.each().iter().filter_map(Node::parsed).collect())
            .unwrap_or_default();
        let advice = fields
            .get("advice")
            .map(|node| node.each().iter().filter_map(Node::text).collect())
            .unwrap_or_default();
        let prepare = fields.get("prepare").and_then(|node| node.yes_or_no()).unwrap_or(false);
        let pins = pins::read(&fields);
        let breaks = breaks::read(&fields, !matches!(kind, Kind::Text));
        let nudges = match kind {
            Kind::Text => Vec::new(),
            _ => nudges::read(&fields),
        };
        let seen = match kind {
            Kind::Text => Vec::new(),
            _ => seen::read(&fields),
        };
        let kind = item_kind(kind, &fields, around, &level)?;
        let place = fields.place().clone();
        Some(Item {
            place,
            title,
            level,
            density,
            right,
            aim,
            goal,
            also_with,
            advice,
            prepare,
            pins,
            breaks,
            nudges,
            seen,
            kind,
        })
    });
    // Without a kind it is not known which keys are allowed.
    if kind.is_some() {
        fields.finish();
    }
    item
}

fn right_hand(fields: &Fields<'_>, house: &House) -> RightHand {
    RightHand {
        alternation: fields
            .get("alternation")
            .and_then(|node| node.parsed())
            .unwrap_or(house.alternation),
        stroke: fields.get("stroke").and_then(|node| node.choice()).or(house.stroke),
        pattern: fields.get("pattern").and_then(|node| node.parsed()),
        bar_patterns: fields
            .get("patterns")
            .iter()
            .flat_map(Node::tables)
            .filter_map(bar_pattern)
            .collect(),
    }
}

/// One `[[items.patterns]]`.
fn bar_pattern(fields: Fields<'_>) -> Option<BarPattern> {
    let bars = fields.need("bars", "bars = \"5-8\"").and_then(|node| pins::range(&node));
    let pattern = fields.need("pattern", "pattern = \"p i m a\"").and_then(|node| node.parsed());
    let place = fields.place().clone();
    fields.finish();
    Some(BarPattern { place, bars: bars?, pattern: pattern? })
}

fn item_kind(
    kind: Kind,
    fields: &Fields<'_>,
    around: &Around<'_>,
    level: &Level,
) -> Option<ItemKind> {
    match kind {
        Kind::Scale => {
            let exercise = exercise(fields, around, NoteValue::plain(Base::Quarter));
            let octave =
                fields.get("octave").and_then(|n| n.whole(2..=6)).map(|octave| octave as i8);
            Some(ItemKind::Scale(Scale { exercise: exercise?, octave }))
        }
        Kind::PositionScale => {
            exercise(fields, around, NoteValue::plain(Base::Quarter)).map(ItemKind::PositionScale)
        }
        Kind::Arpeggio => exercise(fields, around, NoteValue::plain(Base::Eighth))
            .map(|exercise| ItemKind::Arpeggio(Arpeggio { exercise })),
        Kind::Triads => {
            let exercise = exercise(fields, around, NoteValue::plain(Base::Half));
            let tonic = if around.key.is_some_and(|k| k.mode() == Mode::Minor) { "i" } else { "I" };
            let degree = match fields.get("degree") {
                Some(node) => degree(&node, &node.text()?, around.key),
                None => tonic.parse().ok(),
            };
            Some(ItemKind::Triads(Triads { exercise: exercise?, degree: degree? }))
        }
        Kind::Progression => {
            let exercise = exercise(fields, around, NoteValue::plain(Base::Eighth));
            let degrees =
                fields.need("degrees", "degrees = \"I IV V7 I\"").map(|n| degrees(&n, around.key));
            Some(ItemKind::Progression(Progression { exercise: exercise?, degrees: degrees?? }))
        }
        Kind::Solo => piece(fields, around).map(ItemKind::Solo),
        Kind::Duet => {
            let parts = [duet_part(fields, "student", level), duet_part(fields, "teacher", level)];
            piece(fields, around).map(|piece| ItemKind::Duet(piece, parts))
        }
        Kind::Text => {
            let node = fields.need("file", "file = \"practice.md\"")?;
            around.folder.prose(&node).map(ItemKind::Text)
        }
    }
}

fn exercise(fields: &Fields<'_>, around: &Around<'_>, value: NoteValue) -> Option<Exercise> {
    let position = fields.get("position").and_then(|node| position_choice(&node));
    let minor = fields.get("minor");
    let value = fields.get("note-value").and_then(|node| node.choice()).unwrap_or(value);
    let Some(key) = around.key else {
        fields.fault(BookError::Contradiction {
            place: fields.place().clone(),
            message: "an exercise needs a key; add key = \"G major\" at the top of the section"
                .to_owned(),
        });
        return None;
    };
    let minor = match minor {
        Some(node) if key.mode() == Mode::Major => {
            node.fault(BookError::Contradiction {
                place: node.place().clone(),
                message: format!("“minor” has no meaning in {key}; remove it"),
            });
            None
        }
        node => node.and_then(|node| node.choice()),
    };
    Some(Exercise { position, minor: minor.unwrap_or_default(), value })
}

/// `"auto"` or a position.
pub(crate) fn position_choice(node: &Node<'_>) -> Option<PositionChoice> {
    if node.is("auto") {
        return Some(PositionChoice::Auto);
    }
    level::position(node).map(PositionChoice::At)
}

/// A text of degrees or a list of them.
fn degrees(node: &Node<'_>, key: Option<Key>) -> Option<Vec<Degree>> {
    let texts: Vec<(Node<'_>, String)> =
        node.each().into_iter().filter_map(|node| node.text().map(|text| (node, text))).collect();
    let words =
        texts.iter().flat_map(|(node, text)| text.split_whitespace().map(move |w| (node, w)));
    let read: Vec<Option<Degree>> = words.map(|(node, word)| degree(node, word, key)).collect();
    if read.is_empty() {
        node.not_allowed("write one or more degrees, as in “I IV V7 I”");
        return None;
    }
    read.into_iter().collect()
}

/// A degree that can be spelled in the section's key.
fn degree(node: &Node<'_>, word: &str, key: Option<Key>) -> Option<Degree> {
    let degree: Degree = match word.parse() {
        Ok(degree) => degree,
        Err(error) => {
            let error: apoyando_music::degree::DegreeTextError = error;
            node.bad_text(error.to_string());
            return None;
        }
    };
    if let Some(Err(error)) = key.map(|key| degree.in_key(key)) {
        node.bad_text(error.to_string());
        return None;
    }
    Some(degree)
}

fn piece(fields: &Fields<'_>, around: &Around<'_>) -> Option<Piece> {
    let tune = fields.get("tune").map_or(Some(1), |node| node.whole(1..=100_000));
    let composer = fields.get("composer").and_then(|node| node.text());
    let source = fields.get("source").and_then(|node| node.text());
    let rights = fields.get("rights").and_then(|node| node.text());
    let tempo = fields.get("tempo").and_then(|node| node.whole(20..=400)).map(|tempo| tempo as u16);
    let node = fields.need("file", "file = \"minuet.musicxml\"")?;
    let file = around.folder.piece(&node)?;
    let place = node.place().clone();
    Some(Piece { file, place, tune: tune? as u32, composer, source, rights, tempo })
}

/// `[items.student]` and `[items.teacher]`: a name and a level. The teacher's
/// level may be more open than the book's.
fn duet_part(fields: &Fields<'_>, who: &'static str, level: &Level) -> DuetPart {
    let mut part = DuetPart { name: String::new(), level: level.clone() };
    let Some(table) = fields.get(who).and_then(|node| node.fields()) else {
        return part;
    };
    part.name = table.text_or_empty("name");
    if let Some(node) = table.get("level") {
        let around = NamedLevel { name: String::new(), level: level.clone() };
        part.level = if who == "teacher" {
            level::read(&node, &around).level
        } else {
            level::narrowed(&node, &around, "the student's part").level
        };
    }
    part.level = level::widened(&table, part.level);
    table.finish();
    part
}

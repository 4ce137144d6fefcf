//! Lyrics.

use apoyando_music::{ELISION, Verse};
use roxmltree::Node;

use super::part::PartReader;
use super::{child, elements, text};
use crate::rough::{RoughLyric, RoughSung};

/// Reads all lyrics of a note.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Vec<RoughLyric> {
    elements(node, "lyric").filter_map(|item| lyric(reader, item)).collect()
}

fn lyric(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Option<RoughLyric> {
    let verse = verse(node);
    let held = child(node, "extend").is_some();
    let mut letters = String::new();
    let mut goes_on = false;
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "text" => {
                letters.push_str(&text(item).split_whitespace().collect::<Vec<_>>().join(" "))
            }
            // The last one tells whether the word goes on.
            "syllabic" => goes_on = matches!(text(item), "begin" | "middle"),
            "elision" => letters.push(ELISION),
            "extend" | "end-line" | "end-paragraph" | "footnote" | "level" => {}
            name => reader.report.not_read(&format!("<{name}> of a lyric")),
        }
    }
    let blank = letters.trim_matches([ELISION, ' ']).is_empty();
    let sung = match (blank, held) {
        (false, _) => RoughSung::Syllable { text: letters, goes_on, held },
        // Held from a note without a syllable.
        (true, true) if extend(node) == "start" => return None,
        (true, true) => RoughSung::Held,
        (true, false) => return None,
    };
    Some(RoughLyric { verse, sung })
}

fn extend<'a>(node: Node<'a, '_>) -> &'a str {
    child(node, "extend").and_then(|extend| extend.attribute("type")).unwrap_or_default()
}

/// The number of a verse. Some files write it among other letters.
fn verse(node: Node<'_, '_>) -> Verse {
    let digits = |text: &str| {
        let last: String = text.chars().rev().take_while(char::is_ascii_digit).collect();
        last.chars().rev().collect::<String>().parse().ok()
    };
    let name = || digits(node.attribute("name")?);
    Verse(node.attribute("number").and_then(digits).or_else(name).unwrap_or(1))
}

//! Repeats, endings and the ends of bars.

use apoyando_music::{BarEnd, Ending};
use roxmltree::Node;

use super::part::PartReader;
use super::{child, text};
use crate::sign::Sign;
use crate::time::zero;

/// Reads a barline into the present bar.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    let location = node.attribute("location").unwrap_or("right");
    if location == "middle" {
        reader.report.not_read("barline in mid-bar");
        return;
    }
    let left = location == "left";
    let at = left.then(zero);
    for (name, sign) in [("segno", Sign::Segno), ("coda", Sign::Coda)] {
        if node.attribute(name).is_some() {
            reader.sign(sign, at);
        }
    }
    let mut final_style = false;
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "bar-style" => match text(item) {
                "light-light" if !left => reader.bar.end = BarEnd::Double,
                "light-heavy" if !left => final_style = true,
                "regular" | "none" | "heavy-light" | "light-heavy" | "light-light" => {}
                other => reader.report.not_read(&format!("bar style “{other}”")),
            },
            "repeat" => match item.attribute("direction") {
                Some("forward") if left => reader.bar.repeat_start = true,
                Some("forward") => reader.repeat_next = true,
                Some("backward") => {
                    let times = item.attribute("times").and_then(|times| times.parse().ok());
                    let times = Some(times.unwrap_or(2));
                    if left {
                        if let Some(last) = reader.bars.last_mut() {
                            last.repeat_end = times;
                        }
                    } else {
                        reader.bar.repeat_end = times;
                    }
                }
                _ => reader.report.not_read("repeat without direction"),
            },
            "segno" => reader.sign(Sign::Segno, at),
            "coda" => reader.sign(Sign::RingAndCross, at),
            "ending" => ending(reader, item),
            // A wavy line goes on over it.
            "wavy-line" | "editorial" | "footnote" | "level" => {}
            name => reader.report.not_read(&format!("<{name}> at a barline")),
        }
    }
    // A repeat has the same look; only without one is it the end.
    if final_style && child(node, "repeat").is_none() {
        reader.bar.end = BarEnd::Final;
    }
}

fn ending(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) {
    match node.attribute("type") {
        Some("start") => {
            let passes = passes(node.attribute("number").unwrap_or("1"));
            if passes.is_empty() {
                reader.report.not_read("ending without number");
            } else {
                reader.bar.ending = Some(Ending { passes, first: true, last: false });
            }
        }
        Some("stop" | "discontinue") => match &mut reader.bar.ending {
            Some(ending) => ending.last = true,
            None => reader.report.not_read("end of an ending that has no beginning"),
        },
        _ => reader.report.not_read("ending without type"),
    }
}

/// `1, 2` or `1-3`.
fn passes(text: &str) -> Vec<u8> {
    let mut passes = Vec::new();
    for item in text.split([',', ' ']).filter(|item| !item.is_empty()) {
        let number = |text: &str| text.trim_end_matches('.').parse::<u8>().ok();
        match item.split_once('-') {
            Some((from, to)) => {
                if let (Some(from), Some(to)) = (number(from), number(to)) {
                    passes.extend(from..=to);
                }
            }
            None => passes.extend(number(item)),
        }
    }
    passes.retain(|pass| *pass > 0);
    passes
}

//! Ties, slurs, glissandi, tuplet brackets, articulations, ornaments and the
//! fingering at a note.

use apoyando_fingering::{LeftFinger, RightFinger};
use apoyando_fretboard::{Fret, StringNumber};
use apoyando_music::{Dynamic, EventMark, Sweep};
use roxmltree::Node;

use super::grace::Graces;
use super::part::PartReader;
use super::wavy::{self, WavyEnd};
use super::{child, child_text, elements, text};
use crate::rough::{HandMarks, HarmonicPitch, RoughHarmonic};

/// What the notations of a note say.
#[derive(Default)]
pub(super) struct Notations {
    pub tied: bool,
    pub tuplet_first: bool,
    pub tuplet_last: bool,
    pub marks: Vec<EventMark>,
    pub hand: HandMarks,
    pub harmonic: Option<RoughHarmonic>,
    pub dynamics: Vec<Dynamic>,
    pub wavy_ends: Vec<WavyEnd>,
}

/// Reads all notations of a note.
pub(super) fn read(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Notations {
    let mut read = Notations::default();
    let mut slurs = Slurs::default();
    let items = elements(node, "notations").flat_map(|notations| notations.children());
    for item in items.filter(Node::is_element) {
        let kind = item.attribute("type");
        match item.tag_name().name() {
            "tied" => match kind {
                Some("start" | "continue") => read.tied = true,
                Some("stop") => {}
                Some("let-ring") => read.marks.push(EventMark::LetRing),
                _ => reader.report.not_read("tie that leads to no note"),
            },
            "slur" if Graces::ends(reader, item) => {}
            "glissando" | "slide" if Graces::ends(reader, item) => {}
            "slur" => match kind {
                Some("start") => slurs.starts += 1,
                Some("stop") => slurs.ends += 1,
                _ => {}
            },
            "glissando" | "slide" => match kind {
                Some("start") => read.marks.push(EventMark::GlideStart),
                Some("stop") => read.marks.push(EventMark::GlideEnd),
                _ => {}
            },
            "tuplet" => {
                let nested = item.attribute("number").is_some_and(|number| number != "1");
                match kind {
                    _ if nested => reader.report.not_read("bracket of a nested tuplet"),
                    Some("start") => read.tuplet_first = true,
                    Some("stop") => read.tuplet_last = true,
                    _ => {}
                }
            }
            "technical" => technical(reader, item, &mut read, &mut slurs),
            "articulations" => {
                for mark in item.children().filter(Node::is_element) {
                    match mark.tag_name().name() {
                        "staccato" => read.marks.push(EventMark::Staccato),
                        "tenuto" => read.marks.push(EventMark::Tenuto),
                        "accent" => read.marks.push(EventMark::Accent),
                        "breath-mark" => read.marks.push(EventMark::Breath),
                        "caesura" => read.marks.push(EventMark::Caesura),
                        name => reader.report.not_read(&format!("<{name}>")),
                    }
                }
            }
            "fermata" => read.marks.push(EventMark::Fermata),
            "arpeggiate" => {
                let sweep = item.attribute("direction").and_then(sweep);
                read.marks.push(EventMark::Arpeggio(sweep));
            }
            "non-arpeggiate" => read.marks.push(EventMark::Together),
            "ornaments" => {
                for mark in item.children().filter(Node::is_element) {
                    ornament(reader, mark, &mut read);
                }
            }
            "dynamics" => read.dynamics.extend(dynamics(reader, item)),
            "footnote" | "level" => {}
            name => reader.report.not_read(&format!("<{name}>")),
        }
    }
    slurs.add_to(&mut read.marks);
    read
}

/// The dynamics of a `dynamics` element.
pub(super) fn dynamics(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>) -> Vec<Dynamic> {
    let marks = node.children().filter(Node::is_element);
    marks
        .filter_map(|mark| {
            let name = mark.tag_name().name();
            let known = Dynamic::from_letters(name);
            if known.is_none() {
                reader.report.not_read(&format!("dynamic <{name}>"));
            }
            known
        })
        .collect()
}

/// MusicXML 4.0: `mordent` is the sign with the vertical line, to the step
/// below, `inverted-mordent` the one without.
fn ornament(reader: &mut PartReader<'_, '_>, node: Node<'_, '_>, read: &mut Notations) {
    let name = node.tag_name().name();
    read.marks.push(match name {
        "trill-mark" => EventMark::Trill,
        "mordent" => EventMark::Mordent,
        "inverted-mordent" => EventMark::InvertedMordent,
        "turn" => EventMark::Turn,
        "inverted-turn" => EventMark::InvertedTurn,
        "wavy-line" => {
            read.wavy_ends.extend(wavy::end(reader, node));
            return;
        }
        name => {
            reader.report.not_read(&format!("<{name}>"));
            return;
        }
    });
    let longer = node.attribute("long") == Some("yes")
        || ["approach", "departure"].iter().any(|side| node.attribute(*side).is_some());
    if longer {
        reader.report.not_read(&format!("longer form of a <{name}>"));
    }
}

/// MusicXML 4.0: natural or artificial, and which of its pitches the note has.
fn harmonic(node: Node<'_, '_>) -> Option<RoughHarmonic> {
    let natural = match (child(node, "natural"), child(node, "artificial")) {
        (Some(_), _) => true,
        (None, Some(_)) => false,
        (None, None) => return None,
    };
    let pitches = [
        ("sounding-pitch", HarmonicPitch::Sounding),
        ("touching-pitch", HarmonicPitch::Touching),
        ("base-pitch", HarmonicPitch::Base),
    ];
    let shows = pitches.into_iter().find(|(name, _)| child(node, name).is_some());
    Some(RoughHarmonic { natural, shows: shows.map(|(_, pitch)| pitch) })
}

/// Slurs at a note; a hammer-on or pull-off and the slur drawn for it are one.
#[derive(Default)]
struct Slurs {
    starts: usize,
    ends: usize,
    technical_starts: usize,
    technical_ends: usize,
}

impl Slurs {
    fn add_to(&self, marks: &mut Vec<EventMark>) {
        let ends = self.ends.max(self.technical_ends);
        marks.extend(std::iter::repeat_n(EventMark::SlurEnd, ends));
        for index in 0..self.starts.max(self.technical_starts) {
            marks.push(EventMark::SlurStart { technical: index < self.technical_starts });
        }
    }
}

fn technical(
    reader: &mut PartReader<'_, '_>,
    node: Node<'_, '_>,
    read: &mut Notations,
    slurs: &mut Slurs,
) {
    for mark in node.children().filter(Node::is_element) {
        let said = text(mark);
        let understood = match mark.tag_name().name() {
            "string" => set(&mut read.hand.string, said.parse().ok().and_then(StringNumber::new)),
            "fret" => {
                let fret = said.parse().ok().map(Fret).filter(|fret| *fret <= Fret::MOST);
                set(&mut read.hand.fret, fret)
            }
            "fingering" if mark.attribute("alternate") == Some("yes") => false,
            // MusicXML 4.0, `fingering`: a finger that takes over a note that is held.
            "fingering" if mark.attribute("substitution") == Some("yes") => {
                let finger = said.parse().ok().and_then(LeftFinger::from_digit);
                set(&mut read.hand.second, finger)
            }
            "fingering" => match said.parse::<u8>() {
                Ok(0) => set(&mut read.hand.left, Some(None)),
                Ok(digit) => set(&mut read.hand.left, LeftFinger::from_digit(digit).map(Some)),
                // Some files put the right hand's letters here.
                Err(_) => set(&mut read.hand.right, right(said)),
            },
            "pluck" => set(&mut read.hand.right, right(said)),
            "open-string" => set(&mut read.hand.left, Some(None)),
            "harmonic" => set(&mut read.harmonic, harmonic(mark)),
            "arrow" => {
                let strum = sweep(child_text(mark, "arrow-direction")).map(EventMark::Strum);
                read.marks.extend(strum);
                strum.is_some()
            }
            "hammer-on" | "pull-off" if Graces::ends(reader, mark) => true,
            "hammer-on" | "pull-off" => {
                match mark.attribute("type") {
                    Some("start") => slurs.technical_starts += 1,
                    _ => slurs.technical_ends += 1,
                }
                true
            }
            _ => false,
        };
        if !understood {
            let name = mark.tag_name().name();
            let said = if said.is_empty() { String::new() } else { format!(" “{said}”") };
            reader.report.not_read(&format!("<{name}>{said}"));
        }
    }
}

/// The way that an arrow up or down the page shows.
fn sweep(direction: &str) -> Option<Sweep> {
    match direction {
        "up" => Some(Sweep::ToTreble),
        "down" => Some(Sweep::ToBass),
        _ => None,
    }
}

/// The letter of a right-hand finger, in either case.
fn right(text: &str) -> Option<RightFinger> {
    let mut letters = text.chars();
    let letter = letters.next()?.to_ascii_lowercase();
    if letters.next().is_some() { None } else { RightFinger::from_letter(letter) }
}

/// Keeps the first value; whether this one is understood.
fn set<T: PartialEq + Copy>(place: &mut Option<T>, value: Option<T>) -> bool {
    match (*place, value) {
        (_, None) => false,
        (None, value) => {
            *place = value;
            true
        }
        (Some(kept), Some(value)) => kept == value,
    }
}

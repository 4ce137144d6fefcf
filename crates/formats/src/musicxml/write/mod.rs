//! MusicXML 4.0, partwise, with the guitar's own marks.
//!
//! The order of elements is that of the schema. What is printed follows the
//! marks; the rest of the fingering stands in notations that are not printed,
//! so that a file always holds the whole fingering.

mod accidentals;
mod bar;
mod cue;
mod directions;
mod hand;
mod lyrics;
mod marks;
mod note;
mod signs;
mod spanners;
mod xml;

use apoyando_fingering::Fingering;
use apoyando_fretboard::Instrument;
use apoyando_marks::Marks;
use apoyando_music::{Clef, Heading, Moment, Part, PartIndex, Score};
use num_integer::Integer;

use bar::BarWriter;
use directions::Directions;
use hand::Hands;
use xml::Xml;

/// The fingering of one part, for the writer.
#[derive(Clone, Copy, Debug)]
pub struct Layer<'a> {
    /// The part.
    pub part: PartIndex,
    /// What it is played on.
    pub instrument: &'a Instrument,
    /// How it is fingered.
    pub fingering: &'a Fingering,
    /// What of it is printed.
    pub marks: &'a Marks,
}

/// Writes a score with its fingerings. The same input gives the same bytes; no
/// date is written. A layer made for another revision of the score is left out,
/// since its numbers mean other notes.
pub fn write(score: &Score, layers: &[Layer<'_>]) -> String {
    let mut xml = Xml::new();
    xml.open("score-partwise", &[("version", "4.0")]);
    heading(&mut xml, score.heading());
    xml.open("part-list", &[]);
    for (index, part) in score.parts().iter().enumerate() {
        xml.open("score-part", &[("id", &part_id(index))]);
        xml.text("part-name", &[], &part.name);
        xml.close();
    }
    xml.close();
    let divisions = divisions(score);
    for (index, part) in score.parts().iter().enumerate() {
        let layer = layers.iter().find(|layer| {
            usize::from(layer.part.0) == index && layer.fingering.revision == score.revision()
        });
        write_part(&mut xml, score, PartIndex(index as u16), part, layer, divisions);
    }
    xml.close();
    xml.finish()
}

fn part_id(index: usize) -> String {
    format!("P{}", index + 1)
}

fn heading(xml: &mut Xml, heading: &Heading) {
    if !heading.title.is_empty() {
        xml.open("work", &[]);
        xml.text("work-title", &[], &heading.title);
        xml.close();
    }
    if !heading.subtitle.is_empty() {
        xml.text("movement-title", &[], &heading.subtitle);
    }
    xml.open("identification", &[]);
    for (kind, name) in [("composer", &heading.composer), ("arranger", &heading.arranger)] {
        if !name.is_empty() {
            xml.text("creator", &[("type", kind)], name);
        }
    }
    if !heading.rights.is_empty() {
        xml.text("rights", &[], &heading.rights);
    }
    xml.open("encoding", &[]);
    xml.text("software", &[], concat!("apoyando ", env!("CARGO_PKG_VERSION")));
    xml.close();
    if !heading.source.is_empty() {
        xml.text("source", &[], &heading.source);
    }
    xml.close();
}

/// Ticks of a quarter, so that every length of the score and every moment of a
/// dynamic or of words is a whole number.
fn divisions(score: &Score) -> i64 {
    let voices = score.parts().iter().flat_map(|part| &part.voices);
    let events = voices.flat_map(|voice| voice.bars.iter().flatten());
    let bars = score.bars().iter().map(|bar| bar.length);
    let dynamics = score.parts().iter().flat_map(|part| &part.dynamics).map(|mark| mark.at);
    let hairpins = score.parts().iter().flat_map(|part| &part.hairpins);
    let words = score.parts().iter().flat_map(|part| &part.words);
    let words = words.flat_map(|words| [Some(words.at), words.until]).flatten();
    let hairpins = hairpins.flat_map(|hairpin| [hairpin.from, hairpin.until]);
    let moments = dynamics.chain(words).chain(hairpins);
    events
        .map(|event| event.duration)
        .chain(bars)
        .chain(cue::lengths(score))
        .chain(moments.map(Moment::since_start))
        .fold(1i64, |ticks, length| ticks.lcm((length * 4).ratio().denom()))
}

fn write_part(
    xml: &mut Xml,
    score: &Score,
    index: PartIndex,
    part: &Part,
    layer: Option<&Layer<'_>>,
    divisions: i64,
) {
    xml.open("part", &[("id", &part_id(usize::from(index.0)))]);
    let hands = layer.map(|layer| Hands::new(score, layer));
    let mut writer = BarWriter::new(score, part, hands, divisions);
    let mut directions = Directions::new(score, index, layer);
    for bar in 0..score.bars().len() {
        writer.write(xml, bar, layer.map(|layer| layer.instrument), &mut directions);
    }
    xml.close();
}

/// Sign, line and octave change of a clef.
const fn clef(clef: Clef) -> (&'static str, &'static str, Option<&'static str>) {
    match clef {
        Clef::Guitar => ("G", "2", Some("-1")),
        Clef::Treble => ("G", "2", None),
        Clef::Bass => ("F", "4", None),
    }
}

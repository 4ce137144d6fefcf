//! `pieces/NAME.pins.toml`: which notes and bars the pins of the plan mean.
//!
//! The plan points at a note by bar and beat. When the piece is changed, bars
//! move; so a build puts down an anchor for every place that the plan names,
//! and digests of all bars as they were. What is decided about the note stays
//! in the plan, where its author reads it.

use std::fmt::Write;

use apoyando_music::anchor::BarDigest;
use apoyando_music::{Anchor, BarIndex, Duration, Memory, PartIndex, Pitch, VoiceNumber};

use crate::error::BookError;
use crate::node::{Faults, Fields, Node};
use crate::read;
use crate::source::Source;

/// A note that the plan names.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RememberedNote {
    /// The place as the plan has it: `bar 3, beat 2½`.
    pub plan: String,
    /// The note it means.
    pub anchor: Anchor,
}

/// A range of bars that the plan names.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RememberedBars {
    /// The range as the plan has it: `bars 5-8`.
    pub plan: String,
    /// The part.
    pub part: PartIndex,
    /// Its first bar.
    pub first: BarIndex,
    /// Its last bar.
    pub last: BarIndex,
}

/// What is remembered of one tune.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct RememberedTune {
    /// Which tune of the file, from 1.
    pub tune: u32,
    /// Its bars as they were.
    pub memory: Memory,
    /// Notes that the plan names.
    pub notes: Vec<RememberedNote>,
    /// Ranges that the plan names.
    pub bars: Vec<RememberedBars>,
}

/// A pins file.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PinsFile {
    /// The tunes with pins.
    pub tunes: Vec<RememberedTune>,
}

const HEAD: &str = "\
# Which notes the pins of the plan mean. Written when the book is built, and read
# to find the notes again after the piece was changed. Keep it beside the piece;
# if it is deleted, pins are taken by bar and beat as they stand in the plan.
";

impl PinsFile {
    /// What is remembered of a tune.
    pub fn tune(&self, tune: u32) -> Option<&RememberedTune> {
        self.tunes.iter().find(|remembered| remembered.tune == tune)
    }

    /// The file's text.
    pub fn to_toml(&self) -> String {
        let mut text = HEAD.to_owned();
        for tune in &self.tunes {
            let _ = writeln!(text, "\n[[tunes]]\ntune = {}", tune.tune);
            for part in &tune.memory.parts {
                text.push_str("\n[[tunes.parts]]\nbars = [\n");
                for bar in part {
                    let _ = writeln!(text, "  \"{}\",", digest_text(bar));
                }
                text.push_str("]\n");
            }
            for note in &tune.notes {
                let Anchor { part, bar, voice, onset, pitch, ordinal, before, after, source_id } =
                    &note.anchor;
                let _ = write!(
                    text,
                    "\n[[tunes.notes]]\nplan = {}\npart = {}\nbar-index = {}\nvoice = {}\nonset = \"{onset}\"\npitch = \"{pitch}\"\nordinal = {ordinal}\nbefore = \"{before:016x}\"\nafter = \"{after:016x}\"\n",
                    quoted(&note.plan),
                    part.0 + 1,
                    bar.0,
                    voice.0
                );
                if let Some(id) = source_id {
                    let _ = writeln!(text, "id = {}", quoted(id));
                }
            }
            for bars in &tune.bars {
                let _ = write!(
                    text,
                    "\n[[tunes.ranges]]\nplan = {}\npart = {}\nfirst-index = {}\nlast-index = {}\n",
                    quoted(&bars.plan),
                    bars.part.0 + 1,
                    bars.first.0,
                    bars.last.0
                );
            }
        }
        text
    }

    /// Reads a pins file.
    ///
    /// # Errors
    /// Every fault, with its place.
    pub fn read(file: &str, text: &str) -> Result<Self, Vec<BookError>> {
        let source = Source::new(file, text);
        let document = read::parse(&source, text).map_err(|error| vec![error])?;
        let faults = Faults::default();
        let fields = Fields::root(document.as_table(), &source, &faults);
        let tunes =
            fields.get("tunes").iter().flat_map(Node::tables).filter_map(read_tune).collect();
        fields.finish();
        match faults.into_inner() {
            faults if faults.is_empty() => Ok(Self { tunes }),
            faults => Err(faults),
        }
    }
}

fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string().trim().to_owned()
}

/// `exact shape first-note notes`.
fn digest_text(bar: &BarDigest) -> String {
    let reference = bar.reference.map_or_else(|| "-".to_owned(), |pitch| pitch.to_string());
    format!("{:016x} {:016x} {reference} {}", bar.exact, bar.shape, bar.notes)
}

fn digest(text: &str) -> Option<BarDigest> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let &[exact, shape, reference, notes] = &words[..] else { return None };
    Some(BarDigest {
        exact: u64::from_str_radix(exact, 16).ok()?,
        shape: u64::from_str_radix(shape, 16).ok()?,
        reference: if reference == "-" { None } else { Some(reference.parse().ok()?) },
        notes: notes.parse().ok()?,
    })
}

const DAMAGED: &str = "the file was changed by hand; bring back what was written, or delete it";

fn read_tune(fields: Fields<'_>) -> Option<RememberedTune> {
    let tune = fields.need("tune", "tune = 1").and_then(|node| node.whole(1..=100_000));
    let parts = fields.get("parts").iter().flat_map(Node::tables).map(read_part).collect();
    let notes: Vec<Option<RememberedNote>> =
        fields.get("notes").iter().flat_map(Node::tables).map(read_note).collect();
    let bars: Vec<Option<RememberedBars>> =
        fields.get("ranges").iter().flat_map(Node::tables).map(read_bars).collect();
    fields.finish();
    Some(RememberedTune {
        tune: tune? as u32,
        memory: Memory { parts },
        notes: notes.into_iter().flatten().collect(),
        bars: bars.into_iter().flatten().collect(),
    })
}

fn read_part(fields: Fields<'_>) -> Vec<BarDigest> {
    let bars = fields
        .need("bars", "bars = []")
        .iter()
        .flat_map(Node::each)
        .filter_map(|node| {
            let found = digest(&node.text()?);
            if found.is_none() {
                node.not_allowed(DAMAGED);
            }
            found
        })
        .collect();
    fields.finish();
    bars
}

/// An index that the program wrote.
fn index(fields: &Fields<'_>, key: &'static str) -> Option<u32> {
    let node = fields.need(key, DAMAGED)?;
    node.whole(0..=100_000).map(|index| index as u32)
}

fn part(fields: &Fields<'_>) -> Option<PartIndex> {
    let part = fields.need("part", "part = 1")?.whole(1..=256)?;
    Some(PartIndex(part as u16 - 1))
}

fn hex(fields: &Fields<'_>, key: &'static str) -> Option<u64> {
    let node = fields.need(key, DAMAGED)?;
    let found = u64::from_str_radix(&node.text()?, 16).ok();
    if found.is_none() {
        node.not_allowed(DAMAGED);
    }
    found
}

fn onset(fields: &Fields<'_>) -> Option<Duration> {
    let node = fields.need("onset", DAMAGED)?;
    let text = node.text()?;
    let (above, below) = text.split_once('/').unwrap_or((&text, "1"));
    match (above.parse(), below.parse()) {
        (Ok(above), Ok(below)) if below > 0 => Some(Duration::new(above, below)),
        _ => {
            node.not_allowed(DAMAGED);
            None
        }
    }
}

fn read_note(fields: Fields<'_>) -> Option<RememberedNote> {
    let plan = fields.need("plan", "plan = \"bar 3, beat 2\"").and_then(|node| node.text());
    let part = part(&fields);
    let bar = index(&fields, "bar-index");
    let voice = fields.need("voice", "voice = 1").and_then(|node| node.whole(1..=255));
    let onset = onset(&fields);
    let pitch = fields.need("pitch", DAMAGED).and_then(|node| node.parsed::<Pitch>());
    let ordinal = index(&fields, "ordinal");
    let before = hex(&fields, "before");
    let after = hex(&fields, "after");
    let source_id = fields.get("id").and_then(|node| node.text());
    fields.finish();
    let anchor = Anchor {
        part: part?,
        bar: BarIndex(bar?),
        voice: VoiceNumber(voice? as u8),
        onset: onset?,
        pitch: pitch?,
        ordinal: ordinal? as u16,
        before: before?,
        after: after?,
        source_id,
    };
    Some(RememberedNote { plan: plan?, anchor })
}

fn read_bars(fields: Fields<'_>) -> Option<RememberedBars> {
    let plan = fields.need("plan", "plan = \"bars 5-8\"").and_then(|node| node.text());
    let part = part(&fields);
    let first = index(&fields, "first-index");
    let last = index(&fields, "last-index");
    fields.finish();
    Some(RememberedBars {
        plan: plan?,
        part: part?,
        first: BarIndex(first?),
        last: BarIndex(last?),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let bar = BarDigest {
            exact: 0xdead_beef,
            shape: u64::MAX,
            reference: Some("F#3".parse().unwrap()),
            notes: 4,
        };
        let silent = BarDigest { exact: 1, shape: 2, reference: None, notes: 0 };
        let anchor = Anchor {
            part: PartIndex(1),
            bar: BarIndex(3),
            voice: VoiceNumber(2),
            onset: Duration::new(3, 8),
            pitch: "Bb2".parse().unwrap(),
            ordinal: 1,
            before: 7,
            after: 0xffff_ffff_ffff_ffff,
            source_id: Some("n\"7".to_owned()),
        };
        let file = PinsFile {
            tunes: vec![RememberedTune {
                tune: 2,
                memory: Memory { parts: vec![vec![bar, silent], Vec::new()] },
                notes: vec![RememberedNote { plan: "bar 3, beat 2½".to_owned(), anchor }],
                bars: vec![RememberedBars {
                    plan: "bars 5-8".to_owned(),
                    part: PartIndex(0),
                    first: BarIndex(4),
                    last: BarIndex(7),
                }],
            }],
        };
        assert_eq!(PinsFile::read("a.pins.toml", &file.to_toml()), Ok(file));
    }

    #[test]
    fn damage_is_named_with_its_line() {
        let text = "[[tunes]]\ntune = 1\n[[tunes.parts]]\nbars = [\"xyz\"]\n";
        let faults = PinsFile::read("a.pins.toml", text).unwrap_err();
        assert!(faults[0].to_string().starts_with("a.pins.toml:4:"), "{faults:?}");
    }
}

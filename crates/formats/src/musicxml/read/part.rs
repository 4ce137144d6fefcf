//! One part: its bars in order, with a cursor that moves as the file says.

use std::collections::{BTreeMap, BTreeSet};

use apoyando_fingering::Severity;
use apoyando_fretboard::Instrument;
use apoyando_music::{Clef, KeySignature, StaffSide};
use roxmltree::Node;

use super::attributes::{self, Transposition};
use super::cue::{CuesRead, Upright};
use super::grace::Graces;
use super::heading::ListedPart;
use super::number::decimal;
use super::{Source, barline, child, dashes, direction, note, text, wavy};
use crate::ReadError;
use crate::fit;
use crate::report::Report;
use crate::rough::{
    Loudness, RoughBar, RoughClef, RoughEvent, RoughLoudness, RoughPart, RoughRest, RoughSign,
    RoughWords,
};
use crate::sign::Sign;
use crate::time::{Time, add, fraction, multiply, zero};

/// A voice as the file names it: by number, then by name.
pub(super) type VoiceKey = (u32, String);

/// The voices of each staff, per bar their events.
type Staves = BTreeMap<u16, Vec<Vec<Vec<RoughEvent>>>>;

/// Most voices on one staff.
const MOST_VOICES: usize = 16;

/// What a part says.
pub(super) struct PartRead {
    pub bars: Vec<RoughBar>,
    /// One per staff.
    pub parts: Vec<RoughPart>,
}

/// State while a part is read.
pub(super) struct PartReader<'a, 'r> {
    pub source: &'a Source<'a>,
    pub report: &'r mut Report,
    pub bars: Vec<RoughBar>,
    /// The bar being read.
    pub bar: RoughBar,
    /// Ticks of a quarter.
    pub divisions: Time,
    /// Time since the beginning of the bar.
    pub cursor: Time,
    pub transposition: Option<Transposition>,
    pub clefs: BTreeMap<u16, RoughClef>,
    pub tablature: BTreeSet<u16>,
    /// Staves that are ossias.
    pub ossias: BTreeSet<u16>,
    pub guitar: bool,
    pub instrument: Instrument,
    /// Per staff and voice, per bar, the events.
    pub voices: BTreeMap<(u16, VoiceKey), Vec<Vec<RoughEvent>>>,
    /// Staff and voice of the last note, for chords.
    pub last_voice: Option<(u16, VoiceKey)>,
    /// Dynamics and hairpins with their staves.
    pub loudness: Vec<(u16, RoughLoudness)>,
    /// Words of expression with their staves.
    pub words: Vec<(u16, RoughWords)>,
    /// Dashes after them under way.
    pub dashes: dashes::Dashes,
    /// Small notes of other parts by staff.
    pub cues: BTreeMap<u16, CuesRead>,
    /// Whether the last note was one of them, and of which staff.
    pub last_cue: Option<u16>,
    /// Words in an upright face that were read last, and when: a cue that follows at once
    /// takes them for its name.
    pub upright: Option<(Time, Upright)>,
    /// Bars printed as a sign for the one before, and whether the next ones are.
    pub bar_repeats: Vec<usize>,
    pub repeating: bool,
    /// Wavy lines under way.
    pub wavy_lines: wavy::WavyLines,
    /// Grace notes that wait for their note.
    pub graces: Graces,
    /// Labels of the segno signs so far.
    pub segno_labels: Vec<String>,
    /// Label of the coda that *To Coda* leads to, until a coda comes.
    pub coda_wanted: Option<String>,
    /// A forward repeat stated at the end of the bar before.
    pub repeat_next: bool,
    /// Some length in this bar was rounded by the file.
    pub rounded: bool,
    pub metronome_in_bar: bool,
}

/// Reads a part.
pub(super) fn read(
    source: &Source<'_>,
    node: Node<'_, '_>,
    listed: ListedPart,
    report: &mut Report,
) -> Result<PartRead, ReadError> {
    let mut reader = PartReader {
        source,
        report,
        bars: Vec::new(),
        bar: RoughBar::new(None, KeySignature::NONE, 1),
        divisions: Time::from_integer(1),
        cursor: zero(),
        transposition: None,
        clefs: BTreeMap::new(),
        tablature: BTreeSet::new(),
        ossias: BTreeSet::new(),
        guitar: listed.guitar,
        instrument: Instrument::guitar(),
        voices: BTreeMap::new(),
        last_voice: None,
        loudness: Vec::new(),
        words: Vec::new(),
        dashes: dashes::Dashes::default(),
        cues: BTreeMap::new(),
        last_cue: None,
        upright: None,
        bar_repeats: Vec::new(),
        repeating: false,
        wavy_lines: wavy::WavyLines::default(),
        graces: Graces::default(),
        segno_labels: Vec::new(),
        coda_wanted: None,
        repeat_next: false,
        rounded: false,
        metronome_in_bar: false,
    };
    for item in node.children().filter(Node::is_element) {
        match item.tag_name().name() {
            "measure" => reader.measure(item)?,
            name => reader.report.not_read_anywhere(&format!("<{name}>")),
        }
    }
    dashes::finish(&mut reader);
    wavy::finish(&mut reader);
    Ok(reader.finish(listed.name))
}

impl PartReader<'_, '_> {
    fn measure(&mut self, node: Node<'_, '_>) -> Result<(), ReadError> {
        let index = self.bars.len();
        if index == fit::MOST_BARS {
            return Err(self.source.error(node, "the piece has too many bars; split it"));
        }
        let line = self.source.place(node).0;
        self.report.bar = Some(index);
        self.report.line = Some(line);
        let number = node.attribute("number").and_then(|n| n.trim().parse().ok());
        let implicit = node.attribute("implicit") == Some("yes");
        let ending = self.bar.ending.take().filter(|ending| !ending.last);
        self.bar = RoughBar {
            number,
            irregular: implicit,
            uncounted: implicit && number.is_none(),
            repeat_start: std::mem::take(&mut self.repeat_next),
            ending: ending.map(|ending| apoyando_music::Ending { first: false, ..ending }),
            ..RoughBar::new(self.bar.metre, self.bar.signature, line)
        };
        self.cursor = zero();
        self.last_voice = None;
        self.last_cue = None;
        self.upright = None;
        self.rounded = false;
        self.metronome_in_bar = false;
        let mut moved = false;
        for item in node.children().filter(Node::is_element) {
            self.report.line = Some(self.source.place(item).0);
            match item.tag_name().name() {
                "note" => note::read(self, item)?,
                "attributes" => attributes::read(self, item)?,
                "backup" => self.jump(item, true)?,
                "forward" => {
                    self.jump(item, false)?;
                    moved = true;
                }
                "direction" => direction::read(self, item),
                "sound" => direction::sound(self, item, self.cursor),
                "barline" => barline::read(self, item),
                "harmony" => self.report.not_read("chord symbol"),
                // Layout and links are not music.
                "print" | "link" | "bookmark" | "listening" => {}
                name => self.report.not_read(&format!("<{name}>")),
            }
        }
        Graces::end_bar(self);
        if self.repeating && index > 0 {
            self.bar_repeats.push(index);
        }
        let empty = self.voices.values().all(|bars| bars.len() <= index);
        if empty && !moved {
            // A bar without anything is a bar of rest. One that is moved through
            // is meant to be blank.
            self.report.onset = Some(zero());
            self.report.add(
                Severity::Advice,
                "empty-bar",
                "there is nothing in the bar; a rest that fills it is read".to_owned(),
                Some("write the rest, or take the bar out"),
            );
            self.report.onset = None;
            let event = self.rest(zero(), RoughRest::WholeBar, line);
            self.push((1, (1, "1".to_owned())), event);
        }
        if empty && moved {
            self.bar.rest_length = self.bar.rest_length.max(Some(self.cursor));
        }
        let fallback = self.bar.clone();
        let done = std::mem::replace(&mut self.bar, fallback);
        self.bars.push(done);
        Ok(())
    }

    /// A length in ticks as a fraction of a whole note.
    pub(super) fn length(&self, ticks: Time) -> Option<Time> {
        let quarter = fraction(*self.divisions.denom(), self.divisions.numer().checked_mul(4)?)?;
        multiply(ticks, quarter)
    }

    /// The `duration` of an element, in whole notes.
    pub(super) fn duration(&self, node: Node<'_, '_>) -> Result<Time, ReadError> {
        let Some(item) = child(node, "duration") else {
            return Err(self.source.error(node, "it has no <duration>"));
        };
        decimal(text(item))
            .filter(|ticks| *ticks >= zero())
            .and_then(|ticks| self.length(ticks))
            .ok_or_else(|| {
                let what = format!("“{}” is no length that can be counted", text(item));
                self.source.error(item, what)
            })
    }

    fn jump(&mut self, node: Node<'_, '_>, back: bool) -> Result<(), ReadError> {
        let length = self.duration(node)?;
        self.last_voice = None;
        let to = if back { add(self.cursor, -length) } else { add(self.cursor, length) };
        self.cursor = match to {
            Some(to) if to >= zero() => to,
            Some(_) => {
                self.report.add(
                    Severity::Warning,
                    "backup-too-far",
                    "a <backup> leads before the bar; it is read to the bar's beginning".to_owned(),
                    None,
                );
                zero()
            }
            None => return Err(self.source.error(node, "the bar is too long to count")),
        };
        Ok(())
    }

    /// Notes a sign of the playing order; `at` is `None` for the bar's end.
    pub(super) fn sign(&mut self, sign: Sign, at: Option<Time>) {
        let line = self.report.line.unwrap_or(self.bar.line);
        if self.bar.signs.iter().all(|known| (known.sign, known.at) != (sign, at)) {
            self.bar.signs.push(RoughSign { sign, at, line });
        }
    }

    /// Notes a dynamic or one end of a hairpin.
    pub(super) fn loudness(&mut self, staff: u16, at: Time, loudness: Loudness) {
        let bar = self.bars.len();
        let line = self.report.line.unwrap_or(self.bar.line);
        let slack = self.slack();
        self.loudness.push((staff, RoughLoudness { bar, at, slack, loudness, line }));
    }

    /// Notes words of expression; gives their index.
    pub(super) fn words(&mut self, staff: u16, at: Time, side: StaffSide, text: String) -> usize {
        let bar = self.bars.len();
        let line = self.report.line.unwrap_or(self.bar.line);
        let slack = self.slack();
        let until = None;
        self.words.push((staff, RoughWords { bar, at, slack, side, text, until, line }));
        self.words.len() - 1
    }

    /// How far moments of this bar may be off by rounding.
    pub(super) fn slack(&self) -> Time {
        let slack = if self.rounded { self.length(Time::from_integer(3)) } else { None };
        slack.unwrap_or_else(zero)
    }

    pub(super) fn rest(&self, length: Time, rest: RoughRest, line: u32) -> RoughEvent {
        RoughEvent {
            onset: self.cursor,
            length,
            slack: zero(),
            value: None,
            tuplet: None,
            rest,
            notes: Vec::new(),
            marks: Vec::new(),
            graces: Vec::new(),
            lyrics: Vec::new(),
            line,
            column: 1,
        }
    }

    /// Adds an event to the bar being read.
    pub(super) fn push(&mut self, mut voice: (u16, VoiceKey), event: RoughEvent) {
        self.last_cue = None;
        let index = self.bars.len();
        let staff = voice.0;
        if !self.voices.contains_key(&voice) {
            let others = self.voices.keys().filter(|(other, _)| *other == staff);
            if others.count() >= MOST_VOICES {
                self.report.add(
                    Severity::Warning,
                    "too-many-voices",
                    format!("more than {MOST_VOICES} voices on a staff; the others are joined"),
                    None,
                );
                voice.1 = (u32::MAX, String::new());
            }
        }
        let bars = self.voices.entry(voice.clone()).or_default();
        bars.resize_with(index + 1, Vec::new);
        bars[index].push(event);
        self.last_voice = Some(voice);
    }

    /// The event a chord note belongs to.
    pub(super) fn last_event(&mut self) -> Option<&mut RoughEvent> {
        let index = self.bars.len();
        if let Some(staff) = self.last_cue {
            return self.cues.get_mut(&staff)?.events.get_mut(index)?.last_mut();
        }
        let voice = self.last_voice.as_ref()?;
        self.voices.get_mut(voice)?.get_mut(index)?.last_mut()
    }

    /// Takes the ossias from the staves, each for the staff under it, or else over it.
    fn take_ossias(&self, staves: &mut Staves) -> Staves {
        let mut ossias = Staves::new();
        let staff = |number: u16, staves: &Staves| {
            let others = || staves.keys().copied().filter(|other| !self.ossias.contains(other));
            others().find(|other| *other > number).or_else(|| others().next_back())
        };
        for number in &self.ossias {
            if let Some(under) = staff(*number, staves) {
                ossias.entry(under).or_default().extend(staves.remove(number).unwrap_or_default());
            }
        }
        ossias
    }

    fn finish(mut self, name: String) -> PartRead {
        let mut staves = Staves::new();
        for ((staff, _), bars) in std::mem::take(&mut self.voices) {
            staves.entry(staff).or_default().push(bars);
        }
        self.report.bar = None;
        self.report.line = None;
        let notation = staves.keys().any(|staff| !self.tablature.contains(staff));
        if notation && staves.keys().any(|staff| self.tablature.contains(staff)) {
            staves.retain(|staff, _| !self.tablature.contains(staff));
            self.report.not_read_anywhere("tablature staff beside the notes");
        }
        let mut ossias = self.take_ossias(&mut staves);
        if staves.len() > 1 {
            self.report.add(
                Severity::Warning,
                "several-staves",
                format!("the part has {} staves; each is read as a part", staves.len()),
                None,
            );
        }
        let several = staves.len() > 1;
        let mut parts = Vec::with_capacity(staves.len());
        // What belongs to no staff that is read goes to the first.
        let first = staves.keys().next().copied().unwrap_or(1);
        let mut loudness: BTreeMap<u16, Vec<RoughLoudness>> = BTreeMap::new();
        for (staff, sign) in self.loudness {
            let staff = if staves.contains_key(&staff) { staff } else { first };
            loudness.entry(staff).or_default().push(sign);
        }
        let mut words: BTreeMap<u16, Vec<RoughWords>> = BTreeMap::new();
        for (staff, noted) in self.words {
            let staff = if staves.contains_key(&staff) { staff } else { first };
            words.entry(staff).or_default().push(noted);
        }
        for (staff, voices) in staves {
            let stated = self.clefs.get(&staff).copied().unwrap_or(RoughClef::Plain);
            // Whoever writes a transposition has said where it sounds.
            let clef = match (stated, self.transposition) {
                (RoughClef::Plain, Some(Transposition::NONE)) => RoughClef::Stated(Clef::Treble),
                (RoughClef::Plain, Some(_)) => RoughClef::Stated(Clef::Guitar),
                (stated, _) => stated,
            };
            let name = match (several, name.is_empty()) {
                (true, true) => format!("staff {staff}"),
                (true, false) => format!("{name} (staff {staff})"),
                (false, _) => name.clone(),
            };
            let instrument = self.instrument.clone();
            let loudness = loudness.remove(&staff).unwrap_or_default();
            let words = words.remove(&staff).unwrap_or_default();
            let guitar = self.guitar;
            let bar_repeats = self.bar_repeats.clone();
            let CuesRead { events: cues, names: cue_names } =
                self.cues.remove(&staff).unwrap_or_default();
            let ossia = ossias.remove(&staff).unwrap_or_default();
            parts.push(RoughPart {
                ossia,
                cues,
                cue_names,
                name,
                clef,
                guitar,
                instrument,
                voices,
                loudness,
                words,
                bar_repeats,
            });
        }
        PartRead { bars: self.bars, parts }
    }
}

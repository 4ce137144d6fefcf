//! One bar of a part.

use std::collections::BTreeSet;

use apoyando_fretboard::Instrument;
use apoyando_music::rhythm::MetreSign;
use apoyando_music::{
    Bar, BarEnd, BarIndex, Base, Clef, Duration, Event, KeySignature, Metre, Part, Score, Tempo,
    WavyLine,
};

use super::accidentals;
use super::clef;
use super::cue;
use super::directions::Directions;
use super::hand::Hands;
use super::lyrics::Words;
use super::marks::WavyEnds;
use super::spanners::Spanners;
use super::xml::Xml;
use super::{note, signs};

/// Numbers of the staff of the ossias of a part and of the one under it.
const OSSIA_STAFF: &str = "1";
pub(super) const UNDER_OSSIA: &str = "2";

/// Writes the bars of a part one after the other.
pub(super) struct BarWriter<'a> {
    pub score: &'a Score,
    pub part: &'a Part,
    pub hands: Option<Hands<'a>>,
    /// The staff of the part, where it has several.
    pub staff: Option<&'static str>,
    /// Its ossias, on a staff above.
    ossia: Option<Box<BarWriter<'a>>>,
    divisions: i64,
    signature: Option<KeySignature>,
    metre: Option<Metre>,
    /// Slurs and glissandi under way, per voice.
    pub spanners: Vec<Spanners>,
    /// Wavy lines, per voice.
    wavy_lines: Vec<Vec<WavyLine>>,
    /// Words under way, per voice.
    pub words: Vec<Words>,
    /// Identifiers already given.
    pub ids: BTreeSet<String>,
}

impl<'a> BarWriter<'a> {
    pub(super) fn new(
        score: &'a Score,
        part: &'a Part,
        hands: Option<Hands<'a>>,
        divisions: i64,
    ) -> Self {
        let spanners = part.voices.iter().map(|_| Spanners::default()).collect();
        let words = part.voices.iter().map(|_| Words::default()).collect();
        let ossia = part.ossia.as_deref().map(|ossia| {
            let part = &ossia.parts()[0];
            let above = BarWriter::new(ossia, part, None, divisions);
            Box::new(BarWriter { staff: Some(OSSIA_STAFF), ..above })
        });
        Self {
            score,
            part,
            hands,
            staff: ossia.is_some().then_some(UNDER_OSSIA),
            ossia,
            divisions,
            signature: None,
            metre: None,
            spanners,
            wavy_lines: part.voices.iter().map(|voice| score.wavy_lines(voice)).collect(),
            words,
            ids: BTreeSet::new(),
        }
    }

    fn clef(&self, xml: &mut Xml, number: &[(&str, &str)]) {
        let (sign, line, octave) = clef(self.part.clef);
        xml.open("clef", number);
        xml.text("sign", &[], sign);
        xml.text("line", &[], line);
        if let Some(octave) = octave {
            xml.text("clef-octave-change", &[], octave);
        }
        xml.close();
    }

    /// Says on which staff a note stands, where there are several.
    pub(super) fn name_staff(&self, xml: &mut Xml) {
        if let Some(staff) = self.staff {
            xml.text("staff", &[], staff);
        }
    }

    /// The ends of wavy lines at an event of a voice, given by its index and number.
    pub(super) fn wavy_ends(&self, voice: (usize, u8), event: &Event) -> WavyEnds {
        let lines = &self.wavy_lines[voice.0];
        WavyEnds {
            starts: lines.iter().any(|line| line.from == event.onset),
            stops: lines.iter().any(|line| line.to == event.onset),
            number: voice.1,
        }
    }

    /// A length in divisions.
    pub(super) fn ticks(&self, length: Duration) -> String {
        ticks(length, self.divisions)
    }

    pub(super) fn write(
        &mut self,
        xml: &mut Xml,
        index: usize,
        instrument: Option<&Instrument>,
        directions: &mut Directions,
    ) {
        let bar = &self.score.bars()[index];
        let number = bar.number.to_string();
        let irregular = bar.number == 0 || bar.length != bar.metre.bar();
        let implicit = [("number", number.as_str()), ("implicit", "yes")];
        let attributes = if irregular { &implicit[..] } else { &implicit[..1] };
        xml.open("measure", attributes);
        left_barline(xml, bar);
        self.attributes(xml, index, bar, instrument);
        signs::at_start(xml, self.score, index);
        rehearsal(xml, bar);
        tempo_and_words(xml, bar);
        self.voices(xml, index, bar, directions);
        if index + 1 == self.score.bars().len() {
            directions.finish(xml);
        }
        signs::at_end(xml, self.score, index);
        right_barline(xml, bar);
        xml.close();
    }

    fn attributes(
        &mut self,
        xml: &mut Xml,
        index: usize,
        bar: &Bar,
        instrument: Option<&Instrument>,
    ) {
        let key = (self.signature != Some(bar.signature)).then_some(bar.signature);
        let metre = (self.metre != Some(bar.metre)).then_some(bar.metre);
        let repeats = |index: usize| self.part.bar_repeats.contains(&BarIndex(index as u32));
        let repeat = match (index > 0 && repeats(index - 1), repeats(index)) {
            (false, true) => Some(("start", "1")),
            (true, false) => Some(("stop", "")),
            _ => None,
        };
        let style = bar.long_rest.is_some() || repeat.is_some();
        if index > 0 && key.is_none() && metre.is_none() && !style {
            return;
        }
        self.signature = Some(bar.signature);
        self.metre = Some(bar.metre);
        xml.open("attributes", &[]);
        if index == 0 {
            xml.text("divisions", &[], &self.divisions.to_string());
        }
        if let Some(key) = key {
            xml.open("key", &[]);
            xml.text("fifths", &[], &key.fifths().to_string());
            xml.close();
        }
        if let Some(metre) = metre {
            let symbol: &[_] = match metre.sign {
                MetreSign::Figures => &[],
                MetreSign::Common => &[("symbol", "common")],
                MetreSign::Cut => &[("symbol", "cut")],
            };
            xml.open("time", symbol);
            xml.text("beats", &[], &metre.count.to_string());
            xml.text("beat-type", &[], &metre.unit.to_string());
            xml.close();
        }
        if index == 0 {
            if self.ossia.is_some() {
                xml.text("staves", &[], UNDER_OSSIA);
                self.clef(xml, &[("number", OSSIA_STAFF)]);
                self.clef(xml, &[("number", UNDER_OSSIA)]);
                xml.open("staff-details", &[("number", OSSIA_STAFF)]);
                xml.text("staff-type", &[], "ossia");
                xml.close();
            } else {
                self.clef(xml, &[]);
            }
            if let Some(instrument) = instrument {
                staff_details(xml, instrument, self.staff);
            }
            if self.part.clef == Clef::Treble {
                // Says that this is no guitar part in a plain treble clef.
                xml.open("transpose", &[]);
                xml.text("chromatic", &[], "0");
                xml.close();
            }
        }
        if let Some(count) = bar.long_rest {
            xml.open("measure-style", &[]);
            xml.text("multiple-rest", &[], &count.to_string());
            xml.close();
        }
        if let Some((kind, bars)) = repeat {
            xml.open("measure-style", &[]);
            xml.text("measure-repeat", &[("type", kind)], bars);
            xml.close();
        }
        xml.close();
    }

    /// The ossia of a bar, in voices behind those of the part and of a cue.
    fn write_ossia(&mut self, xml: &mut Xml, index: usize, bar: &Bar) {
        let before = self.part.voices.len() + 1;
        if !self.part.has_ossia(index) {
            return;
        }
        let Some(ossia) = &mut self.ossia else { return };
        let (score, part) = (ossia.score, ossia.part);
        let shown = accidentals::of_bar(score, part, index, bar.signature);
        for (number, voice) in part.voices.iter().enumerate() {
            let events = &voice.bars[index];
            if events.is_empty() {
                continue;
            }
            xml.open("backup", &[]);
            xml.text("duration", &[], &ossia.ticks(bar.length));
            xml.close();
            let name = (before + usize::from(voice.number.0)).min(255) as u8;
            for event in events {
                let alone = events.len() == 1;
                note::event(ossia, xml, event, (number, name), alone, &shown);
            }
        }
    }

    fn voices(&mut self, xml: &mut Xml, index: usize, bar: &Bar, directions: &mut Directions) {
        let part = self.part;
        let shown = accidentals::of_bar(self.score, part, index, bar.signature);
        let mut first = true;
        for (number, voice) in part.voices.iter().enumerate() {
            let events = &voice.bars[index];
            if events.is_empty() {
                continue;
            }
            if !first {
                xml.open("backup", &[]);
                xml.text("duration", &[], &self.ticks(bar.length));
                xml.close();
            }
            for event in events {
                if first {
                    let divisions = self.divisions;
                    directions
                        .write(xml, event.onset, event.end(), |length| ticks(length, divisions));
                }
                let alone = events.len() == 1;
                note::event(self, xml, event, (number, voice.number.0), alone, &shown);
            }
            first = false;
        }
        if first {
            let divisions = self.divisions;
            directions.write(xml, bar.start, bar.end_moment(), |length| ticks(length, divisions));
            xml.open("forward", &[]);
            xml.text("duration", &[], &self.ticks(bar.length));
            xml.close();
        }
        if let Some(cue) = cue::of(part, index) {
            xml.open("backup", &[]);
            xml.text("duration", &[], &self.ticks(bar.length));
            xml.close();
            let voice = (part.voices.len() + 1, self.staff);
            cue::write(xml, cue, voice, |length| self.ticks(length));
        }
        self.write_ossia(xml, index, bar);
    }
}

fn ticks(length: Duration, divisions: i64) -> String {
    (length * 4 * divisions).ratio().to_integer().to_string()
}

/// Line 1 is the lowest line of a tablature: the thickest string.
fn staff_details(xml: &mut Xml, instrument: &Instrument, staff: Option<&str>) {
    let number = staff.map(|staff| ("number", staff));
    xml.open("staff-details", number.as_slice());
    for (line, string) in instrument.tuning.strings().rev().enumerate() {
        let Some(open) = instrument.tuning.open(string) else { continue };
        xml.open("staff-tuning", &[("line", &(line + 1).to_string())]);
        xml.text("tuning-step", &[], &open.step.to_string());
        if open.alter.semitones() != 0 {
            xml.text("tuning-alter", &[], &open.alter.semitones().to_string());
        }
        xml.text("tuning-octave", &[], &open.octave.to_string());
        xml.close();
    }
    if !instrument.capo.is_open() {
        xml.text("capo", &[], &instrument.capo.to_string());
    }
    xml.close();
}

fn left_barline(xml: &mut Xml, bar: &Bar) {
    let ending = bar.ending.as_ref().filter(|ending| ending.first);
    if !bar.repeat_start && ending.is_none() {
        return;
    }
    xml.open("barline", &[("location", "left")]);
    if bar.repeat_start {
        xml.text("bar-style", &[], "heavy-light");
    }
    if let Some(ending) = ending {
        xml.empty("ending", &[("number", &passes(&ending.passes)), ("type", "start")]);
    }
    if bar.repeat_start {
        xml.empty("repeat", &[("direction", "forward")]);
    }
    xml.close();
}

fn right_barline(xml: &mut Xml, bar: &Bar) {
    let ending = bar.ending.as_ref().filter(|ending| ending.last);
    if bar.repeat_end.is_none() && ending.is_none() && bar.end == BarEnd::Plain {
        return;
    }
    xml.open("barline", &[("location", "right")]);
    match bar.end {
        BarEnd::Double => xml.text("bar-style", &[], "light-light"),
        BarEnd::Final => xml.text("bar-style", &[], "light-heavy"),
        BarEnd::Plain if bar.repeat_end.is_some() => xml.text("bar-style", &[], "light-heavy"),
        BarEnd::Plain => {}
    }
    if let Some(ending) = ending {
        let kind = if bar.repeat_end.is_some() { "stop" } else { "discontinue" };
        xml.empty("ending", &[("number", &passes(&ending.passes)), ("type", kind)]);
    }
    if let Some(times) = bar.repeat_end {
        let said = times.to_string();
        if times == 2 {
            xml.empty("repeat", &[("direction", "backward")]);
        } else {
            xml.empty("repeat", &[("direction", "backward"), ("times", &said)]);
        }
    }
    xml.close();
}

fn passes(passes: &[u8]) -> String {
    passes.iter().map(u8::to_string).collect::<Vec<_>>().join(", ")
}

fn rehearsal(xml: &mut Xml, bar: &Bar) {
    if bar.rehearsal.is_empty() {
        return;
    }
    xml.open("direction", &[("placement", "above")]);
    xml.open("direction-type", &[]);
    xml.text("rehearsal", &[], &bar.rehearsal);
    xml.close();
    xml.close();
}

fn tempo_and_words(xml: &mut Xml, bar: &Bar) {
    if !bar.words.is_empty() {
        xml.open("direction", &[("placement", "above")]);
        xml.open("direction-type", &[]);
        xml.text("words", &[("font-weight", "bold")], &bar.words);
        xml.close();
        xml.close();
    }
    let Some(Tempo { value, per_minute }) = bar.tempo else { return };
    xml.open("direction", &[("placement", "above")]);
    xml.open("direction-type", &[]);
    xml.open("metronome", &[]);
    xml.text("beat-unit", &[], base(value.base));
    for _ in 0..value.dots {
        xml.empty("beat-unit-dot", &[]);
    }
    xml.text("per-minute", &[], &per_minute.to_string());
    xml.close();
    xml.close();
    // In quarters, as playing programs count.
    let quarters = value.duration().whole_notes() * 4.0 * f64::from(per_minute);
    xml.empty("sound", &[("tempo", &quarters.to_string())]);
    xml.close();
}

/// The schema's name of a value.
pub(super) const fn base(base: Base) -> &'static str {
    match base {
        Base::Breve => "breve",
        Base::Whole => "whole",
        Base::Half => "half",
        Base::Quarter => "quarter",
        Base::Eighth => "eighth",
        Base::N16 => "16th",
        Base::N32 => "32nd",
        Base::N64 => "64th",
        Base::N128 => "128th",
    }
}

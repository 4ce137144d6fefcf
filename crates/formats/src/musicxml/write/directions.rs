//! Position numerals, barre marks, hold lines, dynamics, hairpins and words as directions.

use apoyando_fingering::Position;
use apoyando_marks::{BarreMark, HoldMark, PositionMark};
use apoyando_music::{
    Dynamic, Expression, HairpinKind, Moment, NoteId, PartIndex, Score, StaffSide,
};

use super::Layer;
use super::xml::Xml;

/// What a direction does.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Kind {
    DashesStop,
    BracketStop,
    Position {
        numeral: String,
        line: bool,
    },
    Barre {
        numeral: String,
        line: bool,
    },
    /// A finger that stays down, with the number of its bracket.
    Hold {
        digit: u8,
        number: u8,
    },
    HoldStop(u8),
    WedgeStop,
    Dynamic(Dynamic),
    Wedge(HairpinKind),
    Words {
        side: StaffSide,
        text: String,
        dashes: Option<u8>,
    },
    /// The end of the dashes of this number after words.
    WordsStop(u8),
}

impl Kind {
    /// Whether it ends a line.
    const fn is_stop(&self) -> bool {
        self.placement().is_none()
    }

    /// The side it stands on; an end stands with its beginning.
    const fn placement(&self) -> Option<&'static str> {
        match self {
            Self::DashesStop
            | Self::BracketStop
            | Self::HoldStop(_)
            | Self::WedgeStop
            | Self::WordsStop(_) => None,
            Self::Position { .. } | Self::Barre { .. } | Self::Hold { .. } => Some("above"),
            Self::Dynamic(_) | Self::Wedge(_) => Some("below"),
            Self::Words { side: StaffSide::Above, .. } => Some("above"),
            Self::Words { side: StaffSide::Below, .. } => Some("below"),
        }
    }
}

/// The directions of a part in the order of time.
pub(super) struct Directions {
    at: Vec<(Moment, Kind)>,
    next: usize,
    /// The staff they belong to, where there are several.
    staff: Option<&'static str>,
}

impl Directions {
    pub(super) fn new(score: &Score, part: PartIndex, layer: Option<&Layer<'_>>) -> Self {
        let mut at = Vec::new();
        if let Some(layer) = layer.filter(|layer| layer.marks.part == part) {
            layer.marks.positions.iter().for_each(|mark| position(mark, &mut at));
            layer.marks.barres.iter().for_each(|mark| barre(mark, &mut at));
            holds(score, &layer.marks.holds, &mut at);
        }
        at.retain(|(moment, _)| *moment < score.end());
        let part = score.part(part);
        at.extend(part.dynamics.iter().map(|mark| (mark.at, Kind::Dynamic(mark.dynamic))));
        for hairpin in &part.hairpins {
            at.push((hairpin.from, Kind::Wedge(hairpin.kind)));
            at.push((hairpin.until, Kind::WedgeStop));
        }
        words(&part.words, &mut at);
        // Lines end before new ones begin at the same moment.
        at.sort_by_key(|(moment, kind)| (*moment, !kind.is_stop()));
        let staff = part.ossia.is_some().then_some(super::bar::UNDER_OSSIA);
        Self { at, next: 0, staff }
    }

    /// Writes what stands before `until`; `here` is the cursor's moment and
    /// `ticks` counts a length in divisions.
    pub(super) fn write(
        &mut self,
        xml: &mut Xml,
        here: Moment,
        until: Moment,
        ticks: impl Fn(apoyando_music::Duration) -> String,
    ) {
        while let Some((moment, kind)) = self.at.get(self.next) {
            if *moment >= until {
                break;
            }
            let placement = kind.placement().map(|side| ("placement", side));
            xml.open("direction", placement.as_slice());
            write_kind(xml, kind);
            if *moment != here {
                xml.text("offset", &[], &ticks(*moment - here));
            }
            if let Some(staff) = self.staff {
                xml.text("staff", &[], staff);
            }
            xml.close();
            self.next += 1;
        }
    }

    /// Writes what ends with the piece.
    pub(super) fn finish(&mut self, xml: &mut Xml) {
        for (_, kind) in &self.at[self.next..] {
            xml.open("direction", &[]);
            write_kind(xml, kind);
            if let Some(staff) = self.staff {
                xml.text("staff", &[], staff);
            }
            xml.close();
        }
        self.next = self.at.len();
    }
}

fn position(mark: &PositionMark, at: &mut Vec<(Moment, Kind)>) {
    let line = mark.line && mark.to > mark.from;
    at.push((mark.from, Kind::Position { numeral: mark.position.to_string(), line }));
    if line {
        at.push((mark.to, Kind::DashesStop));
    }
}

/// Words, and the ends of their dashes, whose numbers tell those under way apart: 1 is that
/// of positions, and the schema has sixteen.
fn words(words: &[Expression], at: &mut Vec<(Moment, Kind)>) {
    let mut open: Vec<(Moment, u8)> = Vec::new();
    for Expression { at: from, side, text, until } in words {
        open.retain(|(until, _)| until > from);
        let dashes = until.map(|until| {
            let free = |number: &u8| open.iter().all(|(_, taken)| taken != number);
            let number = (2..=16).find(free).unwrap_or(16);
            open.push((until, number));
            at.push((until, Kind::WordsStop(number)));
            number
        });
        at.push((*from, Kind::Words { side: *side, text: text.clone(), dashes }));
    }
}

/// `CII` for a whole barre; before a partial one the fraction a page prints.
fn barre(mark: &BarreMark, at: &mut Vec<(Moment, Kind)>) {
    let fraction = match (mark.full, mark.barre.width()) {
        (true, _) => "",
        (false, ..=2) => "⅓",
        (false, 3) => "½",
        (false, 4) => "⅔",
        (false, _) => "⅚",
    };
    let fret = Position::new(mark.barre.fret.0).map(|fret| fret.to_string()).unwrap_or_default();
    let line = mark.to > mark.from;
    at.push((mark.from, Kind::Barre { numeral: format!("{fraction}C{fret}"), line }));
    if line {
        at.push((mark.to, Kind::BracketStop));
    }
}

/// Hold lines and their ends, whose numbers tell those under way apart: 2 is that of barres,
/// and the schema has sixteen.
fn holds(score: &Score, marks: &[HoldMark], at: &mut Vec<(Moment, Kind)>) {
    let mut open: Vec<(Moment, u8)> = Vec::new();
    for mark in marks {
        let onset = |note: NoteId| score.notes().get(note.0 as usize).map(|note| note.onset);
        let (Some(from), Some(to)) = (onset(mark.from), onset(mark.to)) else { continue };
        open.retain(|(until, _)| *until > from);
        let free = |number: &u8| open.iter().all(|(_, taken)| taken != number);
        let number = (3..=16).find(free).unwrap_or(16);
        open.push((to, number));
        at.push((from, Kind::Hold { digit: mark.finger.digit(), number }));
        at.push((to, Kind::HoldStop(number)));
    }
}

fn write_kind(xml: &mut Xml, kind: &Kind) {
    let single = |xml: &mut Xml, name: &str, attributes: &[(&str, &str)]| {
        xml.open("direction-type", &[]);
        xml.empty(name, attributes);
        xml.close();
    };
    match kind {
        Kind::WedgeStop => single(xml, "wedge", &[("type", "stop")]),
        Kind::Wedge(HairpinKind::Grows) => single(xml, "wedge", &[("type", "crescendo")]),
        Kind::Wedge(HairpinKind::Fades) => single(xml, "wedge", &[("type", "diminuendo")]),
        Kind::Dynamic(dynamic) => {
            xml.open("direction-type", &[]);
            xml.open("dynamics", &[]);
            xml.empty(dynamic.letters(), &[]);
            xml.close();
            xml.close();
        }
        Kind::WordsStop(number) => {
            single(xml, "dashes", &[("type", "stop"), ("number", &number.to_string())]);
        }
        Kind::Words { text, dashes, .. } => {
            xml.open("direction-type", &[]);
            // Italics tell them from words about the tempo.
            xml.text("words", &[("font-style", "italic")], text);
            xml.close();
            if let Some(number) = dashes {
                let number = number.to_string();
                single(xml, "dashes", &[("type", "start"), ("number", &number)]);
            }
        }
        Kind::DashesStop => single(xml, "dashes", &[("type", "stop"), ("number", "1")]),
        Kind::BracketStop => {
            single(xml, "bracket", &[("type", "stop"), ("number", "2"), ("line-end", "down")]);
        }
        Kind::HoldStop(number) => {
            let number = number.to_string();
            let attributes = [("type", "stop"), ("number", number.as_str()), ("line-end", "down")];
            single(xml, "bracket", &attributes);
        }
        Kind::Hold { digit, number } => {
            xml.open("direction-type", &[]);
            xml.text("words", &[], &digit.to_string());
            xml.close();
            let number = number.to_string();
            let attributes = [("type", "start"), ("number", number.as_str()), ("line-end", "none")];
            single(xml, "bracket", &attributes);
        }
        Kind::Position { numeral, line } | Kind::Barre { numeral, line } => {
            xml.open("direction-type", &[]);
            xml.text("words", &[], numeral);
            xml.close();
            if *line && matches!(kind, Kind::Position { .. }) {
                single(xml, "dashes", &[("type", "start"), ("number", "1")]);
            } else if *line {
                let attributes = [("type", "start"), ("number", "2"), ("line-end", "none")];
                single(xml, "bracket", &attributes);
            }
        }
    }
}

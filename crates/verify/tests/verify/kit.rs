//! Small scores and fingerings written down by hand.

use apoyando_fingering::{
    Barre, EffortItem, EffortTable, Fingering, LeftFinger, Level, Pin, Pins, Placement, Position,
    PositionSpan, Posture, Price, Problem, RightFinger, Term, ToneFingering,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{
    Base, Draft, DraftBar, DraftEvent, DraftPart, Duration, Heading, KeySignature, Metre, Moment,
    NoteValue, PartIndex, Score, Tempo, ToneId,
};
use apoyando_verify::{Rule, Violation, price, verify};

/// A score in 4/4 from voices of bars: `C4+E4/4 r/2`.
pub fn score(voices: &[&[&str]]) -> Score {
    score_at(voices, None)
}

/// The same with so many quarters a minute.
pub fn score_at(voices: &[&[&str]], tempo: Option<u16>) -> Score {
    let count = voices.iter().map(|bars| bars.len()).max().unwrap_or(0);
    let mut bars: Vec<DraftBar> = (1..=count as u32)
        .map(|number| DraftBar::new(number, Metre::COMMON, KeySignature::NONE))
        .collect();
    bars[0].tempo =
        tempo.map(|per_minute| Tempo { value: NoteValue::plain(Base::Quarter), per_minute });
    let mut part = DraftPart::guitar(String::new());
    for voice in voices {
        let bars = voice.iter().map(|bar| bar.split_whitespace().map(event).collect()).collect();
        part.voices.push(bars);
    }
    Score::assemble(Draft { heading: Heading::default(), bars, parts: vec![part] }).unwrap()
}

fn event(text: &str) -> DraftEvent {
    let (pitches, value) = text.split_once('/').unwrap();
    let (value, dots) = match value.strip_suffix('.') {
        Some(value) => (value, 1),
        None => (value, 0),
    };
    let denominator: i64 = value.parse().unwrap();
    let base = Base::ALL
        .into_iter()
        .find(|base| base.duration() == Duration::new(1, denominator))
        .unwrap();
    let value = NoteValue { base, dots };
    if pitches == "r" {
        return DraftEvent::gap(value);
    }
    let pitches: Vec<_> = pitches.split('+').map(|pitch| pitch.parse().unwrap()).collect();
    DraftEvent::notes(value, &pitches)
}

/// A moment so many quarters after the beginning.
pub fn quarters(count: i64) -> Moment {
    eighths(2 * count)
}

/// A moment so many eighths after the beginning.
pub fn eighths(count: i64) -> Moment {
    Moment::after_start(Duration::new(count, 8))
}

pub fn string(number: u8) -> StringNumber {
    StringNumber::new(number).unwrap()
}

pub fn at(number: u8, fret: u8, finger: u8) -> Placement {
    let place = Place { string: string(number), fret: Fret(fret) };
    Placement { place, finger: LeftFinger::from_digit(finger) }
}

pub fn barre(fret: u8, thin: u8, thick: u8) -> Barre {
    Barre { fret: Fret(fret), thin: string(thin), thick: string(thick) }
}

/// Tone, string, fret, finger (0 for open).
pub type Stopped = (u32, u8, u8, u8);

/// A posture as it is written in these tests.
pub struct Held<'a> {
    pub position: u8,
    pub barre: Option<Barre>,
    pub sounding: &'a [Stopped],
}

/// Position (0 for none) and what sounds.
pub const fn held(position: u8, sounding: &[Stopped]) -> Held<'_> {
    Held { position, barre: None, sounding }
}

impl<'a> Held<'a> {
    pub fn with(self, barre: Barre) -> Held<'a> {
        Held { barre: Some(barre), ..self }
    }
}

/// A score with all that it is asked under, and a fingering of it.
pub struct Case {
    pub score: Score,
    pub instrument: Instrument,
    pub level: Level,
    pub pins: Pins,
    pub effort: EffortTable,
    pub fingering: Fingering,
}

impl Case {
    /// A fingering of postures, with nothing said beside them but the
    /// placements, how long the tones sound (given per tone as a moment) and
    /// one position from the first stopped posture on.
    pub fn new(score: Score, postures: &[Held<'_>], right: &str, until: &[Moment]) -> Self {
        let tones = score.tones(PartIndex(0));
        let mut onsets: Vec<Moment> = tones.as_slice().iter().map(|tone| tone.onset).collect();
        onsets.dedup();
        let postures: Vec<Posture> = postures
            .iter()
            .zip(&onsets)
            .map(|(held, at_onset)| Posture {
                at: *at_onset,
                position: Position::new(held.position),
                idle: held.sounding.iter().all(|(.., finger)| *finger == 0),
                sounding: held
                    .sounding
                    .iter()
                    .map(|(t, s, f, d)| (ToneId(*t), at(*s, *f, *d)))
                    .collect(),
                barre: held.barre,
                away: None,
                hinge: None,
                staying: Vec::new(),
                bound: Vec::new(),
            })
            .collect();
        let mut letters = right.chars().filter(|letter| *letter != ' ');
        let fingered = tones.as_slice().iter().map(|tone| ToneFingering {
            left: postures
                .iter()
                .find(|posture| posture.at == tone.onset)
                .and_then(|posture| posture.sounding.iter().find(|(id, _)| *id == tone.id))
                .map(|(_, placement)| *placement),
            right: letters.next().and_then(RightFinger::from_letter),
            stroke: None,
            sounds_until: until.get(tone.id.0 as usize).copied().unwrap_or(tone.end),
            joined: false,
        });
        let fingering = Fingering {
            revision: score.revision(),
            part: PartIndex(0),
            tones: fingered.collect(),
            positions: one_position(&postures),
            postures,
            hops: Vec::new(),
            barres: Vec::new(),
            shifts: Vec::new(),
            seams: Vec::new(),
            let_go: Vec::new(),
            price: Price::default(),
            items: Vec::new(),
        };
        Self {
            score,
            instrument: Instrument::guitar(),
            level: Level::open(),
            pins: Pins::default(),
            effort: paper_table(),
            fingering,
        }
    }

    /// With the effort of every term at every onset, in quarters.
    pub fn costing(self, items: &[(Term, Moment, i64)]) -> Self {
        let mut case = self;
        case.fingering.items = items
            .iter()
            .map(|(term, at, amount)| EffortItem { term: *term, at: *at, amount: *amount })
            .collect();
        let effort: i64 = items.iter().map(|(.., amount)| amount).sum();
        case.fingering.price = Price { effort: effort as u64, ..Price::default() };
        case
    }

    pub fn pinned(mut self, pin: Pin) -> Self {
        self.pins.0.push(pin);
        self
    }

    pub fn problem(&self) -> Problem<'_> {
        Problem {
            score: &self.score,
            part: PartIndex(0),
            instrument: &self.instrument,
            level: &self.level,
            pins: &self.pins,
            effort: &self.effort,
            house: &apoyando_fingering::NO_HOUSE,
        }
    }

    pub fn violations(&self) -> Vec<Violation> {
        verify(&self.problem(), &self.fingering)
    }

    pub fn price(&self) -> Result<Price, Vec<Violation>> {
        price(&self.problem(), &self.fingering)
    }

    /// Every rule broken, once each.
    pub fn rules(&self) -> Vec<Rule> {
        let mut rules: Vec<Rule> = self.violations().iter().map(Violation::rule).collect();
        rules.sort_unstable();
        rules.dedup();
        rules
    }

    /// The rules broken that are neither record nor price: what is left of the
    /// faults planted in postures, whose record is not mended in these tests.
    pub fn rules_of_the_hand(&self) -> Vec<Rule> {
        let mut rules = self.rules();
        rules.retain(|rule| !matches!(rule, Rule::Record | Rule::Price));
        rules
    }

    /// Puts a tone elsewhere in every posture that names it.
    pub fn put(&mut self, tone: u32, placement: Placement) {
        for layer in 0..self.fingering.postures.len() {
            self.put_in(layer, tone, placement);
        }
        self.fingering.tones[tone as usize].left = Some(placement);
    }

    /// Puts a tone elsewhere in one posture.
    pub fn put_in(&mut self, layer: usize, tone: u32, placement: Placement) {
        for (id, old) in &mut self.fingering.postures[layer].sounding {
            if id.0 == tone {
                *old = placement;
            }
        }
    }

    /// Puts the hand of one posture into a position.
    pub fn move_hand(&mut self, layer: usize, position: u8) {
        self.fingering.postures[layer].position = Position::new(position);
    }
}

fn one_position(postures: &[Posture]) -> Vec<PositionSpan> {
    let first = postures.iter().find(|posture| posture.position.is_some());
    let (Some(first), Some(last)) = (first, postures.last()) else { return Vec::new() };
    first
        .position
        .map(|position| PositionSpan { position, from: first.at, to: last.at })
        .into_iter()
        .collect()
}

/// Two bars in the first position over held basses. Its price, by section 5 of
/// the model on paper: at 72 quarters a minute every hurry is 1; C4 2, D4 2 + 1
/// for finger 3, E3 2, A3 2 + 1 for finger 3 + 1 as it stands a fret below its
/// own; in the second bar C4 2, D4 2 + 1.
pub fn tune() -> Case {
    let score = score(&[&["C4/4 D4/4 E4/4 A3/4", "B3/4 C4/4 D4/4 B3/4"], &["A2/2 E3/2", "E2/1"]]);
    let postures = [
        held(1, &[(0, 2, 1, 1), (1, 5, 0, 0)]),
        held(1, &[(1, 5, 0, 0), (2, 2, 3, 3)]),
        held(1, &[(3, 1, 0, 0), (4, 4, 2, 2)]),
        held(1, &[(4, 4, 2, 2), (5, 3, 2, 3)]),
        held(1, &[(6, 2, 0, 0), (7, 6, 0, 0)]),
        held(1, &[(7, 6, 0, 0), (8, 2, 1, 1)]),
        held(1, &[(7, 6, 0, 0), (9, 2, 3, 3)]),
        held(1, &[(7, 6, 0, 0), (10, 2, 0, 0)]),
    ];
    Case::new(score, &postures, "mp i mp i mp i m i", &[]).costing(&[
        (Term::Stop, quarters(0), 2),
        (Term::Stop, quarters(1), 2),
        (Term::Finger3, quarters(1), 1),
        (Term::Stop, quarters(2), 2),
        (Term::Stop, quarters(3), 2),
        (Term::Finger3, quarters(3), 1),
        (Term::Contraction, quarters(3), 1),
        (Term::Stop, quarters(5), 2),
        (Term::Stop, quarters(6), 2),
        (Term::Finger3, quarters(6), 1),
    ])
}

/// F major under a full barre. On paper: six stopped 12, finger 3 1, finger 4
/// 3, finger 4 a fret below its own 1; fingers 2 and 3 two strings apart are
/// 4.0 mm farther than at rest, 3 · 40 / 100 = 1; the barre over six strings 12.
pub fn full_barre() -> Case {
    let score = score(&[&["F2+C3+F3+A3+C4+F4/1"]]);
    let postures = [held(
        1,
        &[(0, 6, 1, 1), (1, 5, 3, 3), (2, 4, 3, 4), (3, 3, 2, 2), (4, 2, 1, 1), (5, 1, 1, 1)],
    )
    .with(barre(1, 1, 6))];
    let mut case = Case::new(score, &postures, "pppima", &[]).costing(&[
        (Term::Stop, quarters(0), 12),
        (Term::Finger3, quarters(0), 1),
        (Term::Finger4, quarters(0), 3),
        (Term::Contraction, quarters(0), 1),
        (Term::Stretch, quarters(0), 1),
        (Term::BarreHold, quarters(0), 12),
    ]);
    case.fingering.barres = vec![apoyando_fingering::BarreSpan {
        barre: barre(1, 1, 6),
        from: quarters(0),
        to: quarters(0),
    }];
    case
}

/// The values the bills in these tests are worked out with on paper, whatever
/// the house values are.
fn paper_table() -> EffortTable {
    EffortTable {
        stop: 2,
        finger_3: 1,
        finger_4: 3,
        height: 1,
        extension: 8,
        contraction: 1,
        lead: 0,
        stretch: 3,
        crossed: 4,
        barre_hold: 2,
        barre_lay: 6,
        shift: 8,
        travel: 1,
        ease: 0,
        ease_guide: 40,
        ease_pivot: 40,
        ease_open: 50,
        ease_rest: 50,
        jump: 3,
        slide: 4,
        replace: 6,
        weak_pair: 1,
        cut_melody: 60,
        cut_bass: 30,
        cut_inner: 15,
        cut_tail: 15,
        ring: 12,
        ..EffortTable::default()
    }
}

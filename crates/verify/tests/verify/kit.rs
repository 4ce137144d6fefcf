//! Small fingerings written down by hand.

use apoyando_fingering::{
    Barre, EffortItem, EffortTable, Fingering, Hinge, HouseStyle, LeftFinger, Level, Pin, Pins,
    Placement, Position, PositionSpan, Posture, Price, Problem, RightFinger, Term, ToneFingering,
};
use apoyando_fretboard::{Fret, Instrument, Place, StringNumber};
use apoyando_music::{Duration, Moment, PartIndex, Score, ToneId};
use apoyando_verify::{Fault, Rule, Violation, price, verify};

pub use crate::notation::{score, score_at, score_in};

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

/// Finger, string, fret.
pub type Fingertip = (u8, u8, u8);

/// A posture as it is written in these tests.
pub struct Held<'a> {
    pub position: u8,
    pub sounding: &'a [Stopped],
    away: u8,
    barre: Option<Barre>,
    hinge: Option<Hinge>,
    staying: &'a [Fingertip],
    bound: &'a [Fingertip],
}

/// Position (0 for none) and what sounds.
pub const fn held(position: u8, sounding: &[Stopped]) -> Held<'_> {
    Held { position, sounding, away: 0, barre: None, hinge: None, staying: &[], bound: &[] }
}

impl<'a> Held<'a> {
    pub fn with(self, barre: Barre) -> Held<'a> {
        Held { barre: Some(barre), ..self }
    }

    /// With a side of its barre lifted.
    pub fn lifting(self, side: Hinge) -> Held<'a> {
        Held { hinge: Some(side), ..self }
    }

    /// With the hand away at another place.
    pub fn away(self, place: u8) -> Held<'a> {
        Held { away: place, ..self }
    }

    /// With fingers that stay.
    pub fn staying(self, staying: &'a [Fingertip]) -> Held<'a> {
        Held { staying, ..self }
    }

    /// With fingers that an ornament binds.
    pub fn bound(self, bound: &'a [Fingertip]) -> Held<'a> {
        Held { bound, ..self }
    }
}

fn fingertips(list: &[Fingertip]) -> Vec<(LeftFinger, Place)> {
    let tip = |(finger, number, fret): &Fingertip| {
        let place = Place { string: string(*number), fret: Fret(*fret) };
        (LeftFinger::from_digit(*finger).unwrap(), place)
    };
    list.iter().map(tip).collect()
}

/// A score with all that it is asked under, and a fingering of it.
pub struct Case {
    pub score: Score,
    pub instrument: Instrument,
    pub level: Level,
    pub pins: Pins,
    pub effort: EffortTable,
    pub house: HouseStyle,
    pub fingering: Fingering,
}

/// A case of which only the hand and what it costs is looked at.
pub fn case(score: Score, postures: &[Held<'_>]) -> Case {
    Case::new(score, postures, "", &[])
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
                idle: held.bound.is_empty()
                    && held.sounding.iter().all(|(.., finger)| *finger == 0),
                sounding: held
                    .sounding
                    .iter()
                    .map(|(t, s, f, d)| (ToneId(*t), at(*s, *f, *d)))
                    .collect(),
                barre: held.barre,
                away: Position::new(held.away),
                hinge: held.hinge,
                staying: fingertips(held.staying),
                bound: fingertips(held.bound),
            })
            .collect();
        let mut letters = right.chars().filter(|letter| *letter != ' ');
        let fingered = tones.as_slice().iter().map(|tone| ToneFingering {
            second: None,
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
            house: HouseStyle::NONE,
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
            house: &self.house,
        }
    }

    pub fn violations(&self) -> Vec<Violation> {
        verify(&self.problem(), &self.fingering)
    }

    pub fn price(&self) -> Result<Price, Vec<Violation>> {
        price(&self.problem(), &self.fingering)
    }

    /// What is wrong with the hand itself, and not with the record, the price or
    /// the right hand, which are not mended where faults are planted.
    pub fn hand_faults(&self) -> Vec<Fault> {
        let others = [Rule::Record, Rule::Price, Rule::RightHand];
        let mut found = self.violations();
        found.retain(|violation| !others.contains(&violation.rule()));
        found.into_iter().map(|violation| violation.fault).collect()
    }

    /// The effort of every layer and term as the checker asks for it, for a case
    /// that says nothing of its effort.
    pub fn bill(&self) -> Vec<(usize, Term, i64)> {
        let item = |violation: Violation| match (violation.spot, violation.fault) {
            (Some(spot), Fault::Item { term, wanted, .. }) => Some((spot.layer, term, wanted)),
            _ => None,
        };
        let items: Vec<_> = self.violations().into_iter().filter_map(item).collect();
        let effort: i64 = items.iter().map(|(.., amount)| amount).sum();
        assert_eq!(self.price().unwrap().effort, effort as u64);
        items
    }

    /// The bill without what almost every note costs: `stop`, `finger_3`,
    /// `finger_4`, `height`, `contraction`, `land` and `tone_long`.
    pub fn beyond_notes(&self) -> Vec<(usize, Term, i64)> {
        const NOTES: [Term; 7] = [
            Term::Stop,
            Term::Finger3,
            Term::Finger4,
            Term::Height,
            Term::Contraction,
            Term::Land,
            Term::ToneLong,
        ];
        let mut items = self.bill();
        items.retain(|(_, term, _)| !NOTES.contains(term));
        items
    }

    /// What one term costs in all.
    pub fn cost_of(&self, wanted: Term) -> i64 {
        self.bill().iter().filter(|(_, term, _)| *term == wanted).map(|(.., amount)| amount).sum()
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
/// own + 5 for 2 and 3 side by side; in the second bar C4 2, D4 2 + 1. All five
/// fingers after the first come down anew, for 1 each. No open string of the
/// melody lasts a second.
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
        (Term::Land, quarters(1), 1),
        (Term::Stop, quarters(2), 2),
        (Term::Land, quarters(2), 1),
        (Term::Stop, quarters(3), 2),
        (Term::Finger3, quarters(3), 1),
        (Term::Contraction, quarters(3), 1),
        (Term::Crowd, quarters(3), 5),
        (Term::Land, quarters(3), 1),
        (Term::Stop, quarters(5), 2),
        (Term::Land, quarters(5), 1),
        (Term::Stop, quarters(6), 2),
        (Term::Finger3, quarters(6), 1),
        (Term::Land, quarters(6), 1),
    ])
}

/// F major under a full barre. On paper: six stopped 12, finger 3 1, finger 4
/// 3, finger 4 a fret below its own 1; fingers 2 and 3 two strings apart are
/// 4.0 mm farther than at rest, 3 · 40 / 100 = 1; 3 and 4 side by side 5; the
/// barre over six strings 10.
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
        (Term::Crowd, quarters(0), 5),
        (Term::BarreHold, quarters(0), 10),
        (Term::BarreLay, quarters(0), 30),
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
        lean: 4,
        contraction: 1,
        lead: 7,
        lead_stay: 18,
        stretch: 3,
        crossed: 4,
        crowd: 5,
        barre_hold: 2,
        barre_lay: 6,
        hinge: 9,
        shift: 8,
        travel: 1,
        ease: 0,
        ease_guide: 40,
        ease_pivot: 30,
        ease_open: 50,
        ease_rest: 45,
        ease_phrase: 35,
        ease_beat: 10,
        ease_repeat: 15,
        leading: 25,
        hop: 20,
        hop_stay: 11,
        land: 1,
        jump: 3,
        jump_bass: 19,
        leap: 7,
        twice: 9,
        slide: 4,
        replace: 6,
        exchange: 10,
        weak_pair: 1,
        join: 100,
        join_weak: 13,
        ornament: 200,
        tone_high: 14,
        tone_long: 17,
        house: 50,
        cut_melody: 60,
        cut_bass: 30,
        cut_inner: 15,
        cut_tail: 15,
        ring: 12,
        ..EffortTable::default()
    }
}

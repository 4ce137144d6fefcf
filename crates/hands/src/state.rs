//! The hand at one onset, in bytes, and what it costs (model §5).

use apoyando_fingering::{EffortTable, Term};

use crate::clock::MOST_HURRY;
use crate::geometry::Geometry;
use crate::limits::POSITIONS;

/// A posture as far as costs depend on it. Strings are bits, bit 0 for ①.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct State {
    /// Strings each finger stops, struck or held.
    pub down: [u16; 4],
    /// Strings on which it stops a struck sound.
    pub struck: [u16; 4],
    /// The fret of each finger that is down.
    pub fret: [u8; 4],
    /// 0 in the air.
    pub position: u8,
    /// The barre's outer strings from 1, thinnest first; 0 for none.
    pub thin: u8,
    pub thick: u8,
    /// The finger of the only sound placed here, 0 if it is open or not alone.
    pub lone: u8,
    /// Which grip of its stage it is.
    pub grip: u32,
}

impl State {
    pub const fn barre_mask(&self) -> u16 {
        if self.thin == 0 { 0 } else { (1 << self.thick) - (1 << (self.thin - 1)) }
    }

    pub fn is_down(&self, finger: usize) -> bool {
        self.down[finger] != 0
    }

    pub fn idle(&self) -> bool {
        self.down == [0; 4]
    }

    /// All fingers with their strings in one number.
    pub const fn hand(&self) -> u64 {
        let [a, b, c, d] = self.down;
        a as u64 | (b as u64) << 16 | (c as u64) << 32 | (d as u64) << 48
    }

    const fn string(&self, finger: usize) -> usize {
        self.down[finger].trailing_zeros() as usize
    }

    const fn place(&self, finger: usize) -> (u8, usize) {
        (self.fret[finger], self.string(finger))
    }

    /// Frets by which a finger that is down lies off its own.
    pub fn offset(&self, finger: usize) -> i32 {
        i32::from(self.fret[finger]) - i32::from(self.position) - finger as i32
    }

    /// Frets of extension of a finger that is down (P7).
    pub fn extension(&self, finger: usize) -> i32 {
        let offset = self.offset(finger);
        if finger == 0 { (-offset).max(0) } else { offset.max(0) }
    }

    fn contraction(&self, finger: usize) -> i32 {
        let offset = self.offset(finger);
        if finger == 0 { offset.max(0) } else { (-offset).max(0) }
    }
}

/// What shifts between two positions cost.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Shifting {
    /// Without any ease.
    pub whole: i64,
    /// With what eases it wherever it goes.
    pub plain: i64,
    /// With the most that could ease it.
    pub least: i64,
}

/// By the position before and after; 0 is unknown.
pub(crate) type Shifts = [[Shifting; POSITIONS]; POSITIONS];

/// Everything a cost needs besides the postures.
#[derive(Clone, Debug)]
pub(crate) struct Costs {
    pub geometry: Geometry,
    pub table: EffortTable,
    /// `shift` + `travel` between two positions for a hurry of 1.
    pub shift: [[i64; POSITIONS]; POSITIONS],
    /// Shifts from stopped states, by hurry and by whether there is a rest.
    from_stopped: Vec<[Shifts; 2]>,
}

/// The time between two layers, as the costs see it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step {
    /// Hurry from one onset to the next.
    pub hurry: i64,
    /// Hurry since the hand last stopped something.
    pub since_stopped: i64,
    /// Whether every sound so far has its written end before the later onset.
    pub rest: bool,
}

impl Costs {
    pub fn new(geometry: Geometry, table: &EffortTable) -> Self {
        let mut shift = [[0; POSITIONS]; POSITIONS];
        for (from, row) in shift.iter_mut().enumerate().skip(1) {
            for (to, cost) in row.iter_mut().enumerate().skip(1) {
                let way = i64::from(geometry.x(from as u8) - geometry.x(to as u8)).abs();
                if from != to {
                    *cost = i64::from(table.shift) + i64::from(table.travel) * way / 100;
                }
            }
        }
        let mut costs = Self { geometry, table: table.clone(), shift, from_stopped: Vec::new() };
        costs.from_stopped =
            (1..=MOST_HURRY).map(|h| [false, true].map(|rest| costs.shifts(h, rest))).collect();
        costs
    }

    fn shifts(&self, hurry: i64, rest: bool) -> Shifts {
        let own = if rest { i64::from(self.table.ease_rest) } else { 0 };
        let fingers = i64::from(self.table.ease_guide.max(self.table.ease_pivot));
        self.shift.map(|row| {
            row.map(|cost| {
                let whole = cost * hurry;
                let less = |percent: i64| whole - whole * percent / 100;
                Shifting { whole, plain: less(own), least: less(own.max(fingers)) }
            })
        })
    }

    /// Shifts from stopped states after some time.
    pub fn shifts_from_stopped(&self, step: Step) -> &Shifts {
        &self.from_stopped[step.since_stopped as usize - 1][usize::from(step.rest)]
    }

    /// What holding a posture costs.
    pub fn posture(&self, s: &State, add: &mut impl FnMut(Term, i64)) {
        if s.idle() {
            return;
        }
        let t = &self.table;
        let barre = s.thin != 0;
        for finger in 0..4 {
            if !s.is_down(finger) {
                continue;
            }
            let struck = i64::from(s.struck[finger].count_ones());
            add(Term::Stop, struck * i64::from(t.stop));
            match finger {
                2 => add(Term::Finger3, struck * i64::from(t.finger_3)),
                3 => add(Term::Finger4, struck * i64::from(t.finger_4)),
                _ => {}
            }
            add(
                Term::Height,
                struck * i64::from(t.height) * (2 * i64::from(s.position) - 3).max(0),
            );
            add(Term::Extension, i64::from(t.extension) * i64::from(s.extension(finger)));
            if struck > 0 {
                add(Term::Contraction, i64::from(t.contraction) * i64::from(s.contraction(finger)));
                if finger == 0 && s.contraction(finger) > 0 {
                    add(Term::Lead, i64::from(t.lead));
                }
            }
            for higher in finger + 1..4 {
                if !s.is_down(higher) {
                    continue;
                }
                let spread = if barre && finger == 0 {
                    self.geometry.x(s.fret[higher]) - self.geometry.x(s.fret[finger])
                } else {
                    self.geometry.spread(s.place(finger), s.place(higher))
                };
                let at_rest = self.geometry.x(s.position + higher as u8)
                    - self.geometry.x(s.position + finger as u8);
                let excess = i64::from(spread - at_rest);
                if excess > 0 {
                    add(Term::Stretch, i64::from(t.stretch) * excess / 100);
                }
                let one_strikes = (s.struck[finger] | s.struck[higher]) != 0;
                if s.fret[finger] == s.fret[higher]
                    && s.string(finger) < s.string(higher)
                    && one_strikes
                {
                    add(Term::Crossed, i64::from(t.crossed));
                }
            }
        }
        if barre {
            add(Term::BarreHold, i64::from(t.barre_hold) * i64::from(s.thick - s.thin + 1));
        }
    }

    /// What the fingers pay between two postures; letting go is priced apart,
    /// the shift too.
    pub fn fingers(&self, s: &State, n: &State, hurry: i64, add: &mut impl FnMut(Term, i64)) {
        let t = &self.table;
        if n.thin != 0 {
            let laid = n.barre_mask();
            let lay = if s.thin != 0 && s.fret[0] == n.fret[0] { s.barre_mask() } else { 0 };
            add(Term::BarreLay, i64::from(t.barre_lay) * i64::from((laid & !lay).count_ones()));
        }
        let stopped = s.down[0] | s.down[1] | s.down[2] | s.down[3];
        for finger in 0..4 {
            let (was, strikes) = (s.down[finger], n.struck[finger]);
            if strikes == 0 {
                continue;
            }
            let same_fret = s.fret[finger] == n.fret[finger];
            if was != 0 && !(same_fret && was & n.down[finger] != 0) {
                if was & strikes != 0 {
                    if s.position == n.position {
                        add(Term::Slide, i64::from(t.slide) * hurry);
                    }
                } else if !(same_fret && barre_joins(s, n, finger)) {
                    add(Term::Jump, i64::from(t.jump) * hurry);
                }
            }
            if stopped & strikes == 0 {
                continue;
            }
            for other in 0..4 {
                if other != finger && s.fret[other] == n.fret[finger] {
                    let places = i64::from((s.down[other] & strikes).count_ones());
                    if places > 0 {
                        add(Term::Replace, places * i64::from(t.replace) * hurry);
                    }
                }
            }
        }
        if matches!((s.lone, n.lone), (3, 4) | (4, 3)) {
            add(Term::WeakPair, i64::from(t.weak_pair) * hurry);
        }
    }

    /// What [`Costs::fingers`] adds up to.
    pub fn fingers_sum(&self, s: &State, n: &State, hurry: i64) -> i64 {
        let mut sum = 0;
        self.fingers(s, n, hurry, &mut |_, amount| sum += amount);
        sum
    }

    /// The discount on a shift from a state in percent, whatever it goes to.
    pub fn ease_of(&self, s: &State, rest: bool) -> i64 {
        let open = if s.idle() { self.table.ease_open } else { 0 };
        i64::from(if rest { open.max(self.table.ease_rest) } else { open })
    }

    /// The discount on a shift, in percent; positions differ, `n` is stopped.
    pub fn ease_percent(&self, s: &State, n: &State, rest: bool) -> i64 {
        let mut best = self.ease_of(s, rest);
        if s.hand() & n.hand() == 0 {
            return best;
        }
        for finger in 0..4 {
            if s.down[finger] & n.down[finger] != 0 {
                let same = s.fret[finger] == n.fret[finger];
                let ease = if same { self.table.ease_pivot } else { self.table.ease_guide };
                best = best.max(i64::from(ease));
            }
        }
        best
    }
}

/// Whether a barre of either posture at the finger's fret spans a string it
/// comes from and one it strikes.
fn barre_joins(s: &State, n: &State, finger: usize) -> bool {
    finger == 0
        && [s, n].iter().any(|posture| {
            let mask = posture.barre_mask();
            s.down[0] & mask != 0 && n.struck[0] & mask != 0
        })
}

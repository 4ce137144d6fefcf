//! Section 6 of the model, read plainly: every hand of every layer, every
//! sequence of them.

use std::collections::BTreeSet;

use apoyando_fingering::{
    Fingering, Pin, PinAuthor, PinRule, Problem, RightFinger, RightPlan, Scope, Stroke,
};
use apoyando_music::{BarIndex, Duration, ToneId, play_order};

use crate::heard::{Heard, Role, hear, hurry, lasting, milliseconds};

use RightFinger::{A, I, M, P};

pub type Hand = Vec<RightFinger>;

/// A struck sound: which one, on which string (① is 1).
#[derive(Clone, Copy, Debug)]
pub struct Struck {
    pub sound: usize,
    pub string: u8,
}

/// A layer in which something is plucked; the others are passed over.
pub struct Layer {
    /// Its number in the music.
    pub at: usize,
    /// From the thickest string on.
    pub struck: Vec<Struck>,
    /// What the rules leave.
    pub hands: Vec<Hand>,
    /// Whether no hand was in order.
    pub awry: bool,
    /// Whether pins left some sound nothing.
    pub contradicted: bool,
}

/// A layer and one that is plucked next after it somewhere in the playing order.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Next {
    pub layer: usize,
    pub next: usize,
    /// Milliseconds from one to the other, as played or as written one after the other.
    time: i64,
}

impl Next {
    /// Whether the second is not written next.
    pub const fn is_seam(self) -> bool {
        self.next != self.layer + 1
    }
}

pub struct Brute<'a> {
    pub problem: &'a Problem<'a>,
    plan: &'a RightPlan,
    pub heard: Heard,
    pub layers: Vec<Layer>,
    /// Each pair once.
    pub nexts: Vec<Next>,
}

impl<'a> Brute<'a> {
    pub fn new(problem: &'a Problem<'a>, plan: &'a RightPlan, left: &Fingering) -> Self {
        let heard = hear(problem);
        let layers: Vec<Layer> = (0..heard.layers.len())
            .map(|at| {
                let mut struck: Vec<Struck> = heard
                    .struck(at)
                    .into_iter()
                    .filter_map(|sound| {
                        let tone = &left.tones[heard.sounds[sound].tones[0].0 as usize];
                        let string = tone.left.filter(|_| !tone.joined)?.place.string.get();
                        Some(Struck { sound, string })
                    })
                    .collect();
                struck.sort_by_key(|s| 10 - s.string);
                Layer { at, struck, hands: Vec::new(), awry: false, contradicted: false }
            })
            .filter(|layer| !layer.struck.is_empty())
            .collect();
        let nexts = nexts(problem, &heard, &layers);
        let mut brute = Self { problem, plan, heard, layers, nexts };
        for layer in 0..brute.layers.len() {
            brute.obey(layer, None);
        }
        brute
    }

    /// R1 to R4, with one more pin if there is one: a sound and a finger.
    pub fn obey(&mut self, layer: usize, more: Option<(usize, RightFinger)>) {
        let struck = self.layers[layer].struck.clone();
        let pinned: Vec<Vec<RightFinger>> =
            struck.iter().map(|s| self.allowed(layer, s.sound, more)).collect();
        let contradicted = pinned.iter().any(Vec::is_empty);
        let free = |set: &Vec<RightFinger>| {
            if set.is_empty() { RightFinger::ALL.to_vec() } else { set.clone() }
        };
        let all = every(&pinned.iter().map(free).collect::<Vec<_>>());
        let in_order = |h: &&Hand| doubled(h) == 0 && crossed(h) == 0;
        let orderly: Vec<Hand> = all.iter().filter(in_order).cloned().collect();
        let awry = orderly.is_empty();
        let hands = if awry {
            let best =
                all.into_iter().min_by_key(|h| (doubled(h), crossed(h), brushed(h), h.clone()));
            best.into_iter().collect()
        } else {
            let least = orderly.iter().map(brushed).min().unwrap();
            let r2 = |h: &Hand| brushed(h) == least;
            let r3 = |h: &Hand| match self.given(layer) {
                None => true,
                Some(P) => h[0] == P,
                Some(finger) => h[h.len() - 1] == finger,
            };
            let r4 = |h: &Hand| !self.is_line(layer) || h[0] == P || self.plan.pair.contains(&h[0]);
            let rules: [&dyn Fn(&Hand) -> bool; 3] = [&r2, &r3, &r4];
            let mut hands = orderly;
            for rule in rules {
                if hands.iter().any(rule) {
                    hands.retain(rule);
                }
            }
            hands
        };
        let layer = &mut self.layers[layer];
        (layer.hands, layer.awry, layer.contradicted) = (hands, awry, contradicted);
    }

    /// The fingers that pins leave a sound.
    pub fn allowed(
        &self,
        layer: usize,
        sound: usize,
        more: Option<(usize, RightFinger)>,
    ) -> Vec<RightFinger> {
        let pins = &self.problem.pins.0;
        let gives_way = |pin: &Pin| {
            pin.author == PinAuthor::Import
                && matches!(pin.scope, Scope::Tone(_))
                && pins.iter().any(|other| {
                    other.author == PinAuthor::Author
                        && other.scope == pin.scope
                        && matches!(other.rule, PinRule::RightFingers(_))
                })
        };
        let tones: &[ToneId] = &self.heard.sounds[sound].tones;
        let bar = self.heard.bars[self.layers[layer].at];
        RightFinger::ALL
            .into_iter()
            .filter(|finger| more.is_none_or(|(at, only)| at != sound || only == *finger))
            .filter(|finger| {
                pins.iter().filter(|pin| !gives_way(pin)).all(|pin| {
                    let concerned = match pin.scope {
                        Scope::Tone(tone) => tones.contains(&tone),
                        Scope::Bars { first, last } => first <= bar && bar <= last,
                    };
                    match pin.rule {
                        PinRule::RightFingers(set) => !concerned || set.contains(*finger),
                        _ => true,
                    }
                })
            })
            .collect()
    }

    pub fn given(&self, layer: usize) -> Option<RightFinger> {
        let mut given = None;
        for pattern in &self.plan.patterns {
            let inside = |l: usize| {
                let bar = self.heard.bars[self.layers[l].at];
                pattern.bars.is_none_or(|(first, last)| first <= bar && bar <= last)
            };
            if inside(layer) && !pattern.fingers.is_empty() {
                let turn = (0..layer).filter(|l| inside(*l)).count();
                given = Some(pattern.fingers[turn % pattern.fingers.len()]);
            }
        }
        given
    }

    pub fn role(&self, struck: Struck) -> Role {
        self.heard.sounds[struck.sound].role
    }

    fn lone(&self, layer: usize) -> Option<Struck> {
        let struck = &self.layers[layer].struck;
        (struck.len() == 1).then(|| struck[0])
    }

    /// The layers of the broken chord that a layer is of.
    pub fn broken(&self, layer: usize) -> Option<Vec<usize>> {
        let count = self.layers.len();
        if let Some(figure) = self.heard.figure[self.layers[layer].at] {
            let of_it = |l: &usize| self.heard.figure[self.layers[*l].at] == Some(figure);
            return Some((0..count).filter(of_it).collect());
        }
        if self.heard.voices >= 2 {
            return None;
        }
        let run = self.heard.slow[self.layers[layer].at]?;
        let of_it = |l: &usize| self.heard.slow[self.layers[*l].at] == Some(run);
        let run: Vec<usize> = (0..count).filter(of_it).collect();
        let strings: BTreeSet<u8> =
            run.iter().flat_map(|l| &self.layers[*l].struck).map(|s| s.string).collect();
        let stands = self
            .lone(run[0])
            .is_some_and(|s| s.string >= 4 && strings.iter().all(|other| *other <= s.string));
        let no_figure = run.iter().all(|l| self.heard.figure[self.layers[*l].at].is_none());
        let bar = |l: usize| self.heard.bars[self.layers[l].at];
        let begins = (0..run[0]).all(|l| bar(l) != bar(run[0]));
        (begins && stands && no_figure && strings.len() >= 3).then_some(run)
    }

    pub fn is_line(&self, layer: usize) -> bool {
        self.broken(layer).is_none()
            && self.lone(layer).is_some_and(|s| self.role(s) != Role::Bass)
            && !self.is_lone_bass(layer)
    }

    pub fn is_lone_bass(&self, layer: usize) -> bool {
        let Some(own) = self.lone(layer) else { return false };
        let wanted = own.string >= 4
            && self.role(own) != Role::Bass
            && self.broken(layer).is_none()
            && self.heard.voices < 2
            && !self.plan.pair.contains(&P)
            && !self.is_of_a_scale(self.layers[layer].at);
        wanted && (self.lies_low() || self.lies_deep(layer))
    }

    pub fn lies_low(&self) -> bool {
        let count = self.layers.len();
        let lone: Vec<Struck> = (0..count).filter_map(|l| self.lone(l)).collect();
        let low = lone.iter().filter(|s| s.string >= 4).count();
        let passes =
            || self.passing(self.layers[0].at, self.layers[count - 1].at) / (count as i64 - 1);
        count > 1 && low >= lone.len() - low && passes() >= 500
    }

    fn lies_deep(&self, layer: usize) -> bool {
        let lowest = |layer: usize| {
            self.layers[layer].struck.iter().map(|s| self.heard.sounds[s.sound].key).min().unwrap()
        };
        let apart = |other: usize| lowest(other) - lowest(layer) >= 12;
        layer > 0 && layer + 1 < self.layers.len() && apart(layer - 1) && apart(layer + 1)
    }

    /// Milliseconds from one layer of the music to another.
    fn passing(&self, from: usize, to: usize) -> i64 {
        milliseconds(self.problem, self.heard.layers[from], self.heard.layers[to])
    }

    /// Whether the sounds of a layer of the music and of the one before go by step.
    fn steps_to(&self, to: usize) -> bool {
        let tones = self.problem.score.tones(self.problem.part);
        let (a, b) = (self.heard.struck(to - 1), self.heard.struck(to));
        let ([a], [b]) = (&a[..], &b[..]) else { return false };
        let pitch = |s: &usize| tones.get(self.heard.sounds[*s].tones[0]).pitch;
        let line = |s: &usize| 7 * i32::from(pitch(s).octave) + pitch(s).step.index();
        self.heard.sounds[*a].key != self.heard.sounds[*b].key && (line(a) - line(b)).abs() < 2
    }

    /// The run by step that a layer of the music is in: its first and its last.
    pub fn run_of(&self, at: usize) -> (usize, usize) {
        let end = self.heard.layers.len() - 1;
        let first = (0..=at).rev().find(|l| *l == 0 || !self.steps_to(*l)).unwrap();
        let last = (at..=end).find(|l| *l == end || !self.steps_to(l + 1)).unwrap();
        (first, last)
    }

    /// Whether something is plucked on a thin string in a layer of the music.
    pub fn goes_up(&self, at: usize) -> bool {
        let here = self.layers.iter().filter(|layer| layer.at == at);
        here.flat_map(|layer| &layer.struck).any(|struck| struck.string <= 3)
    }

    /// Whether a layer of the music is of a scale.
    pub fn is_of_a_scale(&self, at: usize) -> bool {
        let (first, last) = self.run_of(at);
        match last - first + 1 {
            8.. => true,
            5.. => {
                (first..=last).any(|at| self.goes_up(at))
                    || self.passing(first, last) < 600 * (last - first) as i64
            }
            _ => false,
        }
    }

    /// The number among what is plucked of a layer of the music.
    pub fn number(&self, at: usize) -> usize {
        self.layers.iter().position(|layer| layer.at == at).unwrap()
    }

    fn own(&self, layer: usize, hand: &Hand) -> i32 {
        let table = self.problem.effort;
        let broken = self.broken(layer);
        let figure = broken.is_some();
        let lone = self.lone(layer);
        let mut sum = 0;
        for (struck, finger) in self.layers[layer].struck.iter().zip(hand) {
            let bass = self.role(*struck) == Role::Bass && self.heard.voices >= 2;
            if (bass || self.is_lone_bass(layer)) && *finger != P {
                sum += table.rh_bass;
            }
            if lone.is_none() || figure {
                let at_home = self.at_home(layer, struck.string);
                let each = if figure { table.rh_figure } else { table.rh_home };
                sum += each * (*finger as i32 - at_home as i32).abs();
            }
        }
        if let Some(struck) = lone {
            let line = self.is_line(layer);
            let mine = line && self.plan.pair.contains(&P);
            if hand[0] == P
                && self.role(struck) != Role::Bass
                && !self.is_lone_bass(layer)
                && (!figure || struck.string <= 3)
                && !mine
            {
                sum += table.rh_thumb_line;
            }
            if self.begins_a_rise(layer) && hand[0] != P {
                sum += table.rh_begin;
            }
            if line && hand[0] == A {
                sum += table.rh_ring;
            }
            if line && layer == 0 && hand[0] != self.plan.pair[0] {
                sum += table.rh_first;
            }
        }
        sum
    }

    /// The strings of some layers.
    fn strings(&self, layers: &[usize]) -> BTreeSet<u8> {
        layers.iter().flat_map(|l| &self.layers[*l].struck).map(|s| s.string).collect()
    }

    /// The finger at home on a string that is plucked in a layer.
    pub fn at_home(&self, layer: usize, string: u8) -> RightFinger {
        let usual = match string {
            1 => A,
            2 => M,
            3 => I,
            _ => P,
        };
        let Some(layers) = self.broken(layer) else { return usual };
        let struck = layers.iter().flat_map(|l| self.layers[*l].struck.iter().copied());
        let mut thumb: BTreeSet<u8> = BTreeSet::new();
        if self.heard.voices >= 2 {
            thumb.extend(struck.filter(|s| self.role(*s) == Role::Bass).map(|s| s.string));
        }
        if thumb.is_empty() {
            let strings = self.strings(&layers[..self.rise_ends(&layers, layer)]);
            thumb.extend(strings.last().filter(|thickest| **thickest >= 4));
        }
        let reached = thumb.last().copied().unwrap_or(u8::MAX);
        let others: Vec<u8> = self
            .strings(&layers)
            .into_iter()
            .filter(|other| *other < reached && !thumb.contains(other))
            .collect();
        if thumb.contains(&string) {
            P
        } else if others.iter().filter(|other| **other <= 3).count() >= others.len().min(2) {
            usual
        } else {
            // From the thinnest on, the last of at most three is for i.
            let fingers = [A, M, I];
            let from = 3 - others.len().min(3);
            let place = others.iter().position(|other| *other == string);
            place.and_then(|place| fingers.get(from + place)).copied().unwrap_or(P)
        }
    }

    /// Whether a layer begins a rise, alone on a thick string.
    pub fn begins_a_rise(&self, layer: usize) -> bool {
        let Some(layers) = self.broken(layer) else { return false };
        let first = match layers.iter().position(|l| *l == layer) {
            Some(0) => true,
            Some(place) => self.rise_ends(&layers, layers[place - 1]) == place,
            None => false,
        };
        first && self.lone(layer).is_some_and(|s| s.string >= 4)
    }

    /// How many layers of a broken chord there are up to the end of the rise that
    /// a layer is in.
    fn rise_ends(&self, layers: &[usize], layer: usize) -> usize {
        let falls = |index: usize| {
            let Some(lone) = self.lone(layers[index]) else { return false };
            let before = self.strings(&layers[..index]);
            let last = self.strings(&layers[index - 1..index]);
            lone.string >= 4
                && before.iter().all(|s| *s < lone.string)
                && last.iter().all(|s| *s + 1 < lone.string)
        };
        let place = layers.iter().position(|l| *l == layer).unwrap();
        (place + 1..layers.len()).find(|index| falls(*index)).unwrap_or(layers.len())
    }

    /// From a layer to one that is plucked next.
    fn moved(&self, Next { layer, next, time }: Next, from: &Hand, to: &Hand) -> i32 {
        let table = self.problem.effort;
        let h = hurry(time) as i32;
        let lone = (self.lone(layer), self.lone(next));
        let both_lone = lone.0.is_some() && lone.1.is_some();
        let mut sum = 0;
        let none_but = |hand: &Hand, own| hand.iter().all(|f| *f == P || *f == own);
        for finger in [I, M, A] {
            if from.contains(&finger) && to.contains(&finger) {
                if time < 1000 || time < 2000 && both_lone {
                    sum += table.rh_repeat;
                } else if none_but(from, finger) && none_but(to, finger) {
                    sum += table.rh_again;
                }
            }
        }
        if from.contains(&P) && to.contains(&P) {
            let lines = self.is_line(layer) && self.is_line(next);
            if time < 2000 && lines && self.plan.pair.contains(&P) {
                sum += table.rh_repeat;
            } else if time < 1000 {
                sum += table.rh_thumb_repeat * h;
            }
        }
        if let (Some(a), Some(b)) = lone {
            let (thinner, thicker) = (b.string < a.string, b.string > a.string);
            let (f, g) = (from[0], to[0]);
            let against = (thinner && g < f) || (thicker && g > f);
            let neither_a_line = !self.is_line(layer) && !self.is_line(next);
            let under = h > 1 && neither_a_line && a.string == b.string && f != P && g == P;
            if under {
                sum += table.rh_tangle;
            }
            if against && (neither_a_line || f == P || g == P) {
                sum += table.rh_tangle;
            } else if against {
                sum += table.rh_cross;
            }
            if h > 2 && ((f == M && g == A) || (f == A && g == M)) {
                sum += table.rh_weak * (h - 2);
            }
        } else if self.broken(layer).is_none() && self.broken(next).is_none() {
            // All but the thinnest string is the thumb's.
            let alone = |hand: &Hand| {
                let (top, rest) = hand.split_last().unwrap();
                (*top != P && rest.iter().all(|f| *f == P)).then_some(*top)
            };
            let thinnest = |at: usize| self.strings(&[at]).into_iter().min().unwrap();
            if let (Some(f), Some(g)) = (alone(from), alone(to)) {
                let (a, b) = (thinnest(layer), thinnest(next));
                if (b < a && g < f) || (b > a && g > f) {
                    sum += table.rh_cross;
                }
            }
        }
        sum
    }

    /// The cheapest sequence of hands, the smallest of equals, with its price.
    pub fn best(&self) -> (i32, Vec<Hand>) {
        self.best_over(&self.nexts)
    }

    /// The same where other layers are plucked one after another.
    pub fn best_over(&self, nexts: &[Next]) -> (i32, Vec<Hand>) {
        let mut best = None;
        self.follow(nexts, &mut Vec::new(), 0, &mut best);
        best.expect("a sequence")
    }

    fn follow(
        &self,
        nexts: &[Next],
        way: &mut Vec<Hand>,
        spent: i32,
        best: &mut Option<(i32, Vec<Hand>)>,
    ) {
        // Nothing is less than nothing: what is dearer now stays dearer.
        if best.as_ref().is_some_and(|(least, _)| spent > *least) {
            return;
        }
        let layer = way.len();
        if layer == self.layers.len() {
            let smaller =
                |other: &(i32, Vec<Hand>)| (spent, self.key(way)) < (other.0, self.key(&other.1));
            if best.as_ref().is_none_or(smaller) {
                *best = Some((spent, way.clone()));
            }
            return;
        }
        for hand in &self.layers[layer].hands {
            way.push(hand.clone());
            // What is plucked one after the other, as soon as both hands are known.
            let known = nexts.iter().filter(|next| next.layer.max(next.next) == layer);
            let moved: i32 =
                known.map(|next| self.moved(*next, &way[next.layer], &way[next.next])).sum();
            self.follow(nexts, way, spent + self.own(layer, hand) + moved, best);
            way.pop();
        }
    }

    /// The order of ties.
    fn key(&self, way: &[Hand]) -> Vec<usize> {
        let mut order = vec![P];
        for finger in self.plan.pair.into_iter().chain([I, M, A]) {
            if !order.contains(&finger) {
                order.push(finger);
            }
        }
        way.iter().flatten().map(|f| order.iter().position(|o| o == f).unwrap()).collect()
    }

    /// The stroke of a sound.
    pub fn stroke(&self, layer: usize, struck: Struck, finger: RightFinger) -> Stroke {
        let tones = self.problem.score.tones(self.problem.part);
        let own = &self.heard.sounds[struck.sound].tones;
        for voice in 1..=4 {
            let of_voice = own.iter().any(|tone| tones.get(*tone).voice.0 == voice);
            let said = self.plan.voice_strokes.iter().rfind(|(v, _)| v.0 == voice);
            if let (true, Some((_, stroke))) = (of_voice, said) {
                return *stroke;
            }
        }
        match self.plan.stroke {
            Some(stroke) => stroke,
            None if self.is_line(layer) && self.heard.voices == 1 && finger != P => Stroke::Rest,
            None => Stroke::Free,
        }
    }
}

/// What is plucked next after what, bar by bar as it is played.
fn nexts(problem: &Problem<'_>, heard: &Heard, layers: &[Layer]) -> Vec<Next> {
    let score = problem.score;
    let order: Vec<BarIndex> = match play_order(score) {
        Ok(played) => played.iter().map(|played| played.bar).collect(),
        Err(_) => (0..score.bars().len() as u32).map(BarIndex).collect(),
    };
    let onset = |layer: usize| heard.layers[layers[layer].at];
    let mut nexts: Vec<Next> = Vec::new();
    let mut begins = Duration::ZERO;
    let mut last: Option<(usize, Duration)> = None;
    for bar in order {
        for next in (0..layers.len()).filter(|layer| heard.bars[layers[*layer].at] == bar) {
            let now = begins + (onset(next) - score.bar(bar).start);
            if let Some((layer, then)) = last
                && !nexts.iter().any(|known| (known.layer, known.next) == (layer, next))
            {
                let written = next == layer + 1;
                let length = if written { onset(next) - onset(layer) } else { now - then };
                nexts.push(Next { layer, next, time: lasting(problem, onset(layer), length) });
            }
            last = Some((next, now));
        }
        begins += score.bar(bar).length;
    }
    nexts
}

/// Every hand that takes one of the fingers allowed on each sound.
fn every(allowed: &[Vec<RightFinger>]) -> Vec<Hand> {
    allowed.iter().fold(vec![Vec::new()], |hands, set| {
        hands.iter().flat_map(|hand| set.iter().map(move |f| [&hand[..], &[*f]].concat())).collect()
    })
}

fn pairs(hand: &Hand) -> impl Iterator<Item = (RightFinger, RightFinger)> + '_ {
    (0..hand.len()).flat_map(move |b| (0..b).map(move |a| (hand[a], hand[b])))
}

fn doubled(hand: &Hand) -> usize {
    pairs(hand).filter(|(thick, thin)| thick == thin && *thick != P).count()
}

fn crossed(hand: &Hand) -> usize {
    pairs(hand).filter(|(thick, thin)| thin < thick).count()
}

fn brushed(hand: &Hand) -> usize {
    hand.iter().filter(|f| **f == P).count().saturating_sub(1)
}

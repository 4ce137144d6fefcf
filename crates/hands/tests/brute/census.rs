//! What came up in the best fingerings of the puzzles, so that none of it goes
//! untested.

use std::collections::BTreeMap;

use apoyando_fingering::{Hinge, Term};
use apoyando_music::{JoinKind, play_order};

use crate::grip::Posture;
use crate::heard::{Kind, Role};
use crate::holding::{is_joined, let_go};
use crate::house::{Against, is_against};
use crate::moves::{Move, Past, eases, leading_fingers};
use crate::price::{lies_idle, of_one_fret};
use crate::question::Question;
use crate::seams::moved;
use crate::second::{asked, changed};
use crate::stay::{is_prepared, purpose, was_at};
use crate::whole::{Items, items, price};

#[derive(Default)]
pub struct Census(BTreeMap<String, usize>);

/// What must come up besides every term of the left hand.
const WANTED: &[&str] = &[
    "left out",
    "broken rule",
    "a sound of two tones",
    "unison on two strings",
    "melody",
    "bass",
    "inner",
    "figure",
    "rung on",
    "many sounds held",
    "barre",
    "early barre",
    "barre of a lone sound",
    "barre wider than what it stops",
    "hinge on the thin side",
    "hinge on the thick side",
    "hinge changed",
    "barre laid beside others held",
    "barre made wider",
    "barre paid for already",
    "fingertip laid flat",
    "finger passes another",
    "idle with a position",
    "idle without one",
    "idle and staying",
    "stays: common",
    "stays: guide",
    "stays: prepared",
    "stays: prepared, was not there",
    "stays: was bound",
    "two fingers stay",
    "away",
    "away two layers",
    "away by 2",
    "away by 3",
    "away by 4",
    "away in the last layer",
    "bound",
    "bound twice",
    "ornamented by the open string",
    "not ornamented",
    "bound and nothing else down",
    "natural harmonic",
    "natural harmonic kept",
    "natural harmonic kept over a fingered one",
    "artificial harmonic",
    "harmonic let go",
    "played joined: up",
    "played joined: down to an open string",
    "played joined: down to a finger",
    "played joined: glissando",
    "glissando with a shift",
    "not played joined",
    "joined from a sound left out",
    "shift",
    "shift over idle",
    "shift with guide",
    "shift with pivot",
    "chord under a barre for what is to come in the bar",
    "cut in the playing order",
    "kept up to a cut",
    "seam",
    "seam with shift",
    "seam of an idle hand",
    "forward seam",
    "no playing order",
    "house: shape",
    "house: third fret",
    "house: descending",
    "pin of an import gives way",
    "capo",
    "tail cut",
    "second finger",
    "second finger from 1",
    "second finger is 1",
    "second finger with a shift",
    "second finger, the first strikes elsewhere",
    "second finger long kept",
    "second finger asked for",
    "held and rung on cut at once",
    "ease of 80",
    "crossed where it stayed",
];

/// Terms that are charged for the left hand, and percentages that enter.
fn is_of_left_hand(term: Term) -> bool {
    !term.info().name.starts_with("rh_") && term != Term::Alike
}

impl Census {
    fn count(&mut self, what: impl Into<String>, happens: bool) {
        if happens {
            *self.0.entry(what.into()).or_default() += 1;
        }
    }

    pub fn note(&mut self, q: &Question<'_>, way: &[Posture]) {
        let total = price(q, way);
        self.count("left out", total.0 > 0);
        self.count("broken rule", total.1 > 0);
        self.count("capo", q.problem.instrument.capo.0 > 0);
        self.count("pin of an import gives way", q.pins.len() < q.problem.pins.0.len());
        self.count("no playing order", play_order(q.problem.score).is_err());
        let items = items(q, way);
        for ((_, term), amount) in &items {
            self.count(format!("term {}", term.info().name), *amount != 0);
        }
        self.note_sounds(q, way);
        for posture in way {
            self.note_posture(q, posture, way);
        }
        for pair in way.windows(2) {
            let [s, n] = pair else { unreachable!() };
            if q.is_reached(n.layer) {
                self.note_move(q, (s, n), &items);
            } else {
                self.count("cut in the playing order", true);
                self.count("kept up to a cut", !let_go(q, s, n).is_empty());
            }
        }
        for seam in &q.played.seams {
            self.count("seam", true);
            self.count("forward seam", seam.to > seam.from);
            let idle = way[seam.from].idle() || way[seam.to].idle();
            let shifts = moved(seam, way).is_some();
            self.count("seam with shift", shifts);
            self.count("seam of an idle hand", shifts && idle);
        }
    }

    fn note_sounds(&mut self, q: &Question<'_>, way: &[Posture]) {
        for (index, sound) in q.heard.sounds.iter().enumerate() {
            let alike =
                |other: &crate::heard::Sound| (other.key, other.onset) == (sound.key, sound.onset);
            let struck = way.iter().find_map(|p| {
                q.struck[p.layer].contains(&index).then(|| p.spot_of(q, index)).flatten()
            });
            let Some(_) = struck else { continue };
            self.count("a sound of two tones", sound.tones.len() > 1);
            let parted = q.heard.sounds.iter().filter(|other| alike(other)).count() > 1;
            self.count("unison on two strings", parted);
            self.count("melody", sound.role == Role::Melody);
            self.count("bass", sound.role == Role::Bass);
            self.count("inner", sound.role == Role::Inner);
            self.count("natural harmonic", sound.kind == Kind::Natural);
            self.count("artificial harmonic", sound.kind == Kind::Artificial);
            let until =
                way.iter().filter(|p| p.kept.iter().any(|(kept, _)| *kept == index)).count();
            self.count("natural harmonic kept", sound.kind == Kind::Natural && until > 0);
            let beyond = way.iter().any(|p| {
                q.heard.layers[p.layer] >= sound.written
                    && p.kept.iter().any(|(kept, _)| *kept == index)
            });
            self.count("rung on", beyond);
        }
    }

    fn note_posture(&mut self, q: &Question<'_>, posture: &Posture, way: &[Posture]) {
        let layer = posture.layer;
        self.count("figure", q.heard.figure[layer].is_some());
        self.count("many sounds held", posture.sounding().count() >= 4);
        if let Some(barre) = posture.barre {
            let stops = posture.finger(1).stops;
            self.count("barre", true);
            self.count("early barre", stops.count() == 1);
            self.count("barre of a lone sound", posture.sounding().count() == 1);
            let chord = posture.struck.len() >= 3 && stops.count() == 1;
            let serves = chord && !lies_idle(q, posture);
            self.count("chord under a barre for what is to come in the bar", serves);
            let ends = stops.has(barre.thin) && stops.has(barre.thick);
            self.count("barre wider than what it stops", !ends);
            self.count("hinge on the thin side", barre.hinge == Some(Hinge::Thin));
            self.count("hinge on the thick side", barre.hinge == Some(Hinge::Thick));
        }
        self.count("idle with a position", posture.idle() && posture.position.is_some());
        self.count("idle without one", posture.idle() && posture.position.is_none());
        let stays: Vec<_> = posture.stays.iter().flatten().collect();
        self.count("idle and staying", posture.idle() && !stays.is_empty());
        self.count("two fingers stay", stays.len() == 2);
        for (index, place) in posture.stays.iter().enumerate() {
            let Some(place) = *place else { continue };
            let purpose = purpose(q, posture, place);
            let only = |this: bool, others: [bool; 2]| this && others == [false; 2];
            self.count("stays: common", only(purpose.common, [purpose.guide, purpose.prepared]));
            self.count("stays: guide", only(purpose.guide, [purpose.common, purpose.prepared]));
            self.count("stays: prepared", purpose.prepared);
            let before = layer.checked_sub(1).map(|before| &way[before]);
            let was = before.is_some_and(|s| was_at(s, index as u8 + 1, place));
            self.count("stays: prepared, was not there", !was && is_prepared(q, posture, place));
            self.count("stays: was bound", before.is_some_and(|s| s.bound[index] == Some(place)));
        }
        if posture.away > 0 {
            self.count("away", true);
            self.count(format!("away by {}", posture.away), true);
            self.count("away in the last layer", layer + 1 == q.layers());
            let before = layer.checked_sub(1).map_or(0, |before| way[before].away);
            self.count("away two layers", before == posture.away);
        }
        let bound = posture.bound.iter().flatten().count();
        self.count("bound", bound > 0);
        self.count("bound twice", bound > 1);
        let others = posture.fingers.iter().all(|f| f.bound || !f.down.any());
        self.count("bound and nothing else down", bound > 0 && others);
        for index in 0..posture.struck.len() {
            let sound = q.sound(q.struck[layer][index]);
            let Some(at) = posture.struck[index] else { continue };
            let ornamented = posture.is_ornamented(q, index);
            let here = posture.bound.iter().flatten().any(|place| place.0 == at.string);
            self.count("ornamented by the open string", ornamented && !here);
            self.count("not ornamented", !ornamented && !sound.auxiliaries.is_empty());
            match is_against(q, posture, index) {
                None => {}
                Some(Against::Shape) => self.count("house: shape", true),
                Some(Against::ThirdFret) => self.count("house: third fret", true),
                Some(Against::Descending) => self.count("house: descending", true),
            }
        }
    }

    fn note_move(&mut self, q: &Question<'_>, (s, n): (&Posture, &Posture), items: &Items) {
        let charged = |term: Term| items.contains_key(&(n.layer, term));
        if let (Some(was), Some(barre)) = (s.barre, n.barre) {
            let same = s.finger(1).fret == n.finger(1).fret;
            self.count("hinge changed", same && was.hinge != barre.hinge);
            self.count("barre made wider", same && barre.width() > was.width());
        }
        let held = n.kept.iter().any(|(_, at)| at.finger >= 2);
        let laid = charged(Term::BarreLay) && held;
        self.count("barre laid beside others held", laid);
        let lies = s.barre.is_some() && n.barre.is_some() && !charged(Term::BarreLay);
        self.count("barre paid for already", lies && !charged(Term::BarreHold));
        let plays_on = s.barre.is_none() && n.kept.iter().any(|(_, at)| at.finger == 1);
        self.count("fingertip laid flat", charged(Term::BarreLay) && plays_on);
        let one_by_one = [s, n].iter().all(|posture| q.is_lone(posture.layer));
        let kept = n.kept.iter().any(|(_, at)| at.finger > 0);
        self.count("finger passes another", charged(Term::Crossed) && one_by_one && !kept);
        let mut crossed = false;
        of_one_fret(q, Some(s), n, &mut |term, _| crossed |= term == Term::Crossed);
        let all_were_there = (1..=4).all(|digit| {
            let finger = n.finger(digit);
            finger.struck.each().all(|string| s.is_at(digit, (string, finger.fret)))
        });
        self.count("crossed where it stayed", crossed && all_were_there);
        for (index, placed) in n.struck.iter().enumerate() {
            let Some((from, kind)) = q.sound(q.struck[n.layer][index]).from else { continue };
            let Some(at) = placed else { continue };
            let up = q.sound(q.struck[n.layer][index]).key > q.sound(from).key;
            let way = match (is_joined(q, s, n, index), kind) {
                (false, _) => "not played joined",
                (true, JoinKind::Glide) => "played joined: glissando",
                (true, JoinKind::Slur) if up => "played joined: up",
                (true, JoinKind::Slur) if at.finger == 0 => "played joined: down to an open string",
                (true, JoinKind::Slur) => "played joined: down to a finger",
            };
            self.count(way, true);
            let shifts = s.position != n.position;
            self.count("glissando with a shift", way.ends_with("glissando") && shifts);
            let gone = s.spot_of(q, from).is_none();
            self.count("joined from a sound left out", gone);
        }
        let moves = s.position.is_some() && s.position != n.position && !n.idle();
        if moves {
            self.count("shift", true);
            self.count("shift over idle", s.idle());
            let leading = leading_fingers(s, n);
            self.count("shift with guide", !leading.guides.is_empty());
            self.count("shift with pivot", !leading.pivots.is_empty());
            let eases = eases(q, Move { s, past: Past::default(), n });
            let sum: i64 = eases.iter().map(|(_, by)| by).sum();
            self.count("ease of 80", sum >= 80);
            for (term, by) in eases {
                self.count(format!("term {}", term.info().name), by != 0);
            }
        }
        let taken_over = changed(q, s, n);
        for sound in &taken_over {
            let (Some(was), Some(is)) = (s.spot_of(q, *sound), n.spot_of(q, *sound)) else {
                continue;
            };
            self.count("second finger", true);
            self.count("second finger from 1", was.finger == 1);
            self.count("second finger is 1", is.finger == 1);
            self.count("second finger with a shift", moves);
            let stayed = s.stays[usize::from(is.finger) - 1].is_some();
            self.count("second finger that stayed", stayed);
            let strikes = n.finger(was.finger).struck.any();
            self.count("second finger, the first strikes elsewhere", strikes);
            self.count("second finger asked for", asked(q, *sound).is_some());
        }
        let long = n.kept.iter().any(|(sound, at)| at.changed && !taken_over.contains(sound));
        self.count("second finger long kept", long);
        let next = q.heard.layers[n.layer];
        for sound in let_go(q, s, n).into_iter().map(|sound| q.sound(sound)) {
            let left = sound.written > next;
            let tail = left && (sound.written - next) * 4 <= sound.written - sound.onset;
            self.count("tail cut", tail);
            self.count("term cut_tail", tail && q.problem.effort.cut_tail > 0);
            self.count("held and rung on cut at once", left && sound.wanted > sound.written);
            self.count("harmonic let go", sound.kind == Kind::Natural);
        }
        for (sound, at) in &n.kept {
            let fingered = n.sounding().any(|other| other.finger > 0);
            let natural = q.sound(*sound).kind == Kind::Natural;
            self.count(
                "natural harmonic kept over a fingered one",
                natural && fingered && at.fret == 0,
            );
        }
    }

    /// What has not come up.
    pub fn missing(&self) -> Vec<String> {
        let terms = Term::ALL.iter().filter(|info| is_of_left_hand(info.term));
        // The discount has its parts.
        let terms = terms.map(|info| format!("term {}", info.name));
        let all = WANTED.iter().map(|what| (*what).to_owned()).chain(terms);
        all.filter(|what| !self.0.contains_key(what)).collect()
    }

    pub fn shown(&self) -> String {
        self.0.iter().map(|(what, count)| format!("{count:6} {what}\n")).collect()
    }
}

"""Where a left hand stands, as constraints: P7, P8, P10 and the rest of P9 of
docs/model.md, the hand in the air, and on a move its position (M4).
"""

from collections import defaultdict

from left_hand_physics import FINGERS, Hand, every
from left_hand_question import Question

POSITIONS = range(1, 25)
# Frets that a hand is away from its position.
AWAY = (0, 2, 3, 4)
# P7.
OUTWARDS = 3


def offsets(finger: int) -> range:
    return range(-OUTWARDS, 2) if finger == 1 else range(1 - finger, OUTWARDS + 1)


def extended(finger: int, offset: int) -> int:
    """Frets of extension in an offset."""
    return max(0, -offset if finger == 1 else offset)


class StandingHand(Hand):
    """A hand with its place in every posture."""

    def __init__(self, question: Question):
        super().__init__(question)
        self.positions = self._positions()
        # By layer: position and frets away, or not known; the place of the
        # hand; whether it is away.
        self.stands, self.unknown, self.hand, self.away = [], [], [], []
        # By layer and finger: whether it is down, whether it strikes; by fret
        # and place of the hand, whether it is there striking, or only down.
        self.down, self.striking = {}, {}
        self.strikes_in, self.rests_in = {}, {}
        for k in self.layers:
            self._place(k)
            for finger in FINGERS:
                self._finger_in_place(k, finger)
            self._idle(k)
            self._away(k)

    def _positions(self) -> list[int]:
        """P8: those from which a finger may be down. Others are of no hand,
        for one that is idle or away has been in its position before."""
        frets = {
            (finger, fret)
            for (_, finger), places in self.down_at.items()
            for _, fret in places
        }
        found = {fret - o - finger + 1 for finger, fret in frets for o in offsets(finger)}
        return [p for p in POSITIONS if p in found]

    def position(self, k: int, p: int):
        return sum(self.stands[k][p, d] for d in AWAY)

    def _place(self, k: int) -> None:
        """P8."""
        stands = {(p, d): self.bool() for p in self.positions for d in AWAY}
        unknown = self.bool(f"unknown {k}")
        self.m.add_exactly_one(unknown, *stands.values())
        hand = defaultdict(list)
        for (p, d), var in stands.items():
            hand[p + d].append(var)
        self.stands.append(stands)
        self.unknown.append(unknown)
        self.hand.append({q: sum(literals) for q, literals in hand.items()})
        self.away.append(self.total([var for (_, d), var in stands.items() if d]))

    def _finger_in_place(self, k: int, finger: int) -> None:
        """P7: each fret of a finger that is down, together with each place of
        the hand from which it gets there."""
        strikes, resting = self._frets(k, finger)
        hand = self.hand[k]
        by_place = defaultdict(list)
        joint = {}
        for name, frets in (("strikes", strikes), ("rests", resting)):
            joint[name] = {}
            for fret, whether in frets.items():
                ways = {fret - offset - finger + 1: offset for offset in offsets(finger)}
                ways = {q: offset for q, offset in ways.items() if q in hand}
                chosen = {q: self.bool() for q in ways}
                self.m.add(sum(chosen.values()) == whether)
                for q, var in chosen.items():
                    joint[name][fret, q] = var
                    by_place[q].append(var)
                    # P10: no extension while the hand is away.
                    if extended(finger, ways[q]):
                        still = self.stands[k].get((q, 0))
                        self.m.add(var <= (0 if still is None else still))
        for q, literals in by_place.items():
            self.m.add(sum(literals) <= hand[q])
        self.strikes_in[k, finger], self.rests_in[k, finger] = joint["strikes"], joint["rests"]
        self.striking[k, finger] = self.total(list(joint["strikes"].values()))
        self.down[k, finger] = self.total(
            [*joint["strikes"].values(), *joint["rests"].values()]
        )
        # What stays has no extension, and no hand that is away.
        stays = defaultdict(list)
        for (_, fret), literals in self.stays[k, finger].items():
            stays[fret] += literals
        for fret, literals in stays.items():
            near = [
                self.stands[k][p, 0]
                for p in self.positions
                if (offset := fret - p - finger + 1) in offsets(finger)
                and not extended(finger, offset)
            ]
            self.m.add(sum(literals) <= sum(near))

    def _frets(self, k: int, finger: int) -> tuple[dict, dict]:
        """Whether a finger strikes at a fret, and whether it is only down
        there."""
        strikes, down = defaultdict(list), defaultdict(list)
        for (_, fret), literals in self.strikes[k, finger].items():
            strikes[fret] += literals
        if finger == 1:
            for (fret, *_), var in self.barres[k].items():
                down[fret].append(var)
        for (_, fret), literals in self.down_places(k, finger).items():
            down[fret] += literals
        if finger == 1:
            # Under a barre several sounds may be struck.
            struck = {fret: self.any_of(literals) for fret, literals in strikes.items()}
        else:
            struck = {fret: sum(literals) for fret, literals in strikes.items()}
        resting = {}
        for fret, literals in down.items():
            resting[fret] = sum(literals) - struck.get(fret, 0)
        return struck, resting

    def _idle(self, k: int) -> None:
        down = [self.down[k, finger] for finger in FINGERS]
        idle, unknown = self.idle[k], self.unknown[k]
        for one in down:
            self.m.add_implication(one, idle.negated())
        self.m.add_bool_or(idle, *down)
        # A finger that is down or stays gives the hand its place.
        self.m.add_implication(unknown, idle)

    def _away(self, k: int) -> None:
        """P10."""
        away = self.away[k]
        if self.q.begins_anew(k):
            self.m.add(away == 0)
        self.m.add_implication(away, self.idle[k].negated())
        for finger in FINGERS:
            # One place excludes another.
            others = list(self.rests_in[k, finger].values()) + every(self.stays[k, finger])
            others += every(self.bound[k, finger])
            if finger == 1:
                others += self.barres[k].values()
            for one in others:
                self.m.add_implication(one, away.negated())
        for q, hand in self.hand[k].items():
            far = [self.stands[k][q - d, d] for d in AWAY if d and (q - d, d) in self.stands[k]]
            if far:
                own = [
                    self.strikes_in[k, finger][q + finger - 1, q]
                    for finger in FINGERS
                    if (q + finger - 1, q) in self.strikes_in[k, finger]
                ]
                self.m.add(sum(far) <= sum(own))

"""The hand on its way, as constraints: `shift`, `travel`, `ease`, `hop`
and `hop_stay` of section 5 of docs/model.md, on moves and on seams.
"""

from collections import defaultdict
from itertools import product

from left_hand_house import HousedHand
from left_hand_order import hurry
from left_hand_physics import FINGERS, on
from left_hand_question import Question
from left_hand_standing import AWAY

EASE_MOST = 80


class ShiftingHand(HousedHand):
    """A hand with the price of its shifts."""

    def __init__(self, question: Question):
        super().__init__(question)
        # By two layers: whether the first is the last not idle at the second.
        self._last = {}
        # By layer: whether the position is that of the layer before, and
        # whether the place of the hand is too.
        self.stays_there, self.still = {}, {}
        for k in self.layers:
            if not question.begins_anew(k):
                self._shift(k)
                self._hop(k)
        for seam in question.seams:
            self._seam(seam)

    def _shift(self, k: int) -> None:
        """`shift`, `travel` and `ease` on the move to layer k: one way for each
        hurry and each ease there may be, of which the hand takes one."""
        moves, arrivals = defaultdict(list), defaultdict(list)
        shifts = []
        for pace, ease, conditions in self._ways(k):
            taken = self._paths(pace, ease)
            shifts += taken.values()
            for (p, r), var in taken.items():
                moves[p].append(var)
                arrivals[r].append(var)
            for condition in conditions:
                self.m.add(sum(taken.values()) <= condition)
        # From nowhere to the first position.
        firsts = {p: self.bool() for p in self.positions}
        nowhere = self.bool()
        self.m.add(self.unknown[k - 1] == nowhere + sum(firsts.values()))
        self.m.add(self.unknown[k] == nowhere)
        same = {p: self.bool() for p in self.positions}
        for p, var in same.items():
            self.m.add(self.position(k - 1, p) == var + sum(moves[p]))
            self.m.add(self.position(k, p) == var + sum(arrivals[p]) + firsts[p])
            for layer in (k - 1, k):
                # M4 again, which the solver sees through sooner so.
                far = [self.stands[layer][p, d] for d in AWAY if d]
                self.m.add(sum(far) <= var)
        # So is it that a hand in the air stands where it stood.
        self.m.add(sum(shifts) + sum(firsts.values()) + self.idle[k] <= 1)
        self.stays_there[k] = self.total([nowhere, *same.values()])

    def _paths(self, pace: int, ease: int) -> dict:
        """A variable for each way from one position to another, charged."""
        x, taken = self.q.instrument.x, {}
        for p, r in product(self.positions, self.positions):
            if p == r:
                continue
            taken[p, r] = self.bool()
            travel = self.value("travel") * abs(x(r) - x(p)) // 100
            whole = pace * (self.value("shift") + travel)
            self.charge(whole - whole * min(ease, EASE_MOST) // 100, taken[p, r])
        return taken

    def _ways(self, k: int):
        """Hurries and eases of the move to a layer, each with what must be so.
        A guide and a pivot are taken where they make it easier."""
        given, pace = self.q.given_ease(k), self.q.hurry(k - 1, k)
        guides, pivots = self._leaders(k)
        led = [(0, [])]
        for term, leaders in (("ease_guide", guides), ("ease_pivot", pivots)):
            assert self.value(term) >= 0
            if leaders and self.value(term):
                led.append((self.value(term), [self.at_most(sum(leaders))]))
        by_hurry = defaultdict(list)
        for j in range(k - 1):
            if all(not self.q.begins_anew(i) for i in range(j + 1, k)):
                by_hurry[self.q.hurry(j, k)].append(self._last_down(j, k - 1))
        for ease, leading in led:
            yield pace, given + ease, [self.idle[k - 1].negated(), *leading]
            for slower, last in by_hurry.items():
                yield slower, given + ease + self.value("ease_open"), [sum(last), *leading]

    def _last_down(self, j: int, k: int):
        """Whether j is the last layer not idle at layer k, which is idle."""
        if (j, k) not in self._last:
            air = [self.idle[i] for i in range(j + 1, k + 1)]
            self._last[j, k] = self.both(self.idle[j].negated(), *air)
        return self._last[j, k]

    def _leaders(self, k: int) -> tuple[list, list]:
        """Fingers that may guide to layer k, and such that may be its pivot."""
        guides, pivots = [], []
        for finger, string in product(FINGERS, self.q.instrument.open):
            left, right = (
                {at: one for at, one in places.items() if at[0] == string and one}
                for places in (self.rests[k - 1, finger], self.down_at[k, finger])
            )
            if any(a != b for a, b in product(left, right)):
                guide = self.at_most(sum(on(left, string)), sum(on(right, string)))
                for at in left.keys() & right.keys():
                    self.m.add(guide + sum(left[at]) + sum(right[at]) <= 2)
                guides.append(guide)
            for at in left.keys() & right.keys():
                pivots.append(self.at_most(sum(left[at]), sum(right[at])))
        return guides, pivots

    def _hop(self, k: int) -> None:
        """`hop`, `hop_stay`."""
        x, pace, goes_on = self.q.instrument.x, self.q.hurry(k - 1, k), []
        for p, d in product(self.positions, AWAY):
            if d == 0:
                continue
            before, after = self.stands[k - 1][p, d], self.stands[k][p, d]
            stay, hop = self.bool(), self.bool()
            self.m.add(after == stay + hop)
            self.m.add_implication(stay, before)
            self.m.add_at_most_one(hop, before)
            far = self.value("travel") * abs(x(p + d) - x(p)) // 100
            self.charge(pace * (self.value("hop") + far), hop)
            self.charge(self.value("hop_stay"), stay)
            goes_on.append(stay)
        near = self.stays_there[k] - self.away[k - 1] - self.away[k]
        self.still[k] = self.at_least(near, sum(goes_on))

    def _seam(self, seam) -> None:
        """The hand comes from the posture before the seam to the first one
        after it that is not idle, if there is one."""
        k, j = seam.before, seam.after
        arrives = {p: self.bool() for p in self.positions}
        firsts = []
        for n in self.layers[j:]:
            first = self.both(self.idle[n].negated(), *(self.idle[i] for i in range(j, n)))
            firsts.append(first)
            for p, var in arrives.items():
                self.m.add(var >= self.position(n, p) + first - 1)
        self.m.add(sum(arrives.values()) == sum(firsts))
        ease, easier = self.value("ease_phrase"), self.value("ease_open")
        assert easier >= 0
        moves, arrivals = defaultdict(list), defaultdict(list)
        for given, condition in ((ease, 1), (ease + easier, self.idle[k] + self.idle[j])):
            taken = self._paths(hurry(seam.time), given)
            self.m.add(sum(taken.values()) <= condition)
            for (p, r), var in taken.items():
                moves[p].append(var)
                arrivals[r].append(var)
        for p, var in arrives.items():
            same, begun, ended = self.bool(), self.bool(), self.bool()
            self.m.add(self.position(k, p) == same + ended + sum(moves[p]))
            self.m.add(var == same + begun + sum(arrivals[p]))
            self.m.add(begun <= self.unknown[k])
            self.m.add(ended <= 1 - sum(firsts))

"""What is charged on a move: the second table of section 5 of docs/model.md, but
for the terms of letting go.
"""

from collections import defaultdict
from itertools import product

from left_hand_physics import FINGERS, POSITIONS, UNKNOWN
from left_hand_question import Question
from left_hand_terms import PricedHand


class MovingHand(PricedHand):
    """A hand with the price of its postures and moves."""

    def __init__(self, question: Question):
        super().__init__(question)
        # By two layers: whether the first is the last stopped one at the
        # second; by layer: whether just one sound is placed, whether the hand
        # stays where it was.
        self.last_stopped, self.lone, self.stays = {}, {}, {}
        for k in self.layers[1:]:
            self._shift(k)
            self._finger_moves(k)
            self._other_moves(k)

    def _shift(self, k: int) -> None:
        """`shift`, `travel` and `ease` on the move to layer k: one way for each
        hurry and each discount there may be, of which the hand takes one."""
        before, after = self.position[k - 1], self.position[k]
        rest = self.value("ease_rest") if self.q.rests_before(k) else 0
        hurry = self.q.hurry(k - 1, k)
        ways = [(hurry, rest, [self.stopped[k - 1]])]
        guide, pivot = self._leaders(k)
        for name, leaders in (("ease_guide", guide), ("ease_pivot", pivot)):
            if self.value(name) > rest and leaders:
                led = self.bool()
                self.m.add(led <= sum(leaders))
                ways.append((hurry, self.value(name), [self.stopped[k - 1], led]))
        by_hurry = defaultdict(list)
        for j in range(k - 1):
            by_hurry[self.q.hurry(j, k)].append(j)
        for slower, last_stopped in by_hurry.items():
            was = self.any_of([self._last_stopped(j, k - 1) for j in last_stopped])
            ways.append((slower, max(rest, self.value("ease_open")), [was]))
        moves = defaultdict(list)
        arrivals = defaultdict(list)
        for hurry, discount, conditions in ways:
            taken = []
            for p, r in product(POSITIONS, POSITIONS):
                if p == r:
                    continue
                var = self.bool()
                taken.append(var)
                moves[p].append(var)
                arrivals[r].append(var)
                far = abs(self.q.x(r) - self.q.x(p))
                whole = hurry * (self.value("shift") + self.value("travel") * far // 100)
                self.charge(whole - whole * discount // 100, var)
            for condition in conditions:
                self.m.add(sum(taken) <= condition)
        self.stays[k] = self.bool()
        stay = []
        for p in (UNKNOWN, *POSITIONS):
            same = self.bool()
            stay.append(same)
            if p == UNKNOWN:
                # From nowhere to the first position.
                firsts = {r: self.bool() for r in POSITIONS}
                self.m.add(before[UNKNOWN] == same + sum(firsts.values()))
                self.m.add(after[UNKNOWN] == same)
                continue
            self.m.add(before[p] == same + sum(moves[p]))
            self.m.add(after[p] == same + sum(arrivals[p]) + firsts[p])
        self.m.add(self.stays[k] == sum(stay))

    def _last_stopped(self, j: int, k: int):
        """Whether j is the last stopped layer at layer k, the hand being in the
        air since."""
        known = self.last_stopped
        if (j, k) not in known:
            air = [self.stopped[i].negated() for i in range(j + 1, k + 1)]
            known[j, k] = self.both(self.stopped[j], *air)
        return known[j, k]

    def _leaders(self, k: int) -> tuple[list, list]:
        """Fingers that may guide to layer k, and such that may be its pivot."""
        guide, pivot = [], []
        for finger in FINGERS:
            before, after = self.stops[k - 1, finger], self.stops[k, finger]
            for string in self.q.open:
                left = {fret: var for (s, fret), var in before.items() if s == string}
                right = {fret: var for (s, fret), var in after.items() if s == string}
                if any(a != b for a, b in product(left, right)):
                    leads = self.bool()
                    self.m.add(leads <= sum(left.values()))
                    self.m.add(leads <= sum(right.values()))
                    for fret in left.keys() & right.keys():
                        self.m.add_bool_or(
                            leads.negated(), left[fret].negated(), right[fret].negated()
                        )
                    guide.append(leads)
                for fret in left.keys() & right.keys():
                    pivot.append(self.both(left[fret], right[fret]))
        return guide, pivot

    def _finger_moves(self, k: int) -> None:
        """`jump` and `slide`. A finger at one and the same place in both
        postures shares a string or lies in a barre that spans both, so it pays
        neither."""
        hurry = self.q.hurry(k - 1, k)
        for finger in FINGERS:
            before, after = self.stops[k - 1, finger], self.strikes[k, finger]
            if not before or not after:
                continue
            shared, slides = [], []
            for string in self.q.open:
                left = {fret: var for (s, fret), var in before.items() if s == string}
                right = {fret: var for (s, fret), var in after.items() if s == string}
                if not left or not right:
                    continue
                common = self.bool()
                self.m.add(common <= sum(left.values()))
                self.m.add(common <= sum(right.values()))
                shared.append(common)
                for fret, var in left.items():
                    other = [to for at, to in right.items() if at != fret]
                    slides.append(var + sum(other) + self.stays[k] - 2)
            covered = self._spanned(k) if finger == 1 else []
            jump = self.at_least(
                self.down[k - 1, finger] + self.struck[k, finger] - 1 - sum(shared) - sum(covered)
            )
            self.charge(self.value("jump") * hurry, jump)
            slide = self.bool()
            for lower in slides:
                self.m.add(slide >= lower)
            self.charge(self.value("slide") * hurry, slide)

    def _spanned(self, k: int) -> list:
        """Whether finger 1 is at one fret in both postures, and a barre of one
        of them spans a string it is on and one it strikes."""
        found = []
        for at, covers in self.covers[k - 1].items():
            struck = self.strikes[k, 1].get(at[::-1])
            if struck is not None:
                found.append(self.both(covers, struck))
        for at, covers in self.covers[k].items():
            held = self.stops[k - 1, 1].get(at[::-1])
            if held is not None:
                found.append(self.both(covers, held))
        return found

    def _other_moves(self, k: int) -> None:
        """`barre_lay`, `replace`, `weak_pair`."""
        hurry = self.q.hurry(k - 1, k)
        for at, covers in self.covers[k].items():
            laid = covers
            if at in self.covers[k - 1]:
                laid = self.at_least(covers - self.covers[k - 1][at])
            self.charge(self.value("barre_lay"), laid)
        places = {at for finger in FINGERS for at in self.strikes[k, finger]}
        for at in places:
            replaced = []
            for finger in FINGERS:
                if at not in self.stops[k - 1, finger]:
                    continue
                others = [
                    self.strikes[k, other][at]
                    for other in FINGERS
                    if other != finger and at in self.strikes[k, other]
                ]
                replaced.append(self.stops[k - 1, finger][at] + sum(others) - 1)
            if replaced:
                var = self.bool()
                for lower in replaced:
                    self.m.add(var >= lower)
                self.charge(self.value("replace") * hurry, var)
        lone = [self._lone(k - 1), self._lone(k)]
        for first, second in ((3, 4), (4, 3)):
            weak = self.at_least(self.struck[k - 1, first] + self.struck[k, second] + sum(lone) - 3)
            self.charge(self.value("weak_pair") * hurry, weak)

    def _lone(self, k: int):
        """Whether just one of the sounds struck at a layer is placed."""
        placed = sum(self.out[n].negated() for n in self.q.struck[k])
        if len(self.q.struck[k]) == 1:
            return placed
        if k not in self.lone:
            lone, none, more = self.bool(), self.bool(), self.bool()
            self.m.add_exactly_one(lone, none, more)
            self.m.add(placed == 1).only_enforce_if(lone)
            self.m.add(placed == 0).only_enforce_if(none)
            self.m.add(placed >= 2).only_enforce_if(more)
            self.lone[k] = lone
        return self.lone[k]

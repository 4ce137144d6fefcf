"""What is charged on a posture, and the author's rules: P7, A1 to A6 and the
first table of section 5 of docs/model.md, with the terms of letting go.

Costs are bounded from below by constraints that the solver, minimising, makes
tight; so a term is exact wherever the effort is at its least.
"""

from collections import defaultdict
from itertools import product

from left_hand_physics import FINGERS, POSITIONS, Hand
from left_hand_question import BARRE_WIDTHS, Question


class PricedHand(Hand):
    """A hand with the price of its postures."""

    def __init__(self, question: Question):
        super().__init__(question)
        self.effort = []
        self.broken = []
        for n, sound in enumerate(question.sounds):
            for k in question.life(n):
                if k > sound.layer:
                    self._let_go(n, k)
        for k in self.layers:
            self._offsets(k)
            self._posture_terms(k)
            self._authors_rules(k)

    def value(self, term: str) -> int:
        return self.q.effort[term]

    def charge(self, amount: int, literal) -> None:
        if amount:
            self.effort.append(amount * literal)

    def _let_go(self, n: int, k: int) -> None:
        """`cut_…` and `ring`."""
        sound, at = self.q.sounds[n], self.q.layers[k]
        gone = self.on[n, k - 1] - self.on[n, k]
        if at < sound.written:
            self.charge(self.q.cut(n, at), gone)
        if sound.wanted > sound.written:
            self.charge(self.value("ring"), gone)

    def _offsets(self, k: int) -> None:
        """P7, with all that is charged on a finger or a sound in a position:
        `stop`, `finger_…`, `height`, `extension`, `contraction`, `lead`; A5."""
        position = self.position[k]
        for finger in FINGERS:
            # Finger at a fret in a position.
            joint = self._in_position(self.at_fret[k, finger], finger, position)
            by_position = defaultdict(list)
            charged = {}
            for (fret, p), var in joint.items():
                by_position[p].append(var)
                offset = fret - (p + finger - 1)
                extension = max(0, -offset if finger == 1 else offset)
                contraction = abs(offset) - extension
                self.charge(self.value("extension") * extension, var)
                if extension > self.q.level["extension"]:
                    self.broken.append(var)
                amount = self.value("contraction") * contraction
                if finger == 1 and offset == 1:
                    amount += self.value("lead")
                if amount:
                    charged[fret, p] = amount
            for p, var in position.items():
                if p in by_position:
                    self.m.add(sum(by_position[p]) <= var)
            striking = joint
            if any(self.q.sounds[n].layer < k for n in self.q.alive(k)):
                frets = defaultdict(list)
                for (_, fret), var in self.strikes[k, finger].items():
                    frets[fret].append(var)
                frets = {fret: self.any_of(literals) for fret, literals in frets.items()}
                striking = self._in_position(frets, finger, position)
            for at, amount in charged.items():
                if at in striking:
                    self.charge(amount, striking[at])
        for n in self.q.struck[k]:
            for (_, _, finger), var in self.place[n].items():
                if finger:
                    self.charge(self.value("stop"), var)
                if finger > 2:
                    self.charge(self.value(f"finger_{finger}"), var)
            # Height of the position of each stopped sound.
            stopped = [var for (_, fret, _), var in self.place[n].items() if fret]
            if not stopped:
                continue
            height = {p: self.bool() for p in POSITIONS}
            self.m.add(sum(height.values()) == sum(stopped))
            for p, var in height.items():
                self.m.add_implication(var, position[p])
                self.charge(self.value("height") * (2 * p - 3) if p > 1 else 0, var)

    def _posture_terms(self, k: int) -> None:
        """`stretch`, `crossed`, `barre_hold`."""
        for (_, thin, thick), var in self.barres[k].items():
            self.charge(self.value("barre_hold") * (thick - thin + 1), var)
        for a, b in product(FINGERS, FINGERS):
            if a < b and self.stops[k, a] and self.stops[k, b]:
                self._stretch(k, a, b)
                self._crossed(k, a, b)

    def _stretch(self, k: int, a: int, b: int) -> None:
        value = self.value("stretch")
        most = 40
        amount = self.m.new_int_var(0, most * value, "")
        self.effort.append(amount)
        down = [self.down[k, a], self.down[k, b]]
        dx = sum(self.q.x(fret) * var for fret, var in self.at_fret[k, b].items()) - sum(
            self.q.x(fret) * var for fret, var in self.at_fret[k, a].items()
        )
        slant = sum(20 * s * var for (s, _), var in self.stops[k, b].items()) - sum(
            20 * s * var for (s, _), var in self.stops[k, a].items()
        )
        rest = sum(
            (self.q.x(p + b - 1) - self.q.x(p + a - 1)) * self.position[k][p] for p in POSITIONS
        )
        # value · ex / 100, rounded down, is the least number not below this.
        if a > 1:
            self.m.add(100 * amount >= value * (dx + slant - rest) - 99).only_enforce_if(down)
            return
        free, under = self.barre[k].negated(), self.barre[k]
        self.m.add(100 * amount >= value * (dx + slant - rest) - 99).only_enforce_if(*down, free)
        self.m.add(100 * amount >= value * (dx - rest) - 99).only_enforce_if(*down, under)

    def _crossed(self, k: int, a: int, b: int) -> None:
        pairs = []
        for (string, fret), held in self.stops[k, a].items():
            thicker = {
                at: var for at, var in self.stops[k, b].items() if at[1] == fret and at[0] > string
            }
            if not thicker:
                continue
            striking = [self.strikes[k, b][at] for at in thicker if at in self.strikes[k, b]]
            if striking:
                pairs.append(held + sum(striking) - 1)
            if (string, fret) in self.strikes[k, a]:
                pairs.append(self.strikes[k, a][string, fret] + sum(thicker.values()) - 1)
        if pairs:
            crossed = self.bool()
            for lower in pairs:
                self.m.add(crossed >= lower)
            self.charge(self.value("crossed"), crossed)

    def _authors_rules(self, k: int) -> None:
        """A1 to A4 and A6; A5 stands with the offsets."""
        for n in self.q.struck[k]:
            for option, var in self.place[n].items():
                breaches = self.q.breaches_of_placement(n, *option)
                if breaches:
                    self.broken.append(breaches * var)
        widths = [self.q.level_width]
        allowed = [set(self.q.level["positions"])]
        for pin in self.q.pins_at(k):
            if pin.rule == "barre":
                widths.append(BARRE_WIDTHS[pin.allowed])
            else:
                allowed.append(set(pin.allowed))
        for (_, thin, thick), var in self.barres[k].items():
            breaches = sum(thick - thin + 1 > width for width in widths)
            if breaches:
                self.broken.append(breaches * var)
        for good in allowed:
            bad = [self.position[k][p] for p in POSITIONS if p not in good]
            if bad:
                self.broken.append(self.at_least(sum(bad) + self.stopped[k] - 1))

"""What is charged on a posture, as constraints: the first table of section 5 of
docs/model.md, with the terms of letting go. The house style stands in
`left_hand_house.py`.

Costs are bounded from below by constraints that the solver, minimising, makes
tight; so a term is exact wherever the effort is at its least.
"""

from itertools import combinations, product

import left_hand_taking_over
from left_hand_lawful import LawfulHand
from left_hand_physics import FINGERS
from left_hand_question import Question
from left_hand_standing import extended


class PricedHand(LawfulHand):
    """A hand with the price of its postures."""

    def __init__(self, question: Question):
        super().__init__(question)
        self.effort = []
        for n, sound in enumerate(question.sounds):
            for k in question.life(n):
                if k > sound.layer:
                    self._let_go(n, k)
            left_hand_taking_over.charge(self, n)
        for k in self.layers:
            self._sound_terms(k)
            self._finger_terms(k)
            self._pair_terms(k)
            self._barre_idle(k)

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

    def _sound_terms(self, k: int) -> None:
        """`stop`, `finger_…`, `height`, `tone_…`, `ornament`."""
        fingers = []
        for n in self.q.struck[k]:
            for (_, _, finger), var in self.place[n].items():
                if finger:
                    fingers.append(var)
                    self.charge(self.value("stop"), var)
                if finger > 2:
                    self.charge(self.value(f"finger_{finger}"), var)
            if self.q.sounds[n].auxiliaries:
                played = self.out[n].negated()
                self.charge(self.value("ornament"), played - self.ornamented.get(n, 0))
            self._open_tone(k, n)
        if fingers:
            stopped = self.any_of(fingers)
            height = {q: self.bool() for q in self.hand[k]}
            self.m.add(sum(height.values()) == stopped)
            for q, var in height.items():
                self.m.add(var <= self.hand[k][q])
                self.charge(self.value("height") * (2 * q - 3) if q > 1 else 0, var)

    def _open_tone(self, k: int, n: int) -> None:
        """`tone_high`, `tone_long`."""
        sound = self.q.sounds[n]
        opened = [var for (_, fret, _), var in self.place[n].items() if fret == 0]
        if sound.role != "melody" or sound.kind != "plain" or not opened:
            return
        if self.q.sung_long(n):
            self.charge(self.value("tone_long"), sum(opened))
        high = sum(hand for q, hand in self.hand[k].items() if q > 3)
        self.charge(self.value("tone_high"), self.at_least(sum(opened) + high - 1))

    def _finger_terms(self, k: int) -> None:
        """`extension`, `lean`, `contraction`, `lead`."""
        for finger in FINGERS:
            for joint in (self.strikes_in[k, finger], self.rests_in[k, finger]):
                for (fret, q), var in joint.items():
                    self._outwards(k, finger, (fret, q), var)
            for (fret, q), var in self.strikes_in[k, finger].items():
                offset = fret - (q + finger - 1)
                contraction = abs(offset) - extended(finger, offset)
                self.charge(self.value("contraction") * contraction, var)
                if finger == 1 and offset == 1:
                    self.charge(self.value("lead"), var)

    def _outwards(self, k: int, finger: int, at: tuple[int, int], var) -> None:
        """`extension`, or `lean` over a fret of the hand with no lower finger down and
        another sound."""
        fret, q = at
        out = extended(finger, fret - (q + finger - 1))
        opened = out * self.value("extension")
        if finger == 1 or fret > q + 3 or not opened:
            self.charge(opened, var)
            return
        struck = var is self.strikes_in[k, finger].get(at)
        leaning = min(out * self.value("lean"), opened) if struck else 0
        lower = [self.down[k, low] for low in range(1, finger)]
        sounds = [one for n in self.q.alive(k) for one in self.act[n, k].values()]
        self.charge(leaning, var)
        more = self.at_least(*(var + low - 1 for low in lower), 2 * var - sum(sounds))
        self.charge(opened - leaning, more)

    def _barre_idle(self, k: int) -> None:
        """A barre of which a chord needs one string, and the bar no other. One string
        that is wanted later in the bar is no other if it is the one that is stopped."""
        if len(self.q.struck[k]) < 3 or not self.barres[k]:
            return
        later, guitar = self.q.later_in_bar(k), self.q.instrument
        stopped = {}
        for n in self.q.alive(k):
            for (string, _, finger), var in self.act[n, k].items():
                if finger == 1:
                    stopped.setdefault(string, []).append(var)
        count = sum(var for literals in stopped.values() for var in literals)
        serving = {}
        for (fret, thin, thick, *_), var in self.barres[k].items():
            strings = range(thin, thick + 1)
            wanted = [s for s in strings if guitar.open[s] + fret in later]
            if len(wanted) < 2:
                serving.setdefault(wanted[0] if wanted else None, []).append(var)
        bounds = [2 * sum(serving.pop(None)) - count] if None in serving else []
        for string, barres in serving.items():
            bounds.append(sum(barres) + sum(stopped.get(string, [])) - count)
        if bounds:
            self.charge(self.value("barre_idle"), self.at_least(*bounds))

    def _pair_terms(self, k: int) -> None:
        for a, b in combinations(FINGERS, 2):
            if self.down_at[k, a] and self.down_at[k, b]:
                self._stretch(k, a, b)
                self._crossed(k, a, b)

    def _stretch(self, k: int, a: int, b: int) -> None:
        """Each finger's distance from where it falls at rest, and the slant."""
        value, x = self.value("stretch"), self.q.instrument.x
        if not value:
            return
        out = {}
        for finger in (a, b):
            out[finger] = sum(
                (x(fret) - x(q + finger - 1)) * var
                for joint in (self.strikes_in[k, finger], self.rests_in[k, finger])
                for (fret, q), var in joint.items()
            )
        slant = {
            finger: sum(
                20 * string * one
                for (string, _), literals in self.down_at[k, finger].items()
                for one in literals
            )
            for finger in (a, b)
        }
        amount = self.m.new_int_var(0, 100 * value, "")
        self.effort.append(amount)
        down = [self.down[k, a], self.down[k, b]]
        # value · ex / 100, rounded down, is the least number not below this.
        ex = out[b] - out[a]
        free = value * (ex + slant[b] - slant[a]) - 99
        barres = list(self.barres[k].values()) if a == 1 else []
        if barres:
            barre = self.total(barres)
            self.m.add(100 * amount >= free).only_enforce_if(*down, barre.negated())
            self.m.add(100 * amount >= value * ex - 99).only_enforce_if(*down, barre)
        else:
            self.m.add(100 * amount >= free).only_enforce_if(*down)

    def _crossed(self, k: int, a: int, b: int) -> None:
        """`crossed`, `crowd`. Under a barre no finger is on the fret of 1."""
        crossed, crowd = {}, []
        for place, (low, finger) in product(self.down_at[k, a], ((a, b), (b, a))):
            # The one that comes, and the other, which is down.
            for at in self.down_at[k, b]:
                if at[1] != place[1] or at[0] == place[0]:
                    continue
                own, other = (place, at) if low == a else (at, place)
                one = self.strikes[k, low].get(own, [])
                two = self.down_at[k, finger].get(other, [])
                if not one or not two:
                    continue
                pair = sum(one) + sum(two) - 1
                if at[0] > place[0]:
                    # Where it only stayed it was silent, and crossed by none.
                    was_down = self._was_there(k, low, own, [self.down_at])
                    crossed.setdefault(at[0] - place[0], []).append(pair - was_down)
                if abs(at[0] - place[0]) == 1:
                    was_there = self._was_there(k, low, own, [self.down_at, self.stays])
                    crowd.append(pair - was_there)
        for strings, pairs in crossed.items():
            self.charge(self.value("crossed") * strings, self.at_least(*pairs))
        if crowd:
            self.charge(self.value("crowd"), self.at_least(*crowd))

    def _was_there(self, k: int, finger: int, at: tuple[int, int], kinds: list[dict]):
        """Whether a finger was at a place at the layer before, in one of the ways given."""
        if self.q.begins_anew(k):
            return 0
        return sum(one for kind in kinds for one in kind[k - 1, finger].get(at, []))

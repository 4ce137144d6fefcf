"""Slurs and glissandi, as constraints: `join` and `join_weak` of section 5 of
docs/model.md.
"""

from left_hand_moves import MovingHand
from left_hand_question import Question


class JoiningHand(MovingHand):
    """A hand that plays what is joined."""

    def __init__(self, question: Question):
        super().__init__(question)
        for n, sound in enumerate(question.sounds):
            if sound.joined and not question.begins_anew(sound.layer):
                self._join(n)

    def _join(self, n: int) -> None:
        q, sound, k = self.q, self.q.sounds[n], self.q.sounds[n].layer
        first, by = sound.joined
        ways = self._ways_to_join(n) if by == "glissando" else self._slurs(n)
        joined = []
        for before, after, conditions in ways:
            both = self.both(
                self.act[first, k - 1][before], self.place[n][after], *conditions
            )
            joined.append(both)
            if by == "slur" and (before[2], after[2]) in ((3, 4), (4, 3)):
                self.charge(self.value("join_weak"), both)
        if q.sounds[first].written == q.layers[k]:
            self.charge(self.value("join"), self.out[n].negated() - sum(joined))

    def _on_one_string(self, n: int):
        """Placements of the sound that it is joined from and of its own."""
        first, k = self.q.sounds[n].joined[0], self.q.sounds[n].layer
        if (first, k - 1) not in self.act:
            return
        if self.q.sounds[first].kind != "plain" or self.q.sounds[n].kind != "plain":
            return
        for before in self.act[first, k - 1]:
            for after in self.place[n]:
                if before[0] == after[0]:
                    yield before, after

    def _ways_to_join(self, n: int):
        """Glissando: one finger."""
        for before, after in self._on_one_string(n):
            if after[2] and after[2] == before[2]:
                yield before, after, []

    def _slurs(self, n: int):
        first, k = self.q.sounds[n].joined[0], self.q.sounds[n].layer
        upwards = self.q.sounds[n].key > self.q.sounds[first].key
        # The position stays, or there was none.
        there = self.any_of([self.stays_there[k], self.unknown[k - 1]])
        near = [there, self.away[k - 1].negated(), self.away[k].negated()]
        for before, after in self._on_one_string(n):
            finger, at = after[2], after[:2]
            if upwards:
                if finger and finger != before[2]:
                    yield before, after, near
            elif not finger:
                yield before, after, near
            elif finger != before[2]:
                # What the string sounds is stopped elsewhere.
                waiting = [
                    *self.bound[k - 1, finger].get(at, []),
                    *self.stays[k - 1, finger].get(at, []),
                    *(self.laid[k - 1].get(at, []) if finger == 1 else []),
                ]
                if waiting:
                    yield before, after, [*near, self.total(waiting)]

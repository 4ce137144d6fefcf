"""What the author's rules and the moves ask of a hand, as constraints: A1 to A6,
M4, M5, and the hand in the air of docs/model.md; without any effort.
"""

import left_hand_taking_over
from left_hand_physics import FINGERS, every
from left_hand_question import BARRE_WIDTHS, Question
from left_hand_standing import AWAY, StandingHand, extended


class LawfulHand(StandingHand):
    """A hand of which it is known what it leaves out and what it breaks."""

    def __init__(self, question: Question):
        super().__init__(question)
        self.broken = []
        for k in self.layers:
            if question.begins_anew(k):
                self.m.add(self.unknown[k] == self.idle[k])
            else:
                self._move(k)
            self._authors_rules(k)

    def _move(self, k: int) -> None:
        """M4 and M5; and an idle hand stands where it stood."""
        left_hand_taking_over.forbid(self, k)
        here, before = self.idle[k], k - 1
        self.m.add(self.unknown[k] <= self.unknown[before])
        self.m.add(self.unknown[k] >= self.unknown[before] + here - 1)
        for p in self.positions:
            self.m.add(self.position(k, p) >= self.position(before, p) + here - 1)
            for one, other in ((k, before), (before, k)):
                far = [self.stands[one][p, d] for d in AWAY if d]
                self.m.add(sum(far) <= self.position(other, p))

    def _authors_rules(self, k: int) -> None:
        for n in self.q.struck[k]:
            for option, var in self.place[n].items():
                breaches = self.q.breaches_of_placement(n, *option)
                if breaches:
                    self.broken.append(breaches * var)
        for finger in FINGERS:
            if finger not in self.q.level["fingers"]:
                self.broken += every(self.bound[k, finger])
            for joint in (self.strikes_in[k, finger], self.rests_in[k, finger]):
                for (fret, q), var in joint.items():
                    if extended(finger, fret - (q + finger - 1)) > self.q.level["extension"]:
                        self.broken.append(var)
        widths = [self.q.level_width]
        allowed = [set(self.q.level["positions"])]
        for pin in self.q.pins_at(k):
            if pin.rule == "barre":
                widths.append(BARRE_WIDTHS[pin.allowed])
            else:
                allowed.append(set(pin.allowed))
        for (_, thin, thick, _, _), var in self.barres[k].items():
            breaches = sum(thick - thin + 1 > width for width in widths)
            if breaches:
                self.broken.append(breaches * var)
        for good in allowed:
            bad = [hand for q, hand in self.hand[k].items() if q not in good]
            if bad:
                self.broken.append(self.at_least(sum(bad) - self.idle[k]))

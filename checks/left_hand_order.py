"""The order in which layers are played: cuts and seams, section 2 of
docs/model.md, with bars, tempi and what stands at them (sections 1 and 5).
"""

import math
from dataclasses import dataclass
from fractions import Fraction

# A mark of nothing a minute counts as none (section 1).
WITHOUT_MARK = Fraction(72)


@dataclass(frozen=True)
class Seam:
    """Two layers of which the second is played after the first without being
    written after it, and the milliseconds that pass."""

    before: int
    after: int
    time: int


class Bars:
    """The bars that all parts share."""

    def __init__(self, piece: dict):
        bars = piece["bars"]
        self.starts = [Fraction(bar["start"]) for bar in bars]
        self.lengths = [Fraction(bar["length"]) for bar in bars]
        self.order = piece["playing_order"]
        self._fifths = [bar["fifths"] for bar in bars]
        self._tempos = [
            (Fraction(bar["start"]), Fraction(bar["quarters_a_minute"]))
            for bar in bars
            if bar["quarters_a_minute"] is not None
        ]
        # Moments at which a repeat begins or ends, or a section is over.
        self._signs = set()
        for bar, start, length in zip(bars, self.starts, self.lengths, strict=True):
            if bar["repeat_start"]:
                self._signs.add(start)
            if bar["repeat_end"] is not None or bar["end"] in ("double", "final"):
                self._signs.add(start + length)

    def index(self, moment: Fraction) -> int:
        """The bar of a moment, by its place among the bars."""
        return max(n for n, start in enumerate(self.starts) if start <= moment)

    def sign_between(self, earlier: Fraction, later: Fraction) -> bool:
        return any(earlier < sign <= later for sign in self._signs)

    def begins_at(self, moment: Fraction) -> bool:
        return moment in self.starts

    def tonics(self, moment: Fraction) -> set[int]:
        """Pitch classes of the major and the minor tonic in force."""
        major = 7 * self._fifths[self.index(moment)] % 12
        return {major, (major + 9) % 12}

    def milliseconds(self, length: Fraction, at: Fraction) -> int:
        """How long a length lasts at the tempo in force at a moment."""
        marks = [quarters for start, quarters in self._tempos if start <= at]
        quarters = (marks[-1] if marks else 0) or WITHOUT_MARK
        return math.floor(length * 240_000 / quarters)

    def played(self, layers: list[Fraction]) -> list[tuple[int, int]]:
        """Layers in playing order, each with the place of its bar in it."""
        inside = [[] for _ in self.starts]
        for k, at in enumerate(layers):
            inside[self.index(at)].append(k)
        return [(k, place) for place, bar in enumerate(self.order) for k in inside[bar]]

    def seams(self, layers: list[Fraction]) -> list[Seam]:
        """Each once; of several times that may pass the first is taken."""
        found, played = {}, self.played(layers)
        for (k, place), (j, following) in zip(played, played[1:], strict=False):
            if j == k + 1 or (k, j) in found:
                continue
            here, there = self.order[place], self.order[following]
            length = self.starts[here] + self.lengths[here] - layers[k]
            length += sum(self.lengths[bar] for bar in self.order[place + 1 : following])
            length += layers[j] - self.starts[there]
            found[k, j] = Seam(k, j, self.milliseconds(length, layers[k]))
        return list(found.values())

    def reached(self, layers: list[Fraction]) -> set[int]:
        """Layers to which the hand comes from the one written before."""
        played = [k for k, _ in self.played(layers)]
        return {j for k, j in zip(played, played[1:], strict=False) if j == k + 1}


def hurry(time: int) -> int:
    """Hurry of so many milliseconds."""
    return 4 if time < 150 else 3 if time < 300 else 2 if time < 600 else 1

"""What the left hand plays on: lengths and places, sections 1 and 3 (P1) of
docs/model.md.
"""

import math

# Semitones of a natural harmonic above its open string, and the frets where
# the string is touched for it.
HARMONICS = {12: (12,), 19: (7, 19), 24: (5, 24), 28: (4, 9, 16)}


class Instrument:
    """A guitar; its frets are counted from the capo."""

    def __init__(self, lengths: dict):
        self._capo = lengths["capo"]
        strings = sorted(lengths["open_strings"], key=lambda string: string["string"])
        self.open = {string["string"]: string["key"] + self._capo for string in strings}
        self.frets = lengths["frets"] - self._capo
        self._length = lengths["scale_length"]
        self._spreads = lengths["nut_spread"], lengths["bridge_spread"]

    def _share(self, fret: int) -> float:
        """Part of the string between the nut and a fret: the rule of twelfth
        roots."""
        return 1 - 2 ** (-(fret + self._capo) / 12)

    def x(self, fret: int) -> int:
        return _tenths(self._length * self._share(fret))

    def y(self, string: int, fret: int) -> int:
        nut, bridge = self._spreads
        spread = nut + (bridge - nut) * self._share(fret)
        gaps = len(self.open) - 1
        return _tenths(spread * ((string - 1) / gaps - 0.5))

    def key(self, string: int, fret: int) -> int:
        return self.open[string] + fret

    def places(self, key: int, kind: str = "plain") -> list[tuple[int, int]]:
        """P1: strings and frets that give a sound of a kind its key."""
        if kind == "natural":
            found = [
                (string, fret)
                for string, open_key in self.open.items()
                for fret in HARMONICS.get(key - open_key, ())
            ]
            return [(string, fret) for string, fret in found if fret <= self.frets]
        least = 0
        if kind == "artificial":
            least, key = 1, key - 12
        frets = [(string, key - open_key) for string, open_key in self.open.items()]
        return [(string, fret) for string, fret in frets if least <= fret <= self.frets]


def _tenths(millimetres: float) -> int:
    size = math.floor(abs(millimetres) * 10 + 0.5)
    return -size if millimetres < 0 else size

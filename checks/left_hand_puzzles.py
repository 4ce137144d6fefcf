"""Tiny questions to the left hand, drawn with a seed: a few notes on a small
guitar, with whatever else the model knows of.
"""

import random
from fractions import Fraction

from left_hand_by_hand import TABLE, Note, bar, note, pin, written
from left_hand_question import Question

# Keys of open strings.
TUNINGS = ((64, 59, 55), (55, 50, 45), (64, 60, 55), (59, 50), (64, 59, 55, 50))
LENGTHS = ("1/4", "1/2", 1, 2)


class Puzzle:
    """One question that is being drawn."""

    def __init__(self, seed: int):
        self.draw = random.Random(seed)
        self.tuning = self.draw.choice(TUNINGS)
        self.frets = self.draw.choice((5, 7, 12))
        self.keys = range(self.tuning[-1], self.tuning[0] + 6)

    def chance(self, percent: int) -> bool:
        return self.draw.randrange(100) < percent

    def question(self) -> Question:
        if self.chance(20):
            notes = self._under_a_barre()
        else:
            notes = self._melody()
            if self.chance(50):
                notes += self._bass(notes)
        bars, order = self._bars(notes)
        tones = sum(len(one.keys) for one in notes)
        asked = {
            "joins": self._joins(notes),
            "pins": self._pins(tones),
            "guitar": self._guitar(),
            "level": self._level(),
            "house": self._house(),
            "effort": self._effort(),
        }
        if self.chance(40):
            asked["level"] = asked["level"] | {"substitution": True}
            if self.chance(40):
                allowed = self.draw.sample((1, 2, 3, 4), 2)
                asked["pins"].append(
                    pin("second_fingers", allowed, tone=self.draw.randrange(tones))
                )
        return Question(*written(notes, bars=bars, order=order, **asked))

    def _melody(self) -> list[Note]:
        notes, at = [], Fraction(0)
        key = self.draw.choice(self.keys)
        while len(notes) < self.draw.choice((3, 3, 4)):
            length = Fraction(self.draw.choice(LENGTHS))
            keys = [key]
            if self.chance(20):
                keys.append(key + self.draw.choice((0, 3, 4, 5, 9)))
            notes.append(self._note(keys, at, length))
            at += length + (Fraction(1, 2) if self.chance(15) else 0)
            key += self.draw.choice((-5, -3, -2, -1, -1, 0, 1, 1, 2, 3, 5))
            key = min(max(key, self.keys.start), self.keys.stop - 1)
        return notes

    def _under_a_barre(self) -> list[Note]:
        """Chords of what one fret gives, now and then with an open string, or a
        note above the barre that comes back to it."""
        if len(self.tuning) > 2 and self.chance(50):
            return self._on_a_hinge()
        fret, notes = self.draw.choice((1, 2)), []
        for at in range(3):
            keys = {key + (0 if self.chance(30) else fret) for key in self.tuning}
            keys = sorted(self.draw.sample(sorted(keys), min(len(keys), self.draw.choice((2, 3)))))
            auxiliaries, harmonic = (), None
            if self.chance(30):
                auxiliaries = (keys[-1],)
                keys[-1] += self.draw.choice((1, 2))
            if self.chance(30):
                # In a voice of its own, so that it may be slurred.
                melody = [keys.pop()]
                if self.chance(10):
                    melody, harmonic = [self.draw.choice(self.tuning) + 28], "natural"
                notes.append(
                    Note(
                        tuple(melody),
                        Fraction(at),
                        Fraction(1),
                        harmonic=harmonic,
                        auxiliaries=auxiliaries,
                    )
                )
                auxiliaries = ()
            length = Fraction(self.draw.choice((1, 2)))
            notes.append(Note(tuple(keys), Fraction(at), length, voice=2, auxiliaries=auxiliaries))
        return notes

    def _on_a_hinge(self) -> list[Note]:
        """Two strings at a fret, and one beside them that is open by turns."""
        fret = self.draw.choice((1, 2))
        beside, turning = self.tuning[1:3], self.tuning[0]
        if self.chance(50):
            beside, turning = self.tuning[-3:-1], self.tuning[-1]
        notes = []
        for at in range(3):
            stopped = at % 2 if self.chance(80) else (at + 1) % 2
            notes.append(note(turning + fret * stopped, at, 1))
            if at == 0 or self.chance(50):
                length = self.draw.choice((1, 2))
                notes.append(note(sorted(key + fret for key in beside), at, length, voice=2))
        return notes

    def _note(self, keys: list[int], at: Fraction, length: Fraction, voice: int = 1) -> Note:
        harmonic, auxiliaries = None, ()
        if self.chance(12):
            harmonic = self.draw.choice(("natural", "artificial"))
            keys = [self.draw.choice(self.tuning) + self.draw.choice((12, 12, 19, 13, 14))]
        elif self.chance(20):
            steps = self.draw.choice(((1,), (2,), (-1,), (-2,), (-1, 2), (-2, 1)))
            auxiliaries = tuple(sorted(keys[-1] + step for step in steps))
        return Note(
            tuple(keys),
            at,
            length,
            voice=voice,
            fermata=self.chance(10),
            harmonic=harmonic,
            auxiliaries=auxiliaries,
        )

    def _bass(self, melody: list[Note]) -> list[Note]:
        """One long note, or two, below or amid the others."""
        end = max(one.at + one.length for one in melody)
        starts = sorted(self.draw.sample([one.at for one in melody], self.draw.choice((1, 1, 2))))
        ends = [*starts[1:], end]
        return [
            self._note([self.draw.choice(self.keys[: len(self.keys) // 2])], at, until - at, voice=2)
            for at, until in zip(starts, ends, strict=True)
        ]

    def _bars(self, notes: list[Note]):
        """Bars of one to three quarters, with repeats and endings now and then."""
        end = max(one.at + one.length for one in notes)
        length = self.draw.choice((1, 2, 3))
        starts = list(range(0, int(end) + 1, length))
        bars = [
            bar(
                start,
                length,
                fifths=self.draw.choice((0, 0, 1, -1, 3)),
                quarters_a_minute=self.draw.choice((None, None, "0", "60", "100", "160")),
                end=self.draw.choice(("plain", "plain", "double")),
                repeat_start=self.chance(10),
                repeat_end=2 if self.chance(15) else None,
            )
            for start in starts
        ]
        order = list(range(len(bars)))
        if self.chance(40):
            again = self.draw.randrange(len(bars))
            order = [*order[: again + 1], *order[self.draw.randrange(again + 1) :]]
            if self.chance(30):
                del order[self.draw.randrange(len(order))]
        return bars, order or [0]

    def _joins(self, notes: list[Note]) -> list[tuple]:
        """Between notes of a voice that follow each other."""
        numbers, joins, first = {}, [], 0
        for one in notes:
            numbers[one.voice, one.at + one.length] = (first, one)
            before = numbers.get((one.voice, one.at))
            if before and len(one.keys) == len(before[1].keys) == 1:
                if one.keys != before[1].keys and self.chance(40):
                    by = self.draw.choice(("slur", "slur", "glissando"))
                    joins.append((before[0], first, by))
            first += len(one.keys)
        return joins

    def _pins(self, tones: int) -> list[dict]:
        pins = []
        for _ in range(self.draw.choice((0, 0, 1, 2))):
            rule, allowed = self.draw.choice(
                (
                    ("strings", self.draw.sample((1, 2, 3), self.draw.choice((1, 2)))),
                    ("frets", self.draw.sample(range(6), 3)),
                    ("left_fingers", self.draw.sample(range(5), 2)),
                    ("positions", self.draw.sample(range(1, 6), 2)),
                    ("barre", self.draw.choice(("none", "small"))),
                )
            )
            where = {"tone": self.draw.randrange(tones)}
            if self.chance(40):
                where = {"time": (0, self.draw.choice((1, 2, 4)))}
            author = "import" if "tone" in where and self.chance(30) else "author"
            pins.append(pin(rule, allowed, author=author, **where))
        return pins

    def _guitar(self) -> dict:
        capo = self.draw.choice((0, 0, 0, 1))
        return {
            "open_strings": [
                {"string": string, "key": key} for string, key in enumerate(self.tuning, start=1)
            ],
            "frets": self.frets + capo,
            "capo": capo,
        }

    def _level(self) -> dict:
        if self.chance(50):
            return {}
        return {
            "highest_fret": self.draw.choice((3, 5, 12)),
            "positions": sorted(self.draw.sample(range(1, 8), 3)),
            "fingers": self.draw.choice(([0, 1, 2, 3, 4], [0, 1, 2, 3], [1, 2, 4])),
            "barre": self.draw.choice(("none", "small", "full")),
            "extension": self.draw.choice((0, 1, 2)),
        }

    def _house(self) -> dict:
        if self.chance(60):
            return {}
        strings = range(len(self.tuning))
        shapes = [
            [
                self.draw.choice(
                    (
                        {"fret": None, "finger": None},
                        {"fret": 0, "finger": None},
                        {"fret": self.draw.choice((1, 2)), "finger": self.draw.choice((1, 2, 3))},
                    )
                )
                for _ in strings
            ]
            for _ in range(3)
        ]
        return {
            "third_fret": self.draw.choice((None, 3, 4)),
            "descending": self.draw.choice((None, "open", "stopped")),
            "shapes": shapes,
        }

    def _effort(self) -> dict:
        """The table, or one in which everything matters."""
        if self.chance(40):
            return {}
        percentages = {"leading", "cut_tail"} | {term for term in TABLE if term.startswith("ease")}
        return {
            term: self.draw.randrange(71 if term in percentages else 41)
            for term in TABLE
            if self.chance(50)
        }


def held(seed: int) -> Question:
    """A long note under a line, which another finger may take over."""
    one = Puzzle(seed)
    tuning = one.draw.choice(TUNINGS[:2])
    low, high = tuning[-1] + 1, tuning[0] + 5
    count = one.draw.choice((2, 3))
    line_of = [one.draw.randrange(tuning[1], high) for _ in range(count)]
    notes = [note(key, at, 1) for at, key in enumerate(line_of)]
    notes.append(note(one.draw.randrange(low, low + 4), 0, count, voice=2))
    pins = []
    if one.chance(50):
        pins.append(pin("second_fingers", one.draw.sample((1, 2, 3, 4), 2), tone=count))
    cheap = {"substitute": one.draw.randrange(4), "unchanged": one.draw.randrange(60)}
    guitar = {
        "open_strings": [{"string": s, "key": key} for s, key in enumerate(tuning, start=1)],
        "frets": 7,
    }
    level = {"substitution": True, "extension": one.draw.choice((0, 1)), "barre": "small"}
    asked = {"pins": pins, "guitar": guitar, "level": level, "effort": cheap}
    return Question(*written(notes, **asked))


def puzzle(seed: int) -> Question:
    return Puzzle(seed).question()

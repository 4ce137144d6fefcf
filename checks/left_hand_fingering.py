"""A fingering as docs/model.md has it in section 3: postures, and what follows
from each about fingers and barre.
"""

from dataclasses import dataclass, field
from fractions import Fraction

from left_hand_question import Question

Place = tuple[int, int]
# String, fret, finger; 0 is no finger.
Placement = tuple[int, int, int]
# Fret, thinnest and thickest string.
Barre = tuple[int, int, int]


@dataclass(frozen=True)
class Posture:
    """What lies on the strings at a layer: placements by sound, struck and
    kept; frets that the hand is away; places of fingers by finger."""

    sounding: dict[int, Placement] = field(default_factory=dict)
    position: int | None = None
    away: int = 0
    barre: Barre | None = None
    hinge: str | None = None
    staying: dict[int, Place] = field(default_factory=dict)
    bound: dict[int, Place] = field(default_factory=dict)


class Laid:
    """A posture with what follows from it."""

    def __init__(self, question: Question, k: int, posture: Posture):
        self.q, self.k, self.posture = question, k, posture
        self.struck = [n for n in question.struck[k] if n in posture.sounding]
        self.kept = [n for n in posture.sounding if n not in self.struck]
        self.staying, self.bound = posture.staying, posture.bound
        # Sounds that have changed their finger; known from what came before.
        self.seconds: frozenset[int] = frozenset()
        # Places of each finger that stops sounds, that touches one, that is
        # down, and that stops or touches a struck one.
        self.stops: dict[int, set[Place]] = {}
        self.touches: dict[int, set[Place]] = {}
        self.down: dict[int, set[Place]] = {}
        self.strikes: dict[int, set[Place]] = {}
        for n, (string, fret, finger) in posture.sounding.items():
            if not finger:
                continue
            touched = question.sounds[n].kind == "natural"
            for places in (self.touches if touched else self.stops, self.down):
                places.setdefault(finger, set()).add((string, fret))
            if n in self.struck:
                self.strikes.setdefault(finger, set()).add((string, fret))
        for finger, place in posture.bound.items():
            self.down.setdefault(finger, set()).add(place)
        self.idle = not self.down
        self.position = posture.position
        # The place of the hand.
        self.hand = None if posture.position is None else posture.position + posture.away
        self.away = posture.away
        self.barre, self.hinge = posture.barre, posture.hinge
        self.span = range(self.barre[1], self.barre[2] + 1) if self.barre else range(0)
        self.lifted = self._lifted()
        self.laid = [string for string in self.span if string not in self.lifted]

    def _lifted(self) -> range:
        strings = [s for s, _ in self.stops.get(1, ()) if s in self.span]
        if self.hinge is None or not strings:
            return range(0)
        if self.hinge == "thin":
            return range(self.span.start, min(strings))
        return range(max(strings) + 1, self.span.stop)

    def lays_over(self, place: Place) -> bool:
        """Whether the laid part of a barre covers a place at its fret."""
        return self.barre is not None and place[1] == self.barre[0] and place[0] in self.laid

    def on_string(self, string: int) -> int | None:
        """The sound on a string."""
        found = [n for n, at in self.posture.sounding.items() if at[0] == string]
        return found[0] if found else None

    def fret(self, finger: int) -> int:
        """Of a finger that is down; one, by P4."""
        return min(fret for _, fret in self.down[finger])

    def resting(self) -> dict[int, set[Place]]:
        """Places of every finger that is down or stays."""
        return self.down | {finger: {place} for finger, place in self.staying.items()}

    def extension(self, finger: int) -> int:
        return extension(finger, self.offset(finger, self.fret(finger)))

    def leans(self, finger: int) -> bool:
        """Whether a finger that is down, the lowest of all, is drawn up over the
        hand's own frets, for what sounds besides (P7)."""
        over = self.hand + finger - 1 < self.fret(finger) <= self.hand + 3
        lowest = finger == min(self.down) and finger > 1
        return over and lowest and len(self.posture.sounding) > 1

    def offset(self, finger: int, fret: int) -> int:
        return fret - (self.hand + finger - 1)


def extension(finger: int, offset: int) -> int:
    """Frets of extension in an offset (P7)."""
    return max(0, -offset if finger == 1 else offset)


def said(question: Question, part: dict) -> list[Posture]:
    """The postures that the program gives."""
    assert [Fraction(posture["at"]) for posture in part["postures"]] == question.layers
    return [_posture(question, posture) for posture in part["postures"]]


def _posture(question: Question, posture: dict) -> Posture:
    sounding: dict[int, Placement] = {}
    listed: dict[int, set[int]] = {}
    for one in posture["sounding"]:
        n = question.sound_of[one["tone"]]
        placement = one["string"], one["fret"], one["finger"]
        assert sounding.setdefault(n, placement) == placement, "a sound has one placement"
        listed.setdefault(n, set()).add(one["tone"])
    for n, tones in listed.items():
        assert tones == set(question.sounds[n].tones), "a sound is shown by all its tones"
    barre, away = posture["barre"], posture["away"]
    return Posture(
        sounding=sounding,
        position=posture["position"],
        away=0 if away is None else away - posture["position"],
        barre=(barre["fret"], barre["thin"], barre["thick"]) if barre else None,
        hinge=posture["hinge"],
        staying=_fingers(posture["staying"]),
        bound=_fingers(posture["bound"]),
    )


def _fingers(listed: list[dict]) -> dict[int, Place]:
    return {one["finger"]: (one["string"], one["fret"]) for one in listed}

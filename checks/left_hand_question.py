"""The question put to the left hand, read from what `finger --format json`
says was asked, and worked out as sections 1 and 2 of docs/model.md have it:
measures, sounds, layers, roles and figures.
"""

import math
from dataclasses import dataclass, field
from fractions import Fraction

# A mark of nothing a minute counts as none (section 1).
WITHOUT_MARK = Fraction(72)

# Chords that a figure may spell, as semitones above their root (section 2).
CHORDS = [
    {0, 4, 7},
    {0, 3, 7},
    {0, 3, 6},
    {0, 4, 8},
    {0, 4, 7, 10},
    {0, 3, 7, 10},
    {0, 4, 7, 11},
    {0, 3, 6, 10},
    {0, 3, 6, 9},
]

BARRE_WIDTHS = {"none": 0, "small": 2, "half": 4, "full": 99}


@dataclass
class Sound:
    """Tones struck together on one key."""

    tones: list[int]
    layer: int
    key: int
    onset: Fraction
    written: Fraction
    role: str = "inner"
    wanted: Fraction = field(default=Fraction(0))


@dataclass(frozen=True)
class Pin:
    """A pin in force: the set it allows, and the tone or the time it is on."""

    rule: str
    allowed: object
    tone: int | None
    start: Fraction | None
    until: Fraction | None


class Question:
    """One part with all that limits and prices it."""

    def __init__(self, piece: dict, part: dict):
        asked = part["question"]
        self._instrument(asked["instrument"])
        self.effort = asked["effort_table"]
        self.level = asked["level"]
        self.level_width = BARRE_WIDTHS[self.level["barre"]]
        self.bars = [Fraction(bar["start"]) for bar in piece["bars"]]
        self.tempos = [
            (Fraction(bar["start"]), Fraction(bar["quarters_a_minute"]))
            for bar in piece["bars"]
            if bar["quarters_a_minute"] is not None
        ]
        self._sounds(part["tones"])
        self._roles(part["events"])
        self._wanted_ends()
        self.pins = _in_force(asked["pins"])

    # --- section 1 ----------------------------------------------------------

    def _instrument(self, lengths: dict) -> None:
        capo = lengths["capo"]
        strings = sorted(lengths["open_strings"], key=lambda string: string["string"])
        self.open = {string["string"]: string["key"] + capo for string in strings}
        self.frets = lengths["frets"] - capo
        self._capo = capo
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

    def reach(self, a: int, b: int) -> int:
        return self.level["reach"][f"{a}-{b}"]

    def places(self, key: int) -> list[tuple[int, int]]:
        """P1: strings and frets that give a key."""
        frets = [(string, key - open_key) for string, open_key in self.open.items()]
        return [(string, fret) for string, fret in frets if 0 <= fret <= self.frets]

    def milliseconds(self, earlier: Fraction, later: Fraction) -> int:
        marks = [quarters for at, quarters in self.tempos if at <= earlier]
        quarters = (marks[-1] if marks else 0) or WITHOUT_MARK
        return math.floor((later - earlier) * 240_000 / quarters)

    def hurry(self, earlier: int, later: int) -> int:
        """Hurry of the time between two layers."""
        time = self.milliseconds(self.layers[earlier], self.layers[later])
        return 4 if time < 150 else 3 if time < 300 else 2 if time < 600 else 1

    # --- section 2 ----------------------------------------------------------

    def _sounds(self, tones: list[dict]) -> None:
        struck: dict[tuple[Fraction, int], list[dict]] = {}
        for tone in tones:
            struck.setdefault((Fraction(tone["at"]), tone["key"]), []).append(tone)
        self.layers = sorted({onset for onset, _ in struck})
        self.sounds = []
        for (onset, key), together in sorted(struck.items()):
            end = onset + max(Fraction(tone["duration"]) for tone in together)
            again = self._again(struck, onset, key)
            self.sounds.append(
                Sound(
                    tones=[tone["tone"] for tone in together],
                    layer=self.layers.index(onset),
                    key=key,
                    onset=onset,
                    written=end if again is None else min(end, again),
                )
            )
        self.struck = [
            [n for n, sound in enumerate(self.sounds) if sound.layer == k]
            for k, _ in enumerate(self.layers)
        ]

    @staticmethod
    def _again(struck, onset: Fraction, key: int) -> Fraction | None:
        """When a key is struck next."""
        return min((at for at, other in struck if other == key and at > onset), default=None)

    def _roles(self, events: list[dict]) -> None:
        voices = {event["voice"] for event in events if event["tones"]}
        key_of = {tone: sound.key for sound in self.sounds for tone in sound.tones}
        highest, lowest = set(), set()
        for event in events:
            if not event["tones"]:
                continue
            keys = [key_of[tone] for tone in event["tones"]]
            bass = len(voices) >= 2 and event["voice"] == max(voices) or len(keys) >= 3
            for tone in event["tones"]:
                onset = next(sound.onset for sound in self.sounds if tone in sound.tones)
                if onset != Fraction(event["at"]):
                    continue
                if event["voice"] == 1 and key_of[tone] == max(keys):
                    highest.add(tone)
                if bass and key_of[tone] == min(keys):
                    lowest.add(tone)
        for sound in self.sounds:
            if highest & set(sound.tones):
                sound.role = "melody"
            elif lowest & set(sound.tones):
                sound.role = "bass"

    def figures(self) -> list[range]:
        """Broken chords, as layers."""
        found, first = [], 0
        while first < len(self.layers):
            last = first
            while last + 1 < len(self.layers) and self._goes_on(first, last):
                last += 1
            keys = {self.sounds[n].key for k in range(first, last + 1) for n in self.struck[k]}
            if last - first >= 2 and len(keys) >= 3:
                found.append(range(first, last + 1))
                first = last + 1
            else:
                first += 1
        return found

    def _goes_on(self, first: int, last: int) -> bool:
        here, following = self.layers[last], self.layers[last + 1]
        if self._bar(here) != self._bar(following) or following - here > Fraction(1, 8):
            return False
        struck = [n for k in range(first, last + 2) for n in self.struck[k]]
        keys = sorted({self.sounds[n].key for n in struck})
        if any(high - low < 3 for low, high in zip(keys, keys[1:], strict=False)):
            return False
        held = [s.key for s in self.sounds if s.onset < following and s.written > following]
        classes = {key % 12 for key in keys + held}
        return any(
            classes <= {(root + step) % 12 for step in chord}
            for chord in CHORDS
            for root in range(12)
        )

    def _bar(self, moment: Fraction) -> Fraction:
        return max(start for start in self.bars if start <= moment)

    def _wanted_ends(self) -> None:
        for sound in self.sounds:
            sound.wanted = sound.written
        for figure in self.figures():
            inside = [self.sounds[n] for k in figure for n in self.struck[k]]
            after = figure[-1] + 1
            if after < len(self.layers):
                end = self.layers[after]
            else:
                end = max(sound.written for sound in inside)
            for sound in inside:
                again = [s.onset for s in self.sounds if s.key == sound.key]
                again = min((at for at in again if at > sound.onset), default=end)
                sound.wanted = min(max(sound.written, end), max(again, sound.written))

    # --- what follows from them ---------------------------------------------

    def life(self, n: int) -> range:
        """Layers at which a sound is struck, kept or let go."""
        sound = self.sounds[n]
        last = max(k for k, at in enumerate(self.layers) if k == sound.layer or at < sound.wanted)
        return range(sound.layer, last + 1)

    def alive(self, k: int) -> list[int]:
        return [n for n, _ in enumerate(self.sounds) if k in self.life(n)]

    def ends_of_barres(self, k: int) -> set[int]:
        """P4: keys struck in a layer or in one of the next eight."""
        return {s.key for s in self.sounds if k <= s.layer <= k + 8}

    def layer_at(self, at: str) -> int:
        """The layer of an onset as the program writes it."""
        return self.layers.index(Fraction(at))

    def rests_before(self, k: int) -> bool:
        """`ease_rest` on the move to a layer."""
        return all(s.written < self.layers[k] for s in self.sounds if s.layer < k)

    def cut(self, n: int, at: Fraction) -> int:
        """What it costs to let a sound go at a moment, its written end being
        later."""
        sound = self.sounds[n]
        value = self.effort[f"cut_{sound.role}"]
        if 4 * (sound.written - at) <= sound.written - sound.onset:
            return value * self.effort["cut_tail"] // 100
        return value

    def pins_on(self, n: int) -> list[Pin]:
        """Pins that the placement of a sound may breach."""
        sound = self.sounds[n]
        return [
            pin
            for pin in self.pins
            if pin.rule in ("strings", "frets", "left_fingers")
            and (pin.tone in sound.tones if pin.tone is not None else _during(pin, sound.onset))
        ]

    def pins_at(self, k: int) -> list[Pin]:
        """Pins that the posture at a layer may breach."""
        tones = {tone for n in self.struck[k] for tone in self.sounds[n].tones}
        return [
            pin
            for pin in self.pins
            if pin.rule in ("positions", "barre")
            and (pin.tone in tones if pin.tone is not None else _during(pin, self.layers[k]))
        ]

    def breaches_of_placement(self, n: int, string: int, fret: int, finger: int) -> int:
        """A1, A2 and A6 of a struck placement."""
        of = {"strings": string, "frets": fret, "left_fingers": finger}
        return (
            (fret > self.level["highest_fret"])
            + (finger not in self.level["fingers"])
            + sum(of[pin.rule] not in pin.allowed for pin in self.pins_on(n))
        )


def _during(pin: Pin, at: Fraction) -> bool:
    return pin.start <= at < pin.until


def _in_force(pins: list[dict]) -> list[Pin]:
    """A pin of an imported file gives way to an author's pin of the same kind
    on the same tone (section 3)."""
    authors = {
        (pin["rule"], pin["scope"]["tone"])
        for pin in pins
        if pin["author"] == "author" and "tone" in pin["scope"]
    }
    found = []
    for pin in pins:
        tone, time = pin["scope"].get("tone"), pin["scope"].get("time")
        if pin["author"] == "import" and (pin["rule"], tone) in authors:
            continue
        start = Fraction(time["from"]) if time else None
        until = Fraction(time["until"]) if time else None
        found.append(Pin(pin["rule"], pin["allowed"], tone, start, until))
    return found


def _tenths(millimetres: float) -> int:
    size = math.floor(abs(millimetres) * 10 + 0.5)
    return -size if millimetres < 0 else size

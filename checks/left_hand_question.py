"""The question put to the left hand, read from what `finger --format json`
says was asked, and worked out as section 2 of docs/model.md has it: sounds,
layers, roles, joins, figures; and what section 3 says of the author's rules.
"""

from dataclasses import dataclass, field
from fractions import Fraction

from left_hand_instrument import Instrument
from left_hand_order import Bars, hurry

# Chords that a figure may spell, as semitones above their root.
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
    """Tones struck together on one key, by one pluck and one finger."""

    tones: list[int]
    key: int
    onset: Fraction
    written: Fraction
    layer: int = 0
    kind: str = "plain"
    role: str = "inner"
    auxiliaries: list[int] = field(default_factory=list)
    # The sound it is joined from, and whether by a slur or a glissando.
    joined: tuple[int, str] | None = None
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
        self.instrument = Instrument(asked["instrument"])
        self.effort = asked["effort_table"]
        self.house = asked["house"]
        self.level = asked["level"]
        self.level_width = BARRE_WIDTHS[self.level["barre"]]
        self.bars = Bars(piece)
        self.pins = _in_force(asked["pins"])
        events = part["events"]
        self._fermatas = {
            Fraction(event["at"]) for event in events if event["voice"] == 1 and event["fermata"]
        }
        self._sounds(part["tones"], events)
        self._of_first_tones(part["tones"], events)
        self._roles(events)
        self._joins(part["joins"])
        self.figures = self._figures()
        self._wanted_ends()
        self.reached = self.bars.reached(self.layers)
        self.seams = self.bars.seams(self.layers)

    # --- sounds -------------------------------------------------------------

    def _sounds(self, tones: list[dict], events: list[dict]) -> None:
        struck: dict[tuple[Fraction, int], list[int]] = {}
        length = {tone["tone"]: Fraction(tone["duration"]) for tone in tones}
        for tone in sorted(tones, key=lambda tone: tone["tone"]):
            struck.setdefault((Fraction(tone["at"]), tone["key"]), []).append(tone["tone"])
        parted = self._parted(events)
        self.sounds = []
        for (onset, key), together in struck.items():
            again = min((at for at, other in struck if other == key and at > onset), default=None)
            for group in _grouped(together, parted):
                end = onset + max(length[tone] for tone in group)
                written = end if again is None else min(end, again)
                self.sounds.append(Sound(tones=group, key=key, onset=onset, written=written))
        self.sounds.sort(key=lambda sound: (sound.onset, sound.key, sound.tones[0]))
        self.layers = sorted({sound.onset for sound in self.sounds})
        for sound in self.sounds:
            sound.layer = self.layers.index(sound.onset)
        self.struck = [
            [n for n, sound in enumerate(self.sounds) if sound.layer == k]
            for k, _ in enumerate(self.layers)
        ]
        self.sound_of = {tone: n for n, sound in enumerate(self.sounds) for tone in sound.tones}

    def _parted(self, events: list[dict]):
        """Whether two tones of one key and onset are a unison on two strings."""
        places: dict[int, set[int]] = {}
        for index, event in enumerate(events):
            for tone in event["tones"]:
                places.setdefault(tone, set()).add(index)
        strings: dict[int, set[int]] = {}
        for pin in self.pins:
            if pin.rule == "strings" and pin.tone is not None:
                strings.setdefault(pin.tone, set(pin.allowed)).intersection_update(pin.allowed)

        def parted(a: int, b: int) -> bool:
            if places.get(a, set()) & places.get(b, set()):
                return True
            return a in strings and b in strings and not strings[a] & strings[b]

        return parted

    def _of_first_tones(self, tones: list[dict], events: list[dict]) -> None:
        """Kinds, and what ornaments call for."""
        auxiliaries = {tone["tone"]: tone["auxiliaries"] for tone in tones}
        for sound in self.sounds:
            first = sound.tones[0]
            sound.auxiliaries = auxiliaries[first]
            for event in events:
                if first in event["tones"] and Fraction(event["at"]) == sound.onset:
                    if event["natural_harmonic"]:
                        sound.kind = "natural"
                    elif event["artificial_harmonic"]:
                        sound.kind = "artificial"

    def _roles(self, events: list[dict]) -> None:
        voices = {event["voice"] for event in events if event["tones"]}
        key_of = {tone: self.sounds[n].key for tone, n in self.sound_of.items()}
        highest, lowest = set(), set()
        for event in events:
            if not event["tones"]:
                continue
            keys = [key_of[tone] for tone in event["tones"]]
            bass = len(voices) >= 2 and event["voice"] == max(voices) or len(keys) >= 3
            for tone in event["tones"]:
                if self.sounds[self.sound_of[tone]].onset != Fraction(event["at"]):
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

    def _joins(self, joins: list[dict]) -> None:
        joined = {join["to"]: (join["from"], join["by"]) for join in joins}
        for sound in self.sounds:
            for tone in sound.tones:
                if tone in joined:
                    before, by = joined[tone]
                    first = self.sound_of[before]
                    if self.sounds[first].written == sound.onset:
                        sound.joined = first, by
                    break

    # --- figures ------------------------------------------------------------

    def _figures(self) -> list[range]:
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
        if self.bars.index(here) != self.bars.index(following):
            return False
        if following - here > Fraction(1, 8):
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

    def _wanted_ends(self) -> None:
        for sound in self.sounds:
            sound.wanted = sound.written
        for figure in self.figures:
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
        for sound in self.sounds:
            if sound.joined:
                before = self.sounds[sound.joined[0]]
                before.wanted = min(before.wanted, sound.onset)

    # --- what follows from them ---------------------------------------------

    def places(self, n: int) -> list[tuple[int, int]]:
        sound = self.sounds[n]
        return self.instrument.places(sound.key, sound.kind)

    def begins_anew(self, k: int) -> bool:
        """The first layer, and one after a cut."""
        return k not in self.reached

    def life(self, n: int) -> range:
        """Layers at which a sound is struck, or may be kept."""
        last = self.sounds[n].layer
        while last + 1 < len(self.layers) and last + 1 in self.reached:
            if self.layers[last + 1] >= self.sounds[n].wanted:
                break
            last += 1
        return range(self.sounds[n].layer, last + 1)

    def alive(self, k: int) -> list[int]:
        return [n for n, _ in enumerate(self.sounds) if k in self.life(n)]

    def lone(self, k: int) -> bool:
        return len(self.struck[k]) == 1

    def hurry(self, earlier: int, later: int) -> int:
        """Hurry of the time between two layers."""
        here = self.layers[earlier]
        return hurry(self.bars.milliseconds(self.layers[later] - here, here))

    def ends_of_barres(self, k: int) -> set[int]:
        """P4: keys, not of kept sounds, that a barre at a layer may end with."""
        layers = {k, k + 1}
        for figure in self.figures:
            if k in figure:
                layers.update(j for j in figure if j > k)
        keys = {s.key for s in self.sounds if s.layer in layers}
        plain = (s for s in self.sounds if s.layer == k and s.kind == "plain")
        return keys.union(*(s.auxiliaries for s in plain))

    def soon(self, k: int) -> set[int]:
        """P9: keys struck in one of the next two layers."""
        return {s.key for s in self.sounds if s.layer in (k + 1, k + 2)}

    def pulled_off(self, n: int) -> list[int]:
        """P9: lower sounds to which a slur leads from a sound."""
        return [
            m
            for m, sound in enumerate(self.sounds)
            if sound.joined == (n, "slur") and sound.key < self.sounds[n].key
        ]

    def one_bar(self, earlier: int, later: int) -> bool:
        """Whether two layers stand in one bar."""
        return self.bars.index(self.layers[earlier]) == self.bars.index(self.layers[later])

    def later_in_bar(self, k: int) -> set[int]:
        """`barre_idle`: keys struck later in the bar of a layer."""
        return {s.key for s in self.sounds if s.layer > k and self.one_bar(k, s.layer)}

    def sung_on(self, k: int) -> tuple[int, int] | None:
        """The note of the melody at the layer before and the one at a layer, if the
        melody goes on from one to the other."""
        found = []
        for layer in (k - 1, k):
            sung = [
                n
                for n in self.struck[layer]
                if self.sounds[n].role == "melody" and self.sounds[n].kind == "plain"
            ]
            if len(sung) != 1:
                return None
            found += sung
        if len(self.struck[k]) > 2 or self.sounds[found[0]].written != self.layers[k]:
            return None
        return found[0], found[1]

    def returns(self) -> dict[int, int]:
        """Notes of the melody that come again: by layer, the layer they come from."""
        pairs = [
            (first, second)
            for second in range(len(self.layers))
            for first in range(max(0, second - 4), second - 1)
            if self._comes_again(first, second)
        ]
        found: dict[int, int] = {}
        between: set[int] = set()
        for first, second in sorted(pairs, key=lambda pair: (pair[1] - pair[0], pair[0])):
            layers = set(range(first + 1, second))
            if not layers & between:
                between |= layers
                found[second] = first
        return found

    def melody_note(self, k: int) -> int | None:
        """The plain sound of the melody struck at a layer, if there is just one."""
        sung = [
            n
            for n in self.struck[k]
            if self.sounds[n].role == "melody" and self.sounds[n].kind == "plain"
        ]
        return sung[0] if len(sung) == 1 else None

    def bass_note(self, k: int) -> int | None:
        """The plain sound of the bass struck at a layer, if there is just one."""
        low = [n for n in self.struck[k] if self.sounds[n].role == "bass"]
        low = [n for n in low if self.sounds[n].kind == "plain"]
        return low[0] if len(low) == 1 else None

    def _comes_again(self, first: int, second: int) -> bool:
        was, after = self.melody_note(first), self.melody_note(second)
        if was is None or after is None or self.sounds[was].key != self.sounds[after].key:
            return False
        meanwhile = [n for k in range(first + 1, second) for n in self.struck[k]]
        if any(self.sounds[n].key == self.sounds[was].key for n in meanwhile):
            return False
        if len(self.struck[second]) > 2 or any(second in figure for figure in self.figures):
            return False
        if any(self.begins_anew(k) for k in range(first + 1, second + 1)):
            return False
        here = self.layers[first]
        return self.bars.milliseconds(self.layers[second] - here, here) < 3000

    def sung_long(self, n: int) -> bool:
        """`tone_long`."""
        sound = self.sounds[n]
        return self.bars.milliseconds(sound.written - sound.onset, sound.onset) >= 1000

    def layer_at(self, at: str) -> int:
        """The layer of an onset as the program writes it."""
        return self.layers.index(Fraction(at))

    def given_ease(self, k: int) -> int:
        """What is given of `ease` on the move to a layer, whatever the hand
        does: the sum of all but guide, pivot and open."""
        value, here, there = self.effort, self.layers[k - 1], self.layers[k]
        before, after = self.struck[k - 1], self.struck[k]
        ease = 0
        if all(s.written < there for s in self.sounds if s.layer < k):
            ease += value["ease_rest"]
        if self.bars.sign_between(here, there) or here in self._fermatas:
            ease += value["ease_phrase"]
        if self.bars.begins_at(there):
            ease += value["ease_beat"]
        if {self.sounds[n].key for n in before} & {self.sounds[n].key for n in after}:
            ease += value["ease_repeat"]
        sung = [[n for n in layer if self.sounds[n].role == "melody"] for layer in (before, after)]
        if all(len(melody) == 1 for melody in sung):
            [first], [second] = [[self.sounds[n].key for n in melody] for melody in sung]
            if second == first + 1 and second % 12 in self.bars.tonics(there):
                ease -= value["leading"]
        return ease

    def cut(self, n: int, at: Fraction) -> int:
        """What it costs to let a sound go at a moment, its written end being
        later."""
        sound = self.sounds[n]
        value = self.effort[f"cut_{sound.role}"]
        if 4 * (sound.written - at) <= sound.written - sound.onset:
            return value * self.effort["cut_tail"] // 100
        return value

    # --- the author's rules -------------------------------------------------

    def pins_on(self, n: int) -> list[Pin]:
        """Pins that the placement of a sound may breach."""
        sound = self.sounds[n]
        return [
            pin
            for pin in self.pins
            if pin.rule in ("strings", "frets", "left_fingers")
            and (pin.tone in sound.tones if pin.tone is not None else _during(pin, sound.onset))
        ]

    def pins_on_seconds(self, n: int) -> list[Pin]:
        """Pins that ask for another finger to take a sound over."""
        tones = self.sounds[n].tones
        return [pin for pin in self.pins if pin.rule == "second_fingers" and pin.tone in tones]

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


def _grouped(tones: list[int], parted) -> list[list[int]]:
    """Each tone joins the first group that it is not parted from."""
    groups: list[list[int]] = []
    for tone in tones:
        for group in groups:
            if not any(parted(tone, other) for other in group):
                group.append(tone)
                break
        else:
            groups.append([tone])
    return groups


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

"""The price of a given fingering, worked out from docs/model.md section 5 in
plain Python: what anyone can do who has the JSON of `finger`.
"""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from left_hand_question import BARRE_WIDTHS, Question

Place = tuple[int, int]


@dataclass
class Posture:
    """What lies on the strings at a layer."""

    sounding: set[int]
    position: int | None
    # Fret, thinnest and thickest string.
    barre: tuple[int, int, int] | None


@dataclass
class Played:
    """A fingering: place and finger of each sound that is not left out, and
    the postures."""

    placed: dict[int, tuple[int, int, int]]
    postures: list[Posture]


def played(question: Question, part: dict) -> Played:
    """The fingering that the program gives."""
    sound_of = {tone: n for n, sound in enumerate(question.sounds) for tone in sound.tones}
    placed = {
        sound_of[tone["tone"]]: (tone["string"], tone["fret"], tone["finger"])
        for tone in part["tones"]
        if not tone["left_out"]
    }
    postures = []
    assert [Fraction(posture["at"]) for posture in part["postures"]] == question.layers
    for posture in part["postures"]:
        barre = posture["barre"]
        postures.append(
            Posture(
                sounding={sound_of[one["tone"]] for one in posture["sounding"]},
                position=posture["position"],
                barre=(barre["fret"], barre["thin"], barre["thick"]) if barre else None,
            )
        )
    return Played(placed, postures)


class Bill:
    """Every term of the effort at every layer, and what is left out and
    broken."""

    def __init__(self, question: Question, played: Played):
        self.q, self.played = question, played
        self.items: Counter[tuple[str, int]] = Counter()
        self.broken = 0
        self.escapes = len(question.sounds) - len(played.placed)
        self.stopped = [bool(self.fingers(k)) for k, _ in enumerate(question.layers)]
        for k, _ in enumerate(question.layers):
            self._posture(k)
            self._authors_rules(k)
            if k:
                self._move(k)

    @property
    def effort(self) -> int:
        return sum(self.items.values())

    def _charge(self, term: str, k: int, amount: int) -> None:
        if amount:
            self.items[term, k] += amount

    def struck(self, k: int) -> list[int]:
        return [n for n in self.q.struck[k] if n in self.played.placed]

    def fingers(self, k: int, sounds=None) -> dict[int, set[Place]]:
        """Places of each finger down, of all sounds or of some."""
        found: dict[int, set[Place]] = {}
        for n in self.played.postures[k].sounding if sounds is None else sounds:
            string, fret, finger = self.played.placed[n]
            if finger:
                found.setdefault(finger, set()).add((string, fret))
        return found

    def _posture(self, k: int) -> None:
        effort, posture = self.q.effort, self.played.postures[k]
        p, q = posture.position, self.q
        fingers, striking = self.fingers(k), self.fingers(k, self.struck(k))
        for n in self.struck(k):
            _, fret, finger = self.played.placed[n]
            if fret:
                self._charge("stop", k, effort["stop"])
                if p > 1:
                    self._charge("height", k, effort["height"] * (2 * p - 3))
            if finger > 2:
                self._charge(f"finger_{finger}", k, effort[f"finger_{finger}"])
        for finger, places in fingers.items():
            offset = min(fret for _, fret in places) - (p + finger - 1)
            extension = self._extension(finger, offset)
            self._charge("extension", k, effort["extension"] * extension)
            self.broken += extension > q.level["extension"]
            if finger in striking:
                contraction = abs(offset) - extension
                self._charge("contraction", k, effort["contraction"] * contraction)
                if finger == 1 and offset == 1:
                    self._charge("lead", k, effort["lead"])
        for a in fingers:
            for b in fingers:
                if a >= b:
                    continue
                on_a, on_b = min(fingers[a]), min(fingers[b])
                ex = q.x(on_b[1]) - q.x(on_a[1]) - (q.x(p + b - 1) - q.x(p + a - 1))
                if a > 1 or not posture.barre:
                    ex += 20 * (on_b[0] - on_a[0])
                if ex > 0:
                    self._charge("stretch", k, effort["stretch"] * ex // 100)
                crossed = on_a[1] == on_b[1] and on_a[0] < on_b[0]
                if crossed and (a in striking or b in striking):
                    self._charge("crossed", k, effort["crossed"])
        if posture.barre:
            _, thin, thick = posture.barre
            self._charge("barre_hold", k, effort["barre_hold"] * (thick - thin + 1))

    @staticmethod
    def _extension(finger: int, offset: int) -> int:
        return max(0, -offset) if finger == 1 else max(0, offset)

    def _authors_rules(self, k: int) -> None:
        """A1 to A4 and A6."""
        posture = self.played.postures[k]
        for n in self.struck(k):
            self.broken += self.q.breaches_of_placement(n, *self.played.placed[n])
        widths, allowed = [self.q.level_width], [self.q.level["positions"]]
        for pin in self.q.pins_at(k):
            if pin.rule == "barre":
                widths.append(BARRE_WIDTHS[pin.allowed])
            else:
                allowed.append(pin.allowed)
        if posture.barre:
            width = posture.barre[2] - posture.barre[1] + 1
            self.broken += sum(width > most for most in widths)
        if self.stopped[k]:
            self.broken += sum(posture.position not in good for good in allowed)

    def _move(self, k: int) -> None:
        before, after = self.played.postures[k - 1], self.played.postures[k]
        effort, hurry = self.q.effort, self.q.hurry(k - 1, k)
        for n in before.sounding - after.sounding:
            sound, at = self.q.sounds[n], self.q.layers[k]
            if at < sound.written:
                self._charge(f"cut_{sound.role}", k, self.q.cut(n, at))
            if at < sound.wanted and sound.wanted > sound.written:
                self._charge("ring", k, effort["ring"])
        if after.barre:
            new = self._strings(after.barre)
            if before.barre and before.barre[0] == after.barre[0]:
                new -= self._strings(before.barre)
            self._charge("barre_lay", k, effort["barre_lay"] * len(new))
        if before.position and self.stopped[k] and before.position != after.position:
            self._shift(k, before.position, after.position)
        left, right = self.fingers(k - 1), self.fingers(k, self.struck(k))
        for finger in left.keys() & right.keys():
            if left[finger] & self.fingers(k)[finger]:
                continue
            if self._jumps(before.barre, after.barre, left[finger], right[finger]):
                self._charge("jump", k, effort["jump"] * hurry)
            frets = {s: fret for s, fret in left[finger]}
            slides = any(s in frets and frets[s] != fret for s, fret in right[finger])
            if slides and before.position == after.position:
                self._charge("slide", k, effort["slide"] * hurry)
        stood = {place: finger for finger, places in left.items() for place in places}
        for finger, places in right.items():
            others = sum(stood.get(place, finger) != finger for place in places)
            self._charge("replace", k, effort["replace"] * hurry * others)
        lone = [self.struck(k - 1), self.struck(k)]
        if all(len(sounds) == 1 for sounds in lone):
            pair = [self.played.placed[sounds[0]][2] for sounds in lone]
            if sorted(pair) == [3, 4]:
                self._charge("weak_pair", k, effort["weak_pair"] * hurry)

    @staticmethod
    def _strings(barre: tuple[int, int, int]) -> set[int]:
        return set(range(barre[1], barre[2] + 1))

    def _jumps(self, before, after, left: set[Place], right: set[Place]) -> bool:
        if {string for string, _ in left} & {string for string, _ in right}:
            return False
        for barre in (before, after):
            if barre is None:
                continue
            under = {(string, barre[0]) for string in self._strings(barre)}
            if left & under and right & under:
                return False
        return True

    def _shift(self, k: int, old: int, new: int) -> None:
        effort, q = self.q.effort, self.q
        last = max(j for j in range(k) if self.stopped[j])
        hurry = q.hurry(last, k)
        shift = hurry * effort["shift"]
        travel = hurry * (effort["travel"] * abs(q.x(new) - q.x(old)) // 100)
        self._charge("shift", k, shift)
        self._charge("travel", k, travel)
        eases = [0]
        if not self.stopped[k - 1]:
            eases.append(effort["ease_open"])
        if q.rests_before(k):
            eases.append(effort["ease_rest"])
        left, right = self.fingers(k - 1), self.fingers(k)
        for finger in left.keys() & right.keys():
            if left[finger] & right[finger]:
                eases.append(effort["ease_pivot"])
            frets = {string: fret for string, fret in left[finger]}
            if any(s in frets and frets[s] != fret for s, fret in right[finger]):
                eases.append(effort["ease_guide"])
        self._charge("ease", k, -((shift + travel) * max(eases) // 100))

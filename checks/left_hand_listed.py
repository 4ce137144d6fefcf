"""What a fingering lists beside its postures follows from them: the end of
section 5 of docs/model.md, in plain Python.
"""

from fractions import Fraction

from left_hand_fingering import Laid, Posture
from left_hand_price_moves import played_joined
from left_hand_question import Question
from left_hand_seconds import changed


class Listed:
    """What the postures of a fingering say, in the form of the program's
    lists."""

    def __init__(self, question: Question, postures: list[Posture]):
        self.q = question
        self.laid = [Laid(question, k, posture) for k, posture in enumerate(postures)]

    def differences(self, part: dict) -> list[str]:
        """Lists of the program that say something else."""
        checks = {
            "idle": [one["idle"] for one in part["postures"]] == [one.idle for one in self.laid],
            "positions": self._said(part["positions"]) == self.runs(lambda one: one.position),
            "hops": self._said(part["hops"]) == self.runs(lambda one: one.hand if one.away else None),
            "barres": self._said_barres(part["barres"]) == self.barres(),
            "shifts": self._shifts_agree(part["shifts"]),
            "seams": self._said_seams(part["seams"]) == self.seams(),
            "let_go": self._said_let_go(part["let_go"]) == self.let_go(),
            "tones": all(self._tone_agrees(tone) for tone in part["tones"]),
        }
        return [name for name, agrees in checks.items() if not agrees]

    def at(self, k: int) -> Fraction:
        return self.q.layers[k]

    # --- runs ---------------------------------------------------------------

    def runs(self, what) -> list[tuple]:
        """Runs of layers of which something is the same: what, first, last."""
        return [(one, self.at(run[0]), self.at(run[-1])) for one, run in self._grouped(what)]

    def _grouped(self, what):
        found: list[tuple] = []
        for k, laid in enumerate(self.laid):
            one = what(laid)
            if one is None:
                continue
            if found and found[-1][0] == one and found[-1][1][-1] == k - 1 and k in self.q.reached:
                found[-1][1].append(k)
            else:
                found.append((one, [k]))
        return found

    def barres(self) -> list[tuple]:
        """Each with the widest of its run, the first of them."""
        found = []
        for _, run in self._grouped(lambda one: one.barre and one.barre[0]):
            widest = max(run, key=lambda k: (len(self.laid[k].span), -k))
            found.append((self.laid[widest].barre, self.at(run[0]), self.at(run[-1])))
        return found

    @staticmethod
    def _said(spans: list[dict]) -> list[tuple]:
        ends = [[Fraction(span[end]["at"]) for end in ("from", "to")] for span in spans]
        return [(span["what"], *both) for span, both in zip(spans, ends, strict=True)]

    def _said_barres(self, spans: list[dict]) -> list[tuple]:
        return [
            ((what["fret"], what["thin"], what["thick"]), first, last)
            for what, first, last in self._said(spans)
        ]

    # --- moves --------------------------------------------------------------

    def _shifts_agree(self, said: list[dict]) -> bool:
        shifts = [
            (was, after)
            for was, after in zip(self.laid, self.laid[1:], strict=False)
            if after.k in self.q.reached
            and was.position is not None
            and not after.idle
            and was.position != after.position
        ]
        if len(shifts) != len(said):
            return False
        return all(self._shift_agrees(*moved, one) for moved, one in zip(shifts, said, strict=True))

    def _shift_agrees(self, was: Laid, after: Laid, said: dict) -> bool:
        guides, pivots = set(), set()
        for finger, places in after.down.items():
            for string, fret in was.resting().get(finger, ()):
                for to, at in places:
                    if to == string:
                        (pivots if at == fret else guides).add((finger, string))
        for name, found in (("guide", guides), ("pivot", pivots)):
            one = said[name]
            # Which of several is named is left open.
            if (one is None) != (not found):
                return False
            if one and (one["finger"], one["string"]) not in found:
                return False
        return (Fraction(said["at"]), said["from"], said["to"], said["over_open"]) == (
            self.at(after.k),
            was.position,
            after.position,
            was.idle,
        )

    def seams(self) -> set[tuple]:
        found = set()
        for seam in self.q.seams:
            was = self.laid[seam.before].position
            to = next((one.position for one in self.laid[seam.after :] if not one.idle), None)
            moved = None not in (was, to) and was != to
            shift = (was, to) if moved else None
            found.add((self.at(seam.before), self.at(seam.after), shift))
        return found

    @staticmethod
    def _said_seams(said: list[dict]) -> set[tuple]:
        return {
            (
                Fraction(one["from"]["at"]),
                Fraction(one["to"]["at"]),
                (one["shift"]["from"], one["shift"]["to"]) if one["shift"] else None,
            )
            for one in said
        }

    # --- sounds -------------------------------------------------------------

    def until(self, n: int) -> Fraction:
        """When a sound is over or let go."""
        sound = self.q.sounds[n]
        for k, at in enumerate(self.q.layers):
            if sound.onset < at < sound.wanted and n not in self.laid[k].posture.sounding:
                return at
        return sound.wanted

    def let_go(self) -> set[tuple]:
        found = set()
        for n, sound in enumerate(self.q.sounds):
            gone = self.until(n)
            if n in self.laid[sound.layer].posture.sounding and gone < sound.wanted:
                found |= {(tone, gone, gone < sound.written) for tone in sound.tones}
        return found

    @staticmethod
    def _said_let_go(said: list[dict]) -> set[tuple]:
        return {(one["tone"], Fraction(one["at"]), one["written"]) for one in said}

    def second(self, n: int) -> tuple | None:
        """The finger that takes a sound over, and from when."""
        for k in self.q.life(n)[1:]:
            if n in changed(self.laid[k - 1], self.laid[k]):
                return self.laid[k].posture.sounding[n][2], self.at(k)
        return None

    @staticmethod
    def _said_second(second: dict | None) -> tuple | None:
        return second and (second["finger"], Fraction(second["at"]))

    def _tone_agrees(self, tone: dict) -> bool:
        n = self.q.sound_of[tone["tone"]]
        k = self.q.sounds[n].layer
        placed = self.laid[k].posture.sounding.get(n)
        if placed is None:
            return tone["left_out"] and not tone["joined"]
        joined = k in self.q.reached and played_joined(self.laid[k - 1], self.laid[k], n)
        return (
            (tone["string"], tone["fret"], tone["finger"]) == placed
            and not tone["left_out"]
            and tone["joined"] == joined
            and self._said_second(tone["second"]) == self.second(n)
            and Fraction(tone["sounds_until"]) == self.until(n)
        )

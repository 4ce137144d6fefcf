"""What a struck sound pays that is placed against the house style, as
constraints: section 5 of docs/model.md.
"""

from left_hand_physics import every
from left_hand_question import Question
from left_hand_terms import PricedHand


class HousedHand(PricedHand):
    """A hand that pays for what the house would have otherwise."""

    def __init__(self, question: Question):
        super().__init__(question)
        for k in self.layers:
            fits = self._fitting_shapes(k)
            for n in question.struck[k]:
                against = [
                    *self._against_shape(n, fits),
                    *self._against_third_fret(k, n, fits),
                    *self._against_descent(k, n, fits),
                ]
                if against:
                    self.charge(self.value("house"), self.at_least(*against))

    def _fitting_shapes(self, k: int) -> list:
        """Shapes of the style, each with a variable that says whether it is
        the first that what sounds at a layer is."""
        found, earlier = [], []
        for shape in self.q.house["shapes"]:
            literals, fits = [], True
            for string in range(1, max(len(shape), len(self.q.instrument.open)) + 1):
                fret = shape[string - 1]["fret"] if string <= len(shape) else None
                sounding = self._on_string(k, string)
                if fret:
                    there = [var for _, at, var in sounding if at[1] == fret]
                    fits = fits and bool(there)
                    literals.append(self.total(there) if there else None)
                else:
                    literals += [var.negated() for _, at, var in sounding if at[1] != fret]
            if not fits:
                continue
            fit = self.both(*literals, *(one.negated() for one in earlier))
            earlier.append(fit)
            found.append((shape, fit))
        return found

    @staticmethod
    def _finger(shape: list[dict], string: int):
        """The shape's finger on a string that it stops; else nothing."""
        stops = string <= len(shape) and shape[string - 1]["fret"]
        return (shape[string - 1]["finger"],) if stops else None

    def _against_shape(self, n: int, fits: list):
        for shape, fit in fits:
            bad = [
                var
                for (string, _, finger), var in self.place[n].items()
                if self._finger(shape, string) not in (None, (None,), (finger,))
            ]
            if bad:
                yield sum(bad) + fit - 1

    def _stopped_by_shape(self, string: int, fits: list):
        return sum(fit for shape, fit in fits if self._finger(shape, string) is not None)

    def _against_third_fret(self, k: int, n: int, fits: list):
        wanted = self.q.house["third_fret"]
        if not wanted or self.q.sounds[n].kind == "natural":
            return
        free = every(self.stops[k, wanted])
        for (string, fret, finger), var in self.place[n].items():
            if fret == 3 and finger in (3, 4) and finger != wanted:
                other = self._stopped_by_shape(string, fits)
                yield var + self.hand[k][1] - 1 - sum(free) - other

    def _against_descent(self, k: int, n: int, fits: list):
        q, house = self.q, self.q.house["descending"]
        if house is None or q.begins_anew(k) or not (q.lone(k) and q.lone(k - 1)):
            return
        key, guitar = q.sounds[n].key, q.instrument
        if q.sounds[q.struck[k - 1][0]].key - key not in (1, 2):
            return
        for string in guitar.open:
            thicker = [key - open_key for s, open_key in guitar.open.items() if s > string]
            if house == "open":
                either = q.sounds[n].kind != "natural" and key in guitar.open.values()
            else:
                either = any(1 <= fret <= guitar.frets for fret in thicker)
            bad = [
                var
                for (s, _, finger), var in self.place[n].items()
                if s == string and bool(finger) == (house == "open")
            ]
            if either and bad:
                yield sum(bad) - self._stopped_by_shape(string, fits)

"""Every fingering of a tiny question, one after the other, in plain Python: what
the rules of `left_hand_rules.py` leave is priced by the bill, until it is dearer
than what has been found.
"""

from collections.abc import Iterator
from itertools import combinations, product

from left_hand_fingering import Laid, Place, Posture
from left_hand_price import breaches, posture_items
from left_hand_price_moves import move_items, seam_items
from left_hand_question import Question
from left_hand_rules import FINGERS, against_move, against_posture, prepared
from left_hand_seconds import follow, may_take_over

Price = tuple[int, int, int]

# What does not hang on the place of the hand, or on who stays.
OF_FINGERS = {"P2", "P3", "P4", "P5", "P6", "P11"}


class TooMany(Exception):
    """More postures than are worth while."""


class Enumeration:
    """All fingerings of a question that are cheaper than a price.

    What follows from the last two postures, from the last layer not idle and,
    over seams, from the positions, is followed once only, by the cheapest way
    that leads there."""

    def __init__(self, question: Question, bound: Price, most: int):
        self.q, self.best, self._most = question, bound, most
        self.found: list[Posture] | None = None
        # Postures that were looked at.
        self.count = 0
        self._known: dict[object, Price] = {}
        self._follow([], (0, 0, 0))

    def _follow(self, before: list[Laid], price: Price) -> None:
        k = len(before)
        if k == len(self.q.layers):
            seams = sum(sum(items.values()) for _, items in seam_items(self.q, before))
            whole = (*price[:2], price[2] + seams)
            if whole < self.best:
                self.best, self.found = whole, [laid.posture for laid in before]
            return
        for laid in self._next(before, price):
            dearer = self._with(before, laid, price)
            if dearer >= self.best:
                continue
            situation = self._situation([*before, laid])
            if self._known.get(situation, self.best) <= dearer:
                continue
            self._known[situation] = dearer
            self._follow([*before, laid], dearer)

    def _laid(self, k: int, posture: Posture, was: Laid | None = None) -> Laid:
        self.count += 1
        if self.count > self._most:
            raise TooMany
        laid = Laid(self.q, k, posture)
        follow(was, laid)
        return laid

    def _with(self, before: list[Laid], laid: Laid, price: Price) -> Price:
        escapes, broken, effort = self._posture(before, laid, price)
        if not self.q.begins_anew(laid.k):
            effort += sum(move_items(before, laid).values())
        return escapes, broken, effort

    def _posture(self, before: list[Laid], laid: Laid, price: Price) -> Price:
        escapes, broken, effort = price
        effort += sum(posture_items(laid, before).values())
        escapes += len(self.q.struck[laid.k]) - len(laid.struck)
        return escapes, broken + breaches(laid), effort

    def _situation(self, laid: list[Laid]):
        last = max((one.k for one in laid if not one.idle), default=None)
        along = tuple((one.position, one.idle) for one in laid) if self.q.seams else ()
        seconds = laid[-1].seconds
        return len(laid), last, along, seconds, *(_frozen(one.posture) for one in laid[-2:])

    def _next(self, before: list[Laid], price: Price) -> Iterator[Laid]:
        """Every posture that may come next."""
        k = len(before)
        was = None if self.q.begins_anew(k) else before[-1]
        for sounding in self._soundings(k, was):
            if self._at_least(k, sounding, price) >= self.best:
                continue
            for fingers in self._fingers(k, sounding):
                for standing in self._standing(was, fingers):
                    bare = self._laid(k, Posture(**fingers, **standing), was)
                    # Who stays makes nothing lawful that is not, and changes
                    # nothing of what a posture costs by itself.
                    if against_posture(bare) or against_move(was, bare):
                        continue
                    if self._posture(before, bare, price) >= self.best:
                        continue
                    for staying in self._staying(was, bare):
                        posture = Posture(**fingers, **standing, staying=staying)
                        laid = self._laid(k, posture, was)
                        if not against_posture(laid) and not against_move(was, laid):
                            yield laid

    def _at_least(self, k: int, sounding: dict, price: Price) -> Price:
        """What placements alone come to."""
        struck = [n for n in self.q.struck[k] if n in sounding]
        broken = sum(self.q.breaches_of_placement(n, *sounding[n]) for n in struck)
        effort = self.q.effort["stop"] * sum(sounding[n][2] > 0 for n in struck)
        escapes = len(self.q.struck[k]) - len(struck)
        return price[0] + escapes, price[1] + broken, price[2] + effort

    def _soundings(self, k: int, was: Laid | None) -> Iterator[dict]:
        choices = []
        for n in self.q.struck[k]:
            places = [
                (*place, finger)
                for place in self.q.places(n)
                for finger in (FINGERS if place[1] else (0,))
            ]
            choices.append([(n, None), *((n, at) for at in places)])
        for n, (string, fret, finger) in was.posture.sounding.items() if was else ():
            natural = self.q.sounds[n].kind == "natural"
            others = may_take_over(self.q, n) if finger and n not in was.seconds else ()
            kept = (string, 0, 0) if natural else (string, fret, finger)
            taken_over = [(string, fret, other) for other in others if other != finger]
            choices.append([(n, at) for at in (*taken_over, None, kept)])
        for chosen in product(*choices):
            yield {n: at for n, at in chosen if at is not None}

    def _fingers(self, k: int, sounding: dict) -> Iterator[dict]:
        """Barres and bound fingers."""
        frets = {fret for _, fret, finger in sounding.values() if finger == 1}
        barres: list[tuple] = [(None, None)]
        for fret, (thin, thick) in product(frets, combinations(sorted(self.q.instrument.open), 2)):
            barres += [((fret, thin, thick), hinge) for hinge in (None, "thin", "thick")]
        for (barre, hinge), bound in product(barres, list(self._bound(k, sounding))):
            fingers = {"sounding": sounding, "barre": barre, "hinge": hinge, "bound": bound}
            if not OF_FINGERS & set(against_posture(self._laid(k, Posture(**fingers)))):
                yield fingers

    def _bound(self, k: int, sounding: dict) -> Iterator[dict]:
        """Every way in which none or some fingers are bound."""
        places = [
            (sounding[n][0], key - self.q.instrument.open[sounding[n][0]])
            for n in self.q.struck[k]
            if n in sounding
            for key in self.q.sounds[n].auxiliaries
        ]
        places = [place for place in places if place[1] > 0]
        for count in range(len(places) + 1):
            for chosen in combinations(places, count):
                for fingers in product(FINGERS, repeat=count):
                    if len(set(fingers)) == count:
                        yield dict(zip(fingers, chosen, strict=True))

    def _staying(self, was: Laid | None, laid: Laid) -> Iterator[dict]:
        candidates: set[tuple[int, Place]] = set()
        for finger, places in was.resting().items() if was else ():
            candidates |= {(finger, place) for place in places}
        for string, fret in product(self.q.instrument.open, range(1, self.q.instrument.frets + 1)):
            if prepared(laid, (string, fret)):
                candidates |= {(finger, (string, fret)) for finger in FINGERS}
        free = sorted(one for one in candidates if one[0] not in laid.down)
        for count in range(3):
            for chosen in combinations(free, count):
                if len(dict(chosen)) == count:
                    yield dict(chosen)

    def _standing(self, was: Laid | None, fingers: dict) -> Iterator[dict]:
        frets = [fret for _, fret, finger in fingers["sounding"].values() if finger]
        frets += [fret for _, fret in fingers["bound"].values()]
        if not frets:
            yield {"position": was.position if was else None}
            return
        # P7: no finger is farther than that from the place of the hand.
        for q in range(max(1, max(frets) - 7), min(frets) + 4):
            for d in (0, 2, 3, 4):
                if 1 <= q - d <= 24:
                    yield {"position": q - d, "away": d}


def _frozen(posture: Posture):
    return (
        frozenset(posture.sounding.items()),
        posture.position,
        posture.away,
        posture.barre,
        posture.hinge,
        frozenset(posture.staying.items()),
        frozenset(posture.bound.items()),
    )


def cheaper(question: Question, price: Price, most: int) -> Enumeration:
    """Looks for any fingering below a price.

    Raises `TooMany` if more postures than so many have to be looked at."""
    return Enumeration(question, price, most)

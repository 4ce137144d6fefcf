"""The constraints and the bill against each other on tiny questions, drawn with a
seed: the optimum against every fingering there is, and any fingerings, lawful
or not, against both.
"""

import random
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest
from left_hand_exhaustive import Enumeration, TooMany, cheaper
from left_hand_fingering import Laid, Posture
from left_hand_model import Model
from left_hand_price import Bill, Forbidden
from left_hand_puzzles import puzzle
from left_hand_question import Question
from left_hand_rules import FINGERS

PUZZLES = range(40)
# Puzzles with more postures than so many are passed over; about one in three.
MOST = 40_000
# Fingerings are drawn from so many postures at each layer.
FIRST = 3_000
SECONDS = 60
# Fingerings drawn for each puzzle, and those that are then changed.
DRAWN, CHANGED = 4, 4


@cache
def asked(seed: int) -> Question:
    return puzzle(seed)


def test_no_fingering_is_cheaper_than_the_optimum():
    counts = []
    for seed in PUZZLES:
        answer = Model(asked(seed)).solve(SECONDS)
        assert Bill(asked(seed), answer.postures).price == answer.price, seed
        try:
            every = cheaper(asked(seed), answer.price, MOST)
        except TooMany:
            continue
        assert every.found is None, seed
        counts.append(every.count)
    assert len(counts) > 0.5 * len(PUZZLES)
    # Else there was nothing to choose from.
    assert sum(count > 1000 for count in counts) > 0.5 * len(counts)


class Drawn(Enumeration):
    """Fingerings drawn from all that may be."""

    def __init__(self, question: Question, draw: random.Random):
        self.q, self.draw, self.best, self._most = question, draw, (99, 999, 99_999), FIRST

    def fingering(self) -> list[Posture]:
        """Postures with something special in them are drawn more often."""
        before: list[Laid] = []
        for _ in self.q.layers:
            self.count = 0
            may_be = []
            try:
                may_be.extend(self._next(before, (0, 0, 0)))
            except TooMany:
                pass
            weights = [1 + 40 * len(_special(laid)) for laid in may_be]
            before.append(self.draw.choices(may_be, weights)[0])
        return [laid.posture for laid in before]


def _special(laid: Laid) -> list[str]:
    posture = laid.posture
    found = {
        "hinge": posture.hinge,
        "barre": posture.barre,
        "away": posture.away,
        "staying": posture.staying,
        "bound": posture.bound,
        "touched": laid.touches,
        "kept": laid.kept,
        "idle": laid.idle and laid.position,
        "second": laid.seconds,
    }
    return [name for name, there in found.items() if there]


def test_any_fingering_costs_the_same_by_bill_and_by_constraints():
    seen, terms = Counter(), Counter()
    for seed in PUZZLES:
        draw = random.Random(seed)
        model = Model(asked(seed))
        for _ in range(DRAWN):
            postures = Drawn(asked(seed), draw).fingering()
            bill = Bill(asked(seed), postures)
            assert model.price_of(postures, SECONDS) == bill.price, (seed, postures)
            for k, posture in enumerate(postures):
                seen.update(_special(Laid(asked(seed), k, posture)))
            terms.update({term for term, _ in bill.items})
    assert len(seen) == 8 and min(seen.values()) >= 3, seen
    assert len(terms) >= 30, sorted(terms)


def test_what_the_rules_refuse_the_constraints_refuse():
    refused, rules = 0, Counter()
    for seed in PUZZLES:
        draw = random.Random(seed)
        model = Model(asked(seed))
        postures = Drawn(asked(seed), draw).fingering()
        for _ in range(CHANGED):
            k = draw.randrange(len(postures))
            changed = list(postures)
            changed[k] = _changed(asked(seed), k, postures, draw)
            try:
                price = Bill(asked(seed), changed).price
            except Forbidden as forbidden:
                refused += 1
                rules.update({name for name, _ in forbidden.args[0]})
                price = None
            assert model.price_of(changed, SECONDS) == price, (seed, changed)
    assert refused > len(PUZZLES)
    assert len(rules) >= 14, rules


def _changed(question: Question, k: int, postures: list[Posture], draw) -> Posture:
    """One thing otherwise in a posture."""
    posture = postures[k]
    strings = sorted(question.instrument.open)
    place = draw.choice(strings), draw.randrange(1, question.instrument.frets + 1)
    sounding = dict(posture.sounding)
    kind = draw.choice(("position", "away", "barre", "hinge", "staying", "bound", "finger", "kept"))
    if kind == "position":
        return replace(posture, position=draw.choice((None, *range(1, 8))))
    if kind == "away":
        return replace(posture, away=draw.choice((0, 2, 3, 4)))
    if kind == "barre":
        barre = (draw.randrange(1, 4), draw.choice(strings), draw.choice(strings))
        return replace(posture, barre=draw.choice((None, barre)), hinge=None)
    if kind == "hinge":
        return replace(posture, hinge=draw.choice((None, "thin", "thick")))
    if kind == "staying":
        return replace(posture, staying=posture.staying | {draw.choice(FINGERS): place})
    if kind == "bound":
        return replace(posture, bound=draw.choice(({}, {draw.choice(FINGERS): place})))
    if kind == "finger" and sounding:
        n = draw.choice(sorted(sounding))
        sounding[n] = (*sounding[n][:2], draw.choice((0, *FINGERS)))
    if kind == "kept" and k:
        for n, at in postures[k - 1].sounding.items():
            if draw.randrange(2):
                sounding[n] = at
            else:
                sounding.pop(n, None)
    return replace(posture, sounding=sounding)


@pytest.mark.parametrize("seed", [3, 14, 15])
def test_a_wrong_price_would_be_seen(seed):
    """The enumeration finds the optimum itself when it may be found."""
    price = Model(asked(seed)).solve(SECONDS).price
    above = (*price[:2], price[2] + 1)
    every = cheaper(asked(seed), above, MOST)
    assert every.found is not None and every.best == price

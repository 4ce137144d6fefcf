"""Compares the program's optimum with that of an outside solver on excerpts of
real music.

    cargo build -p apoyando
    .venv/bin/python checks/optimum.py target/debug/apoyando

takes 108 excerpts, one after the other on each core. `--count` and `--seed` take
others, `--workers` so many cores, and `--seconds` gives each step of the solver
so long. With `--adorned` there are ornaments, slurs, harmonics and repeats in
them. Each line says what both found; the last one how many agree, and the
command ends with 1 if not all do.
"""

import argparse
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import short_excerpts
from command import dearer_by_likeness
from left_hand_fingering import said
from left_hand_listed import Listed
from left_hand_model import Model, Unsolved
from left_hand_price import Bill, Forbidden
from left_hand_question import Question

SEED = 20261
COUNT = 108
SECONDS = 1800

Price = tuple[int, int, int]


@dataclass
class Comparison:
    """What was found for one excerpt; prices are escapes, broken, effort."""

    name: str
    onsets: int
    sounds: int
    # Of the program: before like bars were fingered alike, and as it is.
    best: Price
    ours: Price
    # None if no optimum was proven in time.
    outside: Price | None = None
    # Price of each fingering, worked out in plain Python; the rules it breaks
    # if it is one for no hand.
    bill_of_ours: Price | list | None = None
    bill_of_outside: Price | list | None = None
    # What is itemised otherwise, by term and layer; what is listed otherwise.
    items: dict = field(default_factory=dict)
    lists: list[str] = field(default_factory=list)
    # What the outside solver took.
    seconds: float = 0.0

    @property
    def agrees(self) -> bool:
        proven = self.outside == self.best and self.bill_of_outside == self.best
        return proven and self.bill_of_ours == self.ours and not self.items and not self.lists

    def __str__(self) -> str:
        verdict = "agree" if self.agrees else "DIFFER"
        if self.outside is None:
            verdict = "NOT PROVEN"
        line = f"{verdict} {self.ours} {self.onsets} onsets {self.sounds} sounds"
        line += f" {self.seconds:.0f} s: {self.name}"
        if not self.agrees:
            line += f"; outside {self.outside}, bill of ours {self.bill_of_ours}"
            line += f", of outside {self.bill_of_outside}, itemised otherwise {self.items}"
            line += f", listed otherwise {self.lists}"
        return line


def bill_of(question: Question, part: dict) -> Bill:
    """What the program's fingering costs."""
    return Bill(question, said(question, part))


def compare(name: str, piece: dict, part: dict, seconds: float = SECONDS) -> Comparison:
    """One part solved again and priced again."""
    question = Question(piece, part)
    escapes, broken, effort = (part["price"][what] for what in ("escapes", "broken", "effort"))
    comparison = Comparison(
        name=name,
        onsets=len(question.layers),
        sounds=len(question.sounds),
        best=(escapes, broken, effort - dearer_by_likeness(part)),
        ours=(escapes, broken, effort),
    )
    try:
        bill = bill_of(question, part)
    except Forbidden as forbidden:
        comparison.bill_of_ours = forbidden.args[0]
    else:
        comparison.bill_of_ours = bill.price
        comparison.items = otherwise(question, part, bill)
    comparison.lists = Listed(question, said(question, part)).differences(part)
    begun = time.monotonic()
    try:
        answer = Model(question).solve(seconds, begin=said(question, part))
    except Unsolved:
        return comparison
    finally:
        comparison.seconds = time.monotonic() - begun
    comparison.outside = answer.price
    try:
        comparison.bill_of_outside = Bill(question, answer.postures).price
    except Forbidden as forbidden:
        comparison.bill_of_outside = forbidden.args[0]
    return comparison


def otherwise(question: Question, part: dict, bill: Bill) -> dict:
    """Items of the program and of the bill that are not the same."""
    ours = Counter()
    for item in part["effort"]:
        ours[item["term"], question.layer_at(item["at"])] += item["amount"]
    both = {at: (ours[at], bill.items[at]) for at in {*ours, *bill.items}}
    return {at: amounts for at, amounts in both.items() if amounts[0] != amounts[1]}


def every(apoyando: str, cases: list[short_excerpts.Case], seconds=SECONDS, workers=None):
    """Compares excerpts on so many cores, or on all, in order."""
    with ProcessPoolExecutor(workers) as pool:
        found = [
            pool.submit(compare, case.name, *case.answer(apoyando), seconds) for case in cases
        ]
        for one in found:
            yield one.result()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("apoyando", help="the command under test")
    parser.add_argument("--count", type=int, default=COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--adorned", action="store_true")
    parser.add_argument("--seconds", type=float, default=SECONDS)
    parser.add_argument("--workers", type=int)
    typed = parser.parse_args()
    agree = total = 0
    with tempfile.TemporaryDirectory() as folder:
        cases = short_excerpts.cases(
            typed.apoyando, Path(folder), typed.count, typed.seed, plain=not typed.adorned
        )
        for comparison in every(typed.apoyando, cases, typed.seconds, typed.workers):
            print(comparison, flush=True)
            total += 1
            agree += comparison.agrees
    print(f"{agree} of {total} agree")
    return 0 if agree == total else 1


if __name__ == "__main__":
    sys.exit(main())

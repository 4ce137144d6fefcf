"""Compares the program's optimum with that of an outside solver on excerpts of
real music.

    cargo build -p apoyando
    .venv/bin/python checks/optimum.py target/debug/apoyando

takes 72 excerpts, one after the other on each core. `--count` and `--seed` take
others. Each line says what both found; the last one how many agree, and the
command ends with 1 if not all do.
"""

import argparse
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import short_excerpts
from left_hand_model import Model, Unsolved
from left_hand_price import Bill, Played, Posture, played
from left_hand_question import Question

SEED = 20261
COUNT = 72
SECONDS = 900


@dataclass
class Comparison:
    """What was found for one excerpt; prices are escapes, broken, effort."""

    name: str
    onsets: int
    sounds: int
    ours: tuple[int, int, int]
    # None if no optimum was proven in time.
    outside: tuple[int, int, int] | None
    # Price of each fingering, worked out in plain Python.
    bill_of_ours: tuple[int, int, int] | None = None
    bill_of_outside: tuple[int, int, int] | None = None
    # What is itemised otherwise: term, layer, amount.
    items: dict | None = None
    barres: int = 0

    @property
    def agrees(self) -> bool:
        every = {self.ours, self.outside, self.bill_of_ours, self.bill_of_outside}
        return len(every) == 1 and not self.items

    def __str__(self) -> str:
        verdict = "agree" if self.agrees else "DIFFER"
        line = f"{verdict} {self.ours} {self.onsets} onsets {self.sounds} sounds: {self.name}"
        if not self.agrees:
            line += f"; outside {self.outside}, bill of ours {self.bill_of_ours}"
            line += f", of outside {self.bill_of_outside}, itemised otherwise {self.items}"
        return line


def bill_of(question: Question, part: dict) -> Bill:
    """What the program's fingering costs."""
    return Bill(question, played(question, part))


def compare(name: str, piece: dict, part: dict, seconds: float = SECONDS) -> Comparison:
    """One part solved again and priced again."""
    question = Question(piece, part)
    ours = tuple(part["price"][level] for level in ("escapes", "broken", "effort"))
    said = Counter()
    for item in part["effort"]:
        said[item["term"], question.layer_at(item["at"])] += item["amount"]
    bill = bill_of(question, part)
    items = {at: (said[at], bill.items[at]) for at in said | bill.items}
    comparison = Comparison(
        name=name,
        onsets=len(question.layers),
        sounds=len(question.sounds),
        ours=ours,
        outside=None,
        bill_of_ours=(bill.escapes, bill.broken, bill.effort),
        items={at: both for at, both in items.items() if both[0] != both[1]},
        barres=len(part["barres"]),
    )
    try:
        answer = Model(question).solve(seconds)
    except Unsolved:
        return comparison
    comparison.outside = answer.escapes, answer.broken, answer.effort
    postures = [Posture(*posture) for posture in answer.postures]
    bill = Bill(question, Played(answer.placed, postures))
    comparison.bill_of_outside = bill.escapes, bill.broken, bill.effort
    return comparison


def every(apoyando: str, folder: Path, count: int, seed: int):
    """Compares so many excerpts on all cores, in order."""
    cases = short_excerpts.cases(apoyando, folder, count, seed)
    with ProcessPoolExecutor() as pool:
        found = [pool.submit(compare, case.name, *case.answer(apoyando)) for case in cases]
        for one in found:
            yield one.result()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("apoyando", help="the command under test")
    parser.add_argument("--count", type=int, default=COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    typed = parser.parse_args()
    agree = total = 0
    with tempfile.TemporaryDirectory() as folder:
        for comparison in every(typed.apoyando, Path(folder), typed.count, typed.seed):
            print(comparison, flush=True)
            total += 1
            agree += comparison.agrees
    print(f"{agree} of {total} agree")
    return 0 if agree == total else 1


if __name__ == "__main__":
    sys.exit(main())

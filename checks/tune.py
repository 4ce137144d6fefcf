"""Seeks the table of effort that the handbook asks for.

Every row of the handbook is an inequality on the table: the best fingering that
is accepted costs less than the best one that is not. What a fingering costs is,
rounding apart, the sum of the terms' values times how often each is charged, so
the rows are linear in the values, the percentages staying as they are. Which
fingerings matter is not known beforehand: a table is sought that fits those
known so far, the search is run with it, and what it finds is added, until no
row that was promised is broken (cutting planes). Rows with odd numbers are
tuned on; the others only tell what the tuning is worth.

    cargo build -p apoyando-hands --example handbook
    .venv/bin/python checks/tune.py target/debug/examples/handbook

`--set ease_guide=50` changes a value beforehand, a percentage for instance;
`--keep extension,shift` lets terms stay as they are; `--worth 3` says how many
hundredths of change in the values a row is worth (else a row outweighs all);
`--must 9,149` names rows that must pass.
"""

import argparse
import json
import subprocess
from collections import defaultdict

from ortools.sat.python import cp_model

# Counts are in thousandths; a row asks for a difference of one whole unit.
UNIT = 1000


class Hands:
    """The search, asked line by line."""

    def __init__(self, program: str):
        self.process = subprocess.Popen(
            [program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def ask(self, effort: dict, rows: list[int] | None = None) -> dict:
        print(json.dumps({"effort": effort, "rows": rows}), file=self.process.stdin, flush=True)
        line = self.process.stdout.readline()
        if not line:
            raise SystemExit("the search has ended; is something wrong with the table?")
        return json.loads(line)


class Known:
    """The fingerings found so far, as counts of terms, row by row."""

    def __init__(self):
        self.inside, self.outside = defaultdict(list), defaultdict(list)
        self.forbidden = set()

    def learn(self, row: dict) -> bool:
        """Adds what a row shows; says whether any of it is new."""
        number, fresh = row["number"], False
        if not row["inside"]:
            self.forbidden.add(number)
        for counts in row["inside"]:
            if counts not in self.inside[number]:
                self.inside[number].append(counts)
                fresh = True
        if row["outside"] is not None and row["outside"] not in self.outside[number]:
            self.outside[number].append(row["outside"])
            fresh = True
        return fresh


class Tuner:
    def __init__(self, hands: Hands, start: dict, keep: set[str], worth: int | None):
        self.hands, self.start, self.known = hands, start, Known()
        used = {"ease", "cut_tail", "ease_guide", "ease_pivot", "ease_open", "ease_rest"} | keep
        self.terms = [t for t in start if t not in used and not t.startswith("rh_")]
        self.worth = worth

    def fitted(self, rows: list[int], forced: set[int]):
        """The table nearest to the first one that fits as many rows as can be,
        the forced ones among them, and the rows it promises."""
        model = cp_model.CpModel()
        value, changes = {}, []
        for term in self.start:
            now = self.start[term]
            if term not in self.terms:
                value[term] = now
                continue
            # A term stays a term, and of its own order of magnitude.
            low, high = max(1, -(-now // 4)), 4 * now + 4
            value[term] = model.new_int_var(low, high, term)
            change = model.new_int_var(0, high, f"change of {term}")
            model.add(change >= value[term] - now)
            model.add(change >= now - value[term])
            changes.append(change * max(1, 100 // max(now, 1)))
        promised = {}
        for row in rows:
            promised[row] = model.new_bool_var(f"row {row}")
            ways = []
            for inside in self.known.inside[row]:
                way = model.new_bool_var(f"row {row} so")
                ways.append(way)
                for outside in self.known.outside[row]:
                    terms = set(inside) | set(outside)
                    more = {t: outside.get(t, 0) - inside.get(t, 0) for t in terms}
                    left = sum(value[t] * n for t, n in more.items() if n)
                    model.add(left >= UNIT).only_enforce_if(way)
            model.add_bool_or([*ways, ~promised[row]])
            if row in forced:
                model.add(promised[row] == 1)
        worth = self.worth or 100_000
        model.maximize(worth * sum(promised.values()) - sum(changes))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = 20
        solver.parameters.random_seed = 1
        status = solver.solve(model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        table = {t: v if isinstance(v, int) else solver.value(v) for t, v in value.items()}
        return table, {row for row in rows if solver.value(promised[row])}

    def seek(self, rows: list[int], forced: set[int], rounds: int, say=None):
        """Cutting planes: the best table met, and the rows it truly passes."""
        best = None
        for turn in range(rounds):
            found = self.fitted(rows, forced)
            if found is None:
                return best if forced <= (best or ({}, set()))[1] else None
            table, promised = found
            answer = self.hands.ask(table, rows)
            passed = {row["number"] for row in answer["rows"] if row["held"]}
            fresh = [self.known.learn(row) for row in answer["rows"]]
            if forced <= passed and (best is None or len(passed) > len(best[1])):
                best = table, passed
            if say:
                say(f"round {turn + 1}: {len(promised)} promised, {len(passed)} kept")
            if promised <= passed or not any(fresh):
                break
        return best


def rates(answer: dict) -> str:
    words = []
    for half in ("tune", "report"):
        own = [row for row in answer["rows"] if row["half"] == half]
        words.append(f"{half} {sum(row['passes'] for row in own)} of {len(own)}")
    return ", ".join(words)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program", help="the example handbook, built")
    parser.add_argument("--set", action="append", default=[], metavar="TERM=VALUE")
    parser.add_argument("--scale", type=int, default=1, help="multiply all amounts first")
    parser.add_argument("--keep", default="", metavar="TERM,...")
    parser.add_argument("--worth", type=int)
    parser.add_argument("--must", default="", metavar="ROW,...")
    parser.add_argument("--rounds", type=int, default=40)
    parser.add_argument("--no-contradictions", action="store_true")
    given = parser.parse_args()

    hands = Hands(given.program)
    before = hands.ask({})
    print(f"before: {rates(before)}")
    start = dict(before["effort"])
    for term in start:
        if not term.startswith(("ease", "rh_", "cut_tail")):
            start[term] *= given.scale
    for change in given.set:
        term, value = change.split("=")
        start[term] = int(value)
    keep = {term for term in given.keep.split(",") if term}
    tuner = Tuner(hands, start, keep, given.worth)
    tuned_on = [r["number"] for r in before["rows"] if r["half"] == "tune" and r["left"]]
    names = {row["number"]: row["name"] for row in before["rows"]}
    for row in hands.ask(start)["rows"]:
        if row["number"] in tuned_on:
            tuner.known.learn(row)
    must = {int(number) for number in given.must.split(",") if number}
    best = tuner.seek(tuned_on, must, given.rounds, say=print)
    if best is None:
        raise SystemExit("no table was found")
    table, passed = best
    after = hands.ask(table)
    print(f"after:  {rates(after)}")
    for term in start:
        was = before["effort"][term]
        if table[term] != was:
            print(f"  {term} {was} -> {table[term]}")
    was = {row["number"] for row in before["rows"] if row["passes"]}
    now = {row["number"] for row in after["rows"] if row["passes"]}
    print("gained:", *sorted(now - was))
    print("lost:  ", *sorted(was - now))
    if given.no_contradictions:
        return
    print("rows that no table near this one satisfies together:")
    for row in tuned_on:
        if row in passed:
            continue
        if row in tuner.known.forbidden:
            print(f"  {row} {names[row]}: the model forbids it")
        elif tuner.seek([row], {row}, 25) is None:
            print(f"  {row} {names[row]}: no values at all, not even for it alone")
        else:
            other = tuner.seek(tuned_on, {row}, 8)
            if other is None:
                print(f"  {row} {names[row]}: against the others")
                continue
            against = sorted(passed - other[1])
            print(f"  {row} {names[row]}: against {', '.join(map(str, against)) or 'none alone'}")


if __name__ == "__main__":
    main()

"""How much faster the search is than outside solvers on the same graph, in one
run on the same excerpts: OR-Tools' min-cost flow, and CP-SAT with the graph as
a network flow.

    cargo build --release -p apoyando-workshop --example network
    .venv/bin/python checks/network_flow.py target/release/examples/network

Time of the search is that of the left hand from the score on;
time of the solvers is that of solving alone, the graph being built already. All
must find the same effort; the command ends with 1 if they do not, or if a ratio
falls short.
"""

import argparse
import random
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import material
import numpy
import short_excerpts
from ortools.graph.python import min_cost_flow
from ortools.sat.python import cp_model

SEED = 20262
# Onsets, and how many times faster than min-cost flow and CP-SAT.
WANTED = ((range(16, 17), 5, 1_000), (range(32, 37), 10, 10_000))
SECONDS = 600


@dataclass
class Network:
    """Nodes by layer, arcs as rows from, to, cost; what the search found."""

    nanoseconds: int
    effort: int
    layers: list[int]
    arcs: numpy.ndarray


def network(program: str, path: Path) -> Network:
    """The graph with a source before the first layer and a sink after the
    last."""
    run = subprocess.run([program, str(path)], capture_output=True, text=True, check=True)
    times, layers, first, *moves = run.stdout.splitlines()
    nanoseconds, effort = map(int, times.split())
    layers = list(map(int, layers.split()))
    nodes = sum(layers)
    arcs = [(nodes, *map(int, begin.split(":"))) for begin in first.split()]
    arcs += [tuple(map(int, move.split())) for move in moves]
    arcs += [(node, nodes + 1, 0) for node in range(nodes - layers[-1], nodes)]
    return Network(nanoseconds, effort, layers, numpy.array(arcs))


def by_min_cost_flow(graph: Network) -> tuple[int, float]:
    """Least effort and seconds."""
    flow = min_cost_flow.SimpleMinCostFlow()
    source, sink = sum(graph.layers), sum(graph.layers) + 1
    tails, heads, costs = graph.arcs.T
    flow.add_arcs_with_capacity_and_unit_cost(tails, heads, numpy.ones_like(costs), costs)
    flow.set_node_supply(source, 1)
    flow.set_node_supply(sink, -1)
    start = time.perf_counter()
    status = flow.solve()
    seconds = time.perf_counter() - start
    assert status == flow.OPTIMAL, status
    return flow.optimal_cost(), seconds


def by_cp_sat(graph: Network) -> tuple[int | None, float]:
    """Least effort, none if it is not proven in time, and seconds."""
    model = cp_model.CpModel()
    source, sink = sum(graph.layers), sum(graph.layers) + 1
    out = [[] for _ in range(sink + 1)]
    into = [[] for _ in range(sink + 1)]
    variables = []
    for tail, head, _ in graph.arcs.tolist():
        variable = model.new_bool_var("")
        variables.append(variable)
        out[tail].append(variable)
        into[head].append(variable)
    model.add_exactly_one(out[source])
    model.add_exactly_one(into[sink])
    for node in range(source):
        model.add(sum(into[node]) == sum(out[node]))
    model.minimize(cp_model.LinearExpr.weighted_sum(variables, graph.arcs[:, 2].tolist()))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = SECONDS
    # As the search, which uses one core.
    solver.parameters.num_workers = 1
    start = time.perf_counter()
    status = solver.solve(model)
    seconds = time.perf_counter() - start
    proven = status == cp_model.OPTIMAL
    return (round(solver.objective_value) if proven else None), seconds


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("network", help="the example that writes out graphs")
    parser.add_argument("--without-cp-sat", action="store_true")
    typed = parser.parse_args()
    draw = random.Random(SEED)
    drawn = (
        material.every_tune(),
        draw.sample(material.every_chorale(), material.CHORALES),
    )
    good = True
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "excerpt.musicxml"
        for onsets, than_flow, than_cp_sat in WANTED:
            for voices in (1, 2, 3):
                while not short_excerpts.excerpt(draw, path, voices, onsets, drawn):
                    pass
                graph = network(typed.network, path)
                ours = graph.nanoseconds / 1e9
                found, seconds = by_min_cost_flow(graph)
                good &= found == graph.effort and seconds / ours >= than_flow
                line = f"{len(graph.layers)} onsets, {voices} voices, {len(graph.arcs)} arcs:"
                line += f" search {ours * 1e3:.3f} ms, effort {graph.effort};"
                line += f" min-cost flow {seconds / ours:.0f} times (at least {than_flow}),"
                line += f" effort {found}"
                if not typed.without_cp_sat:
                    found, seconds = by_cp_sat(graph)
                    good &= found in (graph.effort, None) and seconds / ours >= than_cp_sat
                    line += f"; CP-SAT {seconds / ours:.0f} times (at least {than_cp_sat}),"
                    line += f" effort {found if found is not None else 'not proven in time'}"
                print(line, flush=True)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())

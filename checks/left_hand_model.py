"""The left hand as a declarative model, written from docs/model.md alone, for an
outside solver. The three levels of the price are minimised in turn.
"""

from dataclasses import dataclass

from left_hand_fingering import Posture
from left_hand_given import fix, hint
from left_hand_joins import JoiningHand
from left_hand_lawful import LawfulHand
from left_hand_physics import FINGERS
from ortools.sat.python import cp_model


@dataclass
class Answer:
    """The proven price, and one fingering of this price."""

    escapes: int
    broken: int
    effort: int
    postures: list[Posture]

    @property
    def price(self) -> tuple[int, int, int]:
        return self.escapes, self.broken, self.effort


class Unsolved(Exception):
    """The solver did not prove an optimum in time, or that there is none."""

    def __init__(self, status: str, impossible: bool):
        super().__init__(status)
        self.impossible = impossible


class Model(JoiningHand):
    """One question, ready to be solved."""

    def solve(self, seconds: float, begin: list[Posture] | None = None) -> Answer:
        """What is left out and what is broken is known without the effort,
        which then is the least that there is with as little of both. The search
        may begin at a fingering.

        Raises `Unsolved` if one of them is not proven in so many seconds."""
        lawful = LawfulHand(self.q)
        if begin is not None:
            hint(lawful, [*lawful.out, *lawful.broken], begin)
            hint(self, self.effort, begin)
        best = []
        for level, same in ((lawful.out, self.out), (lawful.broken, self.broken)):
            lawful.m.minimize(sum(level))
            best.append(round(self._solved(lawful.m, seconds).objective_value))
            lawful.m.add(sum(level) == best[-1])
            self.m.add(sum(same) == best[-1])
        self.m.minimize(sum(self.effort))
        solver = self._solved(self.m, seconds)
        best.append(round(solver.objective_value))
        return Answer(*best, postures=self._postures(solver))

    def price_of(self, postures: list[Posture], seconds: float) -> tuple[int, int, int] | None:
        """The price of one fingering by the constraints alone; none if they
        forbid it."""
        fixed = self.m.clone()
        if not fix(self, fixed, postures):
            return None
        levels = [sum(self.out), sum(self.broken), sum(self.effort)]
        fixed.minimize(levels[1] + levels[2])
        try:
            solver = self._solved(fixed, seconds)
        except Unsolved as unsolved:
            if unsolved.impossible:
                return None
            raise
        return tuple(solver.value(level) for level in levels)

    @staticmethod
    def _solved(model, seconds: float):
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        # One thread, so that a run can be repeated; with all constraints in the
        # linear relaxation, which proves these optima soonest.
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        status = solver.solve(model)
        if status != cp_model.OPTIMAL:
            raise Unsolved(solver.status_name(status), status == cp_model.INFEASIBLE)
        return solver

    def _postures(self, solver) -> list[Posture]:
        return [self._posture(solver, k) for k in self.layers]

    def _posture(self, solver, k: int) -> Posture:
        def chosen(variables: dict):
            return [at for at, var in variables.items() if solver.value(var)]

        sounding = {n: at for n in self.q.alive(k) for at in chosen(self.act[n, k])}
        stands, barres = chosen(self.stands[k]), chosen(self.barres[k])
        p, d = stands[0] if stands else (None, 0)
        fret, thin, thick, hinge, _ = barres[0] if barres else (None,) * 5
        return Posture(
            sounding=sounding,
            position=p,
            away=d,
            barre=(fret, thin, thick) if barres else None,
            hinge=hinge,
            staying=self._resting(solver, self.stays, k),
            bound=self._resting(solver, self.bound, k),
        )

    @staticmethod
    def _resting(solver, kind: dict, k: int) -> dict:
        return {
            finger: at
            for finger in FINGERS
            for at, literals in kind[k, finger].items()
            if any(solver.value(one) for one in literals)
        }

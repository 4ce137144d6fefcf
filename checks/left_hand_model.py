"""The left hand as a declarative model, written from docs/model.md alone, for an
outside solver. The three levels of the price are minimised in turn.
"""

from dataclasses import dataclass

from left_hand_moves import MovingHand
from ortools.sat.python import cp_model


@dataclass
class Answer:
    """The proven price, and one fingering of this price."""

    escapes: int
    broken: int
    effort: int
    placed: dict
    postures: list


class Unsolved(Exception):
    """The solver did not prove an optimum in time."""


class Model(MovingHand):
    """One question, ready to be solved."""

    def solve(self, seconds: float) -> Answer:
        """The three levels of the price in turn; mostly nothing has to be left
        out or broken, and this is asked first.

        Raises `Unsolved` if one of them is not proven in so many seconds."""
        levels = [sum(self.out), sum(self.broken), sum(self.effort)]
        clean = self.m.clone()
        for level in levels[:2]:
            clean.add(level == 0)
        clean.minimize(levels[2])
        solver, status = self._solved(clean, seconds)
        if status == cp_model.OPTIMAL:
            best = [0, 0, round(solver.objective_value)]
        elif status == cp_model.INFEASIBLE:
            best = []
            for level in levels:
                self.m.minimize(level)
                solver, status = self._solved(self.m, seconds)
                if status != cp_model.OPTIMAL:
                    break
                best.append(round(solver.objective_value))
                self.m.add(level == best[-1])
        if status != cp_model.OPTIMAL:
            raise Unsolved(solver.status_name(status))
        return Answer(*best, placed=self._placed(solver), postures=self._postures(solver))

    @staticmethod
    def _solved(model, seconds: float):
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        # One thread, so that a run can be repeated; with all constraints in the
        # linear relaxation, which proves these optima soonest.
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        return solver, solver.solve(model)

    def _placed(self, solver) -> dict:
        """Place and finger of every sound that is not left out."""
        return {
            n: option
            for n, options in enumerate(self.place)
            for option, var in options.items()
            if solver.value(var)
        }

    def _postures(self, solver) -> list:
        """For every layer the sounds that sound, the position and the barre."""
        postures = []
        for k, _ in enumerate(self.q.layers):
            sounding = {n for n in self.q.alive(k) if solver.value(self.on[n, k])}
            [position] = [p for p, var in self.position[k].items() if solver.value(var)]
            barre = [at for at, var in self.barres[k].items() if solver.value(var)]
            postures.append((sounding, position or None, barre[0] if barre else None))
        return postures

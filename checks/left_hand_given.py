"""A given fingering put into the constraints: all of it said, or only hinted at."""

from left_hand_fingering import Posture
from left_hand_lawful import LawfulHand
from left_hand_physics import FINGERS
from ortools.sat.python import cp_model


def fix(hand: LawfulHand, model: cp_model.CpModel, postures: list[Posture]) -> bool:
    """Says in a model what a fingering is; false if there is no such thing in
    it."""
    for k, posture in enumerate(postures):
        wanted = []
        for n in hand.q.alive(k):
            options = hand.act[n, k]
            if n in posture.sounding:
                wanted.append(options.get(posture.sounding[n]))
            else:
                for var in options.values():
                    model.add(var == 0)
        if set(posture.sounding) - set(hand.q.alive(k)):
            return False
        if posture.away and posture.position is None or posture.hinge and not posture.barre:
            return False
        if posture.position is None:
            wanted.append(hand.unknown[k])
        else:
            wanted.append(hand.stands[k].get((posture.position, posture.away)))
        hinge = (*posture.barre, posture.hinge) if posture.barre else None
        lying = [var for at, var in hand.barres[k].items() if at[:4] == hinge]
        model.add(sum(hand.barres[k].values()) == (posture.barre is not None))
        if posture.barre:
            model.add(sum(lying) == 1)
        for kind, listed in ((hand.stays, posture.staying), (hand.bound, posture.bound)):
            for finger in FINGERS:
                for at, literals in kind[k, finger].items():
                    model.add(sum(literals) == (listed.get(finger) == at))
                if finger in listed and listed[finger] not in kind[k, finger]:
                    return False
        if any(var is None for var in wanted):
            return False
        for var in wanted:
            model.add(var == 1)
    return True


def hint(hand: LawfulHand, objective: list, postures: list[Posture]) -> None:
    """Where the solver may begin to look; it has to prove its optimum all the
    same."""
    fixed = hand.m.clone()
    if not fix(hand, fixed, postures):
        return
    fixed.minimize(sum(objective))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60
    if solver.solve(fixed) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return
    for index, value in enumerate(solver.response_proto.solution):
        hand.m.add_hint(hand.m.get_int_var_from_proto_index(index), value)

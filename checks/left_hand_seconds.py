"""Second fingers, in plain Python: M5 of docs/model.md, and what section 5 charges
for a change of finger or for one that is asked for and not made.
"""

from collections import Counter

from left_hand_fingering import Laid
from left_hand_question import Question


def taught(question: Question) -> bool:
    return question.level.get("substitution", False)


def may_take_over(question: Question, n: int) -> set[int]:
    """The fingers that may take a sound over; none if it is not for that."""
    sound = question.sounds[n]
    if not taught(question) or sound.kind != "plain" or sound.auxiliaries:
        return set()
    fingers = set(question.level["fingers"]) - {0}
    for pin in question.pins_on_seconds(n):
        fingers &= set(pin.allowed)
    return fingers


def changed(was: Laid, after: Laid) -> list[int]:
    """Sounds kept in their places by another finger than before."""
    found = []
    for n in after.kept:
        before, now = was.posture.sounding.get(n), after.posture.sounding[n]
        if before and before[:2] == now[:2] and before[2] and now[2] and before[2] != now[2]:
            found.append(n)
    return found


def follow(was: Laid | None, after: Laid) -> None:
    """Says of a posture which of its sounds have changed their finger up to it."""
    if was is not None:
        now = {n for n in was.seconds if n in after.kept} | set(changed(was, after))
        after.seconds = frozenset(now)


def taken_over_well(was: Laid | None, after: Laid) -> bool:
    """M5."""
    if was is None:
        return True
    found = changed(was, after)
    for n in found:
        before, now = was.posture.sounding[n][2], after.posture.sounding[n][2]
        if n in was.seconds or now not in may_take_over(after.q, n) or now in was.down:
            return False
        if (before == 1 and was.barre) or (now == 1 and after.barre):
            return False
    return len(found) <= 1


def second_items(was: Laid, after: Laid, items: Counter[str]) -> None:
    """`substitute`, `unchanged`."""
    q, k = after.q, after.k
    found = changed(was, after)
    items["substitute"] += q.effort["substitute"] * q.hurry(k - 1, k) * len(found)
    if not taught(q):
        return
    for n in was.posture.sounding:
        last = q.life(n)[-1]
        if not q.pins_on_seconds(n) or n in was.seconds or n in found or k > last:
            continue
        if n not in after.posture.sounding or k == last:
            items["unchanged"] += q.effort["unchanged"]

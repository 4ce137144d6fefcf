"""What a given fingering pays on its moves and seams: the second half of section
5 of docs/model.md in plain Python.
"""

from collections import Counter
from itertools import combinations

from left_hand_fingering import Laid
from left_hand_order import hurry
from left_hand_question import Question
from left_hand_seconds import second_items

EASE_MOST = 80


def move_items(before: list[Laid], after: Laid) -> Counter[str]:
    """What is charged on the move to a posture from the last of those before
    it."""
    q, was = after.q, before[-1]
    items: Counter[str] = Counter()
    pace = q.hurry(after.k - 1, after.k)
    _barre(was, after, items)
    on_one_fret(was.down, was.resting(), after, items)
    _melody(was, after, pace, items)
    _shift(before, after, items)
    _hop(was, after, pace, items)
    _fingers(was, after, pace, items)
    _leap(before, after, items)
    _exchange(before, after, items)
    _joins(was, after, items)
    _let_go(was, after, items)
    second_items(was, after, items)
    return items


def _barre(was: Laid, after: Laid, items: Counter[str]) -> None:
    """`barre_lay`, `barre_hold`, `hinge`."""
    value = after.q.effort
    if not after.barre:
        return
    fret = after.barre[0]
    same = was.barre is not None and was.barre[0] == fret
    there = {string for string, at in was.resting().get(1, ()) if at == fret}
    if same:
        there |= set(was.span)
    new = [string for string in after.span if string not in there]
    laid = len(new) - (len(new) == len(after.span))
    if was.barre is None and any(after.posture.sounding[n][2] == 1 for n in after.kept):
        # From its tip.
        laid += 1
    held = any(after.posture.sounding[n][2] > 1 for n in after.kept)
    items["barre_lay"] += value["barre_lay"] * laid * (2 if held else 1)
    paid = 1
    if same and after.q.one_bar(after.k - 1, after.k):
        paid = len(was.laid)
    items["barre_hold"] += value["barre_hold"] * max(0, len(after.laid) - paid)
    if same and was.hinge != after.hinge:
        items["hinge"] += value["hinge"]


def on_one_fret(down: dict, there: dict, after: Laid, items: Counter[str]) -> None:
    """`crossed`, `crowd` of fingers that come to one fret; where fingers were down
    before, and where they were down or stayed, is given."""
    value = after.q.effort

    def new(before: dict) -> set[int]:
        struck = after.strikes.items()
        return {finger for finger, places in struck if places - before.get(finger, set())}

    sounding, coming = new(down), new(there)
    for a, b in combinations(sorted(after.down), 2):
        (string_a, fret_a), (string_b, fret_b) = min(after.down[a]), min(after.down[b])
        if (a == 1 and after.barre) or fret_a != fret_b:
            continue
        if sounding & {a, b}:
            items["crossed"] += value["crossed"] * max(0, string_b - string_a)
        if coming & {a, b} and abs(string_a - string_b) == 1:
            items["crowd"] += value["crowd"]


def _melody(was: Laid, after: Laid, pace: int, items: Counter[str]) -> None:
    """`twice`, and `crossed` of two melody notes running."""
    value, running = after.q.effort, after.q.sung_on(after.k)
    if running is None:
        return
    sounding = was.posture.sounding, after.posture.sounding
    if any(n not in found or not found[n][2] for n, found in zip(running, sounding, strict=True)):
        return
    (from_, fret, first), (to, next_fret, second) = (
        found[n] for n, found in zip(running, sounding, strict=True)
    )
    if from_ == to:
        return
    if first == second:
        both, spans = {from_, to}, (laid.span for laid in (was, after))
        lies = first == 1 and fret == next_fret and any(both <= set(span) for span in spans)
        items["twice"] += 0 if lies else value["twice"] * pace
        return
    if (first == 1 and was.barre) or (second == 1 and after.barre):
        return
    if any(string == from_ for string, _ in after.down.get(first, ())):
        return
    # By finger: the frets have to rise, on one fret from the thick strings.
    low, high = sorted([(first, fret, -from_), (second, next_fret, -to)])
    if low[1:] > high[1:] and was.position == after.position and was.hand == after.hand:
        items["crossed"] += value["crossed"] * abs(from_ - to)


def _shift(before: list[Laid], after: Laid, items: Counter[str]) -> None:
    """`shift`, `travel`, `ease`."""
    q, was = after.q, before[-1]
    old, new = was.position, after.position
    if old is None or after.idle or old == new:
        return
    last = max(laid.k for laid in before if not laid.idle)
    ease = q.given_ease(after.k) + _led(was, after)
    if was.idle:
        ease += q.effort["ease_open"]
    _charge_shift(q, (old, new), q.hurry(last, after.k), ease, items)


def _charge_shift(q: Question, way, pace: int, ease: int, items: Counter[str]) -> None:
    value, x = q.effort, q.instrument.x
    shift = pace * value["shift"]
    travel = pace * (value["travel"] * abs(x(way[1]) - x(way[0])) // 100)
    items["shift"] += shift
    items["travel"] += travel
    items["ease"] -= (shift + travel) * min(ease, EASE_MOST) // 100


def _led(was: Laid, after: Laid) -> int:
    """`ease_guide` or `ease_pivot`, the larger of what applies."""
    value, eases = after.q.effort, [0]
    for finger, places in after.down.items():
        for string, fret in was.resting().get(finger, ()):
            if (string, fret) in places:
                eases.append(value["ease_pivot"])
            if any(s == string and at != fret for s, at in places):
                eases.append(value["ease_guide"])
    return max(eases)


def _hop(was: Laid, after: Laid, pace: int, items: Counter[str]) -> None:
    """`hop`, `hop_stay`."""
    value, x = after.q.effort, after.q.instrument.x
    if not after.away:
        return
    if was.away == after.away:
        items["hop_stay"] += value["hop_stay"]
    else:
        far = value["travel"] * abs(x(after.hand) - x(after.position)) // 100
        items["hop"] += pace * (value["hop"] + far)


def _fingers(was: Laid, after: Laid, pace: int, items: Counter[str]) -> None:
    """`land`, `jump`, `slide`, `lead_stay`, `replace`, `weak_pair`."""
    value, resting = after.q.effort, was.resting()
    few = len(after.q.struck[after.k]) < 3
    for finger, struck in after.strikes.items():
        strings = {string for string, _ in struck}
        lies = finger == 1 and any(was.lays_over(place) for place in struck)
        if few and not lies and not strings & {string for string, _ in resting.get(finger, ())}:
            items["land"] += value["land"] * pace
        if finger not in was.down or was.down[finger] & after.down[finger]:
            continue
        apart = not strings & {string for string, _ in was.down[finger]}
        if few and apart and not _spanned(was, after, finger):
            items["jump"] += value["jump"] * pace
            bass = after.posture.sounding.get(after.q.bass_note(after.k))
            items["jump_bass"] += value["jump_bass"] * pace if bass and bass[2] == finger else 0
        still = was.position == after.position and was.hand == after.hand
        if still and any(_slides(was, after, finger, n) for n in after.struck):
            items["slide"] += value["slide"] * pace
    still = was.position == after.position and was.hand == after.hand
    leads = after.hand is not None and after.hand > 1 and 1 in after.strikes
    if still and leads and after.offset(1, after.fret(1)) == 1:
        items["lead_stay"] += value["lead_stay"]
    down = {place for places in was.down.values() for place in places}
    for place in down:
        if any(_replaces(was, after, n, place) for n in after.struck):
            items["replace"] += value["replace"] * pace
            items["exchange"] += value["exchange"] if few and still else 0
    if len(was.struck) == len(after.struck) == 1:
        pair = [laid.posture.sounding[laid.struck[0]][2] for laid in (was, after)]
        if pair in ([3, 4], [4, 3]):
            items["weak_pair"] += value["weak_pair"] * pace


def _spanned(was: Laid, after: Laid, finger: int) -> bool:
    """Whether the frets are equal and a barre there spans one string of each."""
    left, right = was.down[finger], after.strikes[finger]
    for laid in (was, after):
        if finger == 1 and laid.barre:
            under = {(string, laid.barre[0]) for string in laid.span}
            if left & under and right & under:
                return True
    return False


def _slides(was: Laid, after: Laid, finger: int, n: int) -> bool:
    """Whether a struck sound is reached by its finger along a string that it
    is on; but not by a glissando from what the finger stops."""
    string, fret, striking = after.posture.sounding[n]
    if striking != finger:
        return False
    if not any(s == string and at != fret for s, at in was.down[finger]):
        return False
    joined = after.q.sounds[n].joined
    if joined is None or joined[1] != "glissando":
        return True
    return _stopping(was, joined[0]) != finger


def _stopping(laid: Laid, n: int) -> int:
    """The finger that stops a sound; 0 if none does."""
    if n not in laid.posture.sounding or laid.q.sounds[n].kind == "natural":
        return 0
    return laid.posture.sounding[n][2]


def _replaces(was: Laid, after: Laid, n: int, place: tuple[int, int]) -> bool:
    string, fret, finger = after.posture.sounding[n]
    there = [one for one, places in was.down.items() if place in places]
    return bool(finger) and (string, fret) == place and finger not in there


def _leap(before: list[Laid], after: Laid, items: Counter[str]) -> None:
    q, k = after.q, after.k
    if k < 2 or q.begins_anew(k - 1) or not q.lone(k - 2) or len(q.struck[k]) > 2:
        return
    earlier, was = before[-2], before[-1]
    pace = q.hurry(k - 2, k)
    if pace == 1 or not earlier.struck:
        return
    string, _, finger = earlier.posture.sounding[earlier.struck[0]]
    struck = after.strikes.get(finger, set())
    if not finger or finger in was.down or not struck:
        return
    if all(s != string for s, _ in struck):
        items["leap"] += q.effort["leap"] * (pace - 1)


def _exchange(before: list[Laid], after: Laid, items: Counter[str]) -> None:
    q, k = after.q, after.k
    first = q.returns().get(k)
    if first is None:
        return
    was = before[first].posture.sounding.get(q.melody_note(first))
    now = after.posture.sounding.get(q.melody_note(k))
    if was is None or now is None or was[:2] != now[:2] or was[2] == now[2]:
        return
    place, finger = was[:2], was[2]
    since = [laid.down.get(finger, set()) for laid in before[first + 1 : k]]
    slides = any(string == now[0] for string, _ in before[-1].down.get(now[2], ()))
    if slides or since[-1]:
        return
    if all(place in places for places in since if places):
        items["exchange"] += q.effort["exchange"]


def _joins(was: Laid, after: Laid, items: Counter[str]) -> None:
    """`join`, `join_weak`."""
    q = after.q
    for n in after.struck:
        joined = q.sounds[n].joined
        if joined is None:
            continue
        first, by = joined
        if not played_joined(was, after, n):
            if q.sounds[first].written == q.layers[after.k]:
                items["join"] += q.effort["join"]
        elif by == "slur":
            fingers = was.posture.sounding[first][2], after.posture.sounding[n][2]
            if fingers in ((3, 4), (4, 3)):
                items["join_weak"] += q.effort["join_weak"]


def played_joined(was: Laid, after: Laid, n: int) -> bool:
    """Whether a struck sound that is joined from another is played so."""
    q = after.q
    if q.sounds[n].joined is None or n not in after.posture.sounding:
        return False
    first, by = q.sounds[n].joined
    if first not in was.posture.sounding:
        return False
    if q.sounds[first].kind != "plain" or q.sounds[n].kind != "plain":
        return False
    string, fret, finger = after.posture.sounding[n]
    on, _, before = was.posture.sounding[first]
    if on != string:
        return False
    if by == "glissando":
        return finger != 0 and finger == before
    if was.away or after.away or was.position not in (None, after.position):
        return False
    if q.sounds[n].key > q.sounds[first].key:
        return finger not in (0, before)
    if finger == 0:
        return True
    waits = (string, fret) in was.resting().get(finger, set())
    waits |= finger == 1 and was.lays_over((string, fret))
    return finger != before and waits


def _let_go(was: Laid, after: Laid, items: Counter[str]) -> None:
    """`cut_…`, `ring`."""
    q, at = after.q, after.q.layers[after.k]
    for n in was.posture.sounding:
        sound = q.sounds[n]
        if n in after.posture.sounding or at >= sound.wanted:
            continue
        if at < sound.written:
            items[f"cut_{sound.role}"] += q.cut(n, at)
        if sound.wanted > sound.written:
            items["ring"] += q.effort["ring"]


def seam_items(question: Question, laid: list[Laid]):
    """What is charged on seams, each at its layer."""
    for seam in question.seams:
        was = laid[seam.before]
        later = [one for one in laid[seam.after :] if not one.idle]
        if not later or was.position is None or was.position == later[0].position:
            continue
        ease = question.effort["ease_phrase"]
        if was.idle or laid[seam.after].idle:
            ease += question.effort["ease_open"]
        items: Counter[str] = Counter()
        _charge_shift(question, (was.position, later[0].position), hurry(seam.time), ease, items)
        yield later[0].k, items

"""What no hand can do, in plain Python: P1 to P11 and M1 to M5 of docs/model.md,
for a given fingering.
"""

from itertools import combinations

from left_hand_fingering import Laid, extension
from left_hand_question import Question
from left_hand_seconds import follow, taken_over_well

FINGERS = (1, 2, 3, 4)


def against_posture(laid: Laid):
    """Names of the rules that a posture breaks."""
    return [
        name
        for name, holds in (
            ("P1", _p1),
            ("P2", _p2),
            ("P3", _p3),
            ("P4", _p4),
            ("P5", _p5),
            ("P6", _p6),
            ("P7", _p7),
            ("P8", _p8),
            ("P9", _p9),
            ("P10", _p10),
            ("P11", _p11),
        )
        if not holds(laid)
    ]


def against_move(before: Laid | None, after: Laid):
    """Names of the rules that a move breaks; from nowhere if the hand begins
    anew."""
    return [
        name
        for name, holds in (
            ("idle", _stands_where_it_stood),
            ("M1", _m1),
            ("M2", _m2),
            ("M3", _m3),
            ("M4", _m4),
            ("M5", taken_over_well),
        )
        if not holds(before, after)
    ]


def refused(question: Question, postures: list[Laid]) -> list[tuple[str, int]]:
    """Every rule broken, with the layer."""
    found = []
    for k, laid in enumerate(postures):
        before = None if question.begins_anew(k) else postures[k - 1]
        follow(before, laid)
        found += [(name, k) for name in against_posture(laid) + against_move(before, laid)]
    return found


def _p1(laid: Laid) -> bool:
    for n in laid.struck:
        if laid.posture.sounding[n][:2] not in laid.q.places(n):
            return False
    guitar = laid.q.instrument
    places = [*laid.staying.values(), *laid.bound.values()]
    return all(s in guitar.open and 1 <= fret <= guitar.frets for s, fret in places)


def _p2(laid: Laid) -> bool:
    strings = [string for string, _, _ in laid.posture.sounding.values()]
    return len(strings) == len(set(strings))


def _p3(laid: Laid) -> bool:
    return all(
        (finger in FINGERS) if fret else finger == 0
        for _, fret, finger in laid.posture.sounding.values()
    )


def _p4(laid: Laid) -> bool:
    places = laid.resting()
    for finger in places:
        if finger > 1 and len(places[finger]) > 1:
            return False
    # A finger that does two things at once is at two places, unless they are
    # both to stop sounds under a barre.
    for finger in FINGERS:
        tasks = (finger in laid.touches) + (finger in laid.stops)
        tasks += (finger in laid.bound) + (finger in laid.staying)
        if tasks > 1:
            return False
    if len(places.get(1, ())) > 1 and not laid.barre:
        return False
    if laid.barre is None:
        return laid.hinge is None
    return _barre_lies(laid)


def _barre_lies(laid: Laid) -> bool:
    fret, thin, thick = laid.barre
    guitar, sounds = laid.q.instrument, laid.q.sounds
    if not (fret >= 1 and thin < thick and set(laid.span) <= set(guitar.open)):
        return False
    stopped = laid.stops.get(1, set())
    if not stopped or any(at != fret or string not in laid.span for string, at in stopped):
        return False
    ends = laid.q.ends_of_barres(laid.k) | {sounds[n].key for n in laid.kept}
    if not {guitar.key(thin, fret), guitar.key(thick, fret)} <= ends:
        return False
    sounding = {n: at for n, at in laid.posture.sounding.items() if at[0] in laid.span}
    for n, (string, at, finger) in sounding.items():
        touched = at > 0 and sounds[n].kind == "natural"
        if string in laid.lifted:
            if 0 < at <= fret:
                return False
        elif not (at > fret and not touched or at == fret and finger == 1):
            return False
    if laid.hinge is None:
        return True
    if len(laid.laid) < 2:
        return False
    return any(at == 0 and string in laid.lifted for string, at, _ in sounding.values())


def _pairs(laid: Laid):
    """Every two fingers down or staying, each with one of its places."""
    places = {finger: min(at) for finger, at in laid.resting().items()}
    return [(a, places[a], b, places[b]) for a, b in combinations(sorted(places), 2)]


def _p5(laid: Laid) -> bool:
    for a, (string_a, fret_a), b, (string_b, fret_b) in _pairs(laid):
        if fret_a > fret_b or (string_a, fret_a) == (string_b, fret_b):
            return False
        if a == 1 and laid.barre and fret_a == fret_b:
            return False
    return True


def _p6(laid: Laid) -> bool:
    guitar, reach = laid.q.instrument, laid.q.level["reach"]
    for a, at_a, b, at_b in _pairs(laid):
        dx = guitar.x(at_b[1]) - guitar.x(at_a[1])
        dy = guitar.y(*at_a) - guitar.y(*at_b)
        slant = 20 * (at_b[0] - at_a[0])
        if a == 1 and laid.barre:
            dy = slant = 0
        if (dx + slant) ** 2 + dy**2 > reach[f"{a}-{b}"] ** 2:
            return False
    return True


def _p7(laid: Laid) -> bool:
    if laid.hand is None:
        return True
    for finger, places in laid.resting().items():
        for _, fret in places:
            offset = laid.offset(finger, fret)
            low, high = (-3, 1) if finger == 1 else (1 - finger, 3)
            if not low <= offset <= high:
                return False
    return True


def _p8(laid: Laid) -> bool:
    if laid.position is None:
        return laid.idle
    return 1 <= laid.position <= 24


def _p9(laid: Laid) -> bool:
    if not laid.staying:
        return True
    if len(laid.staying) > 2 or laid.away or laid.position is None:
        return False
    return all(_stays(laid, finger, place) for finger, place in laid.staying.items())


def _stays(laid: Laid, finger: int, place: tuple[int, int]) -> bool:
    string, fret = place
    if finger in laid.down or extension(finger, laid.offset(finger, fret)):
        return False
    n = laid.on_string(string)
    if n is not None:
        _, at, stopping = laid.posture.sounding[n]
        stopped = stopping and laid.q.sounds[n].kind != "natural"
        if not (stopped and at > fret):
            return False
    common = laid.q.instrument.key(string, fret) in laid.q.soon(laid.k)
    guide = laid.k + 1 < len(laid.q.layers) and (laid.idle or n is not None)
    return common or guide or prepared(laid, place)


def prepared(laid: Laid, place: tuple[int, int]) -> bool:
    """Whether a place is that of the lower sound of a slur from the sound
    stopped on its string."""
    n = laid.on_string(place[0])
    if n is None or not laid.posture.sounding[n][2] or laid.q.sounds[n].kind == "natural":
        return False
    return any(place in laid.q.places(m) for m in laid.q.pulled_off(n))


def _p10(laid: Laid) -> bool:
    if laid.away == 0:
        return True
    if laid.away not in (2, 3, 4) or laid.idle or laid.staying or laid.barre or laid.bound:
        return False
    struck = (places <= laid.strikes.get(finger, set()) for finger, places in laid.down.items())
    if laid.position is None or not all(struck):
        return False
    offsets = [laid.offset(finger, laid.fret(finger)) for finger in laid.down]
    extensions = [laid.extension(finger) for finger in laid.down]
    return not any(extensions) and 0 in offsets


def _p11(laid: Laid) -> bool:
    """Every bound finger belongs to a sound that is ornamented whole."""
    unexplained = dict(laid.bound)
    for n in laid.struck:
        for finger in ornament(laid, n) or ():
            unexplained.pop(finger, None)
    return not unexplained


def ornament(laid: Laid, n: int) -> set[int] | None:
    """The fingers bound by the ornament of a struck sound; none if it is not
    ornamented."""
    sound = laid.q.sounds[n]
    if not sound.auxiliaries or sound.kind != "plain":
        return None
    string, _, own = laid.posture.sounding[n]
    fingers = set()
    for key in sound.auxiliaries:
        fret = key - laid.q.instrument.open[string]
        if fret == 0 or laid.lays_over((string, fret)):
            continue
        at = [f for f, place in laid.bound.items() if place == (string, fret) and f != own]
        if not at:
            return None
        fingers.add(at[0])
    return fingers


def _stands_where_it_stood(before: Laid | None, after: Laid) -> bool:
    stood = None if before is None else before.position
    return not after.idle or after.position == stood


def _m1(before: Laid | None, after: Laid) -> bool:
    if before is None:
        return True
    for n in after.kept:
        was = before.posture.sounding.get(n)
        if was is None:
            continue  # M2.
        if after.q.sounds[n].kind == "natural":
            was = (was[0], 0, 0)
        now = after.posture.sounding[n]
        # Another finger in the place of the first is a matter of M5.
        if now != was and not (now[:2] == was[:2] and now[2] and was[2]):
            return False
    return True


def _m2(before: Laid | None, after: Laid) -> bool:
    if before is None:
        return not after.kept
    at = after.q.layers[after.k]
    return all(
        n in before.posture.sounding and at < after.q.sounds[n].wanted for n in after.kept
    )


def _m3(before: Laid | None, after: Laid) -> bool:
    for finger, place in after.staying.items():
        if prepared(after, place):
            continue
        if before is None:
            return False
        was = before.resting().get(finger, set()) - before.touches.get(finger, set())
        if place not in was:
            return False
    return True


def _m4(before: Laid | None, after: Laid) -> bool:
    if before is None:
        return not after.away
    if before.away or after.away:
        return before.position is not None and before.position == after.position
    return True

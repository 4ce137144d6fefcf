"""The price of a given fingering, worked out from docs/model.md section 5 in
plain Python, item by item: what anyone can do who has the JSON of `finger`.
Postures stand here, moves in `left_hand_price_moves.py`.
"""

from collections import Counter
from itertools import combinations

from left_hand_fingering import Laid, Posture
from left_hand_price_moves import move_items, on_one_fret, seam_items
from left_hand_question import BARRE_WIDTHS, Question
from left_hand_rules import ornament, refused


class Forbidden(Exception):
    """What physics forbids has no price."""


class Bill:
    """Every term of the effort at every layer, and what is left out and
    broken.

    Raises `Forbidden` with the rules that are broken and their layers."""

    def __init__(self, question: Question, postures: list[Posture]):
        laid = [Laid(question, k, posture) for k, posture in enumerate(postures)]
        found = refused(question, laid)
        if found:
            raise Forbidden(found)
        self.items: Counter[tuple[str, int]] = Counter()
        self.escapes = self.broken = 0
        for k, one in enumerate(laid):
            before = laid[:k]
            self.escapes += len(question.struck[k]) - len(one.struck)
            self.broken += breaches(one)
            self._add(k, posture_items(one, before))
            if not question.begins_anew(k):
                self._add(k, move_items(before, one))
        for k, items in seam_items(question, laid):
            self._add(k, items)

    def _add(self, k: int, items: Counter[str]) -> None:
        for term, amount in items.items():
            if amount:
                self.items[term, k] += amount

    @property
    def effort(self) -> int:
        return sum(self.items.values())

    @property
    def price(self) -> tuple[int, int, int]:
        return self.escapes, self.broken, self.effort


def posture_items(laid: Laid, before: list[Laid]) -> Counter[str]:
    """What is charged on a posture, those before it being known."""
    value, items = laid.q.effort, Counter()
    for n in laid.struck:
        _, fret, finger = laid.posture.sounding[n]
        sound = laid.q.sounds[n]
        if finger:
            items["stop"] += value["stop"]
        if finger > 2:
            items[f"finger_{finger}"] += value[f"finger_{finger}"]
        if sound.role == "melody" and sound.kind == "plain" and fret == 0:
            if laid.hand is not None and laid.hand > 3:
                items["tone_high"] += value["tone_high"]
            if laid.q.sung_long(n):
                items["tone_long"] += value["tone_long"]
        if sound.auxiliaries and ornament(laid, n) is None:
            items["ornament"] += value["ornament"]
        if _against_house(laid, before, n):
            items["house"] += value["house"]
    if laid.strikes and laid.hand > 1:
        items["height"] += value["height"] * (2 * laid.hand - 3)
    for finger in laid.down:
        offset = laid.offset(finger, laid.fret(finger))
        extension = laid.extension(finger)
        if not laid.leans(finger):
            items["extension"] += value["extension"] * extension
        elif finger in laid.strikes:
            items["lean"] += min(value["lean"], value["extension"]) * extension
        if finger in laid.strikes:
            items["contraction"] += value["contraction"] * (abs(offset) - extension)
            if finger == 1 and offset == 1:
                items["lead"] += value["lead"]
    for a, b in combinations(sorted(laid.down), 2):
        _pair_items(laid, a, b, items)
    if laid.barre and _lies_idle(laid):
        items["barre_idle"] += value["barre_idle"]
    if laid.q.begins_anew(laid.k):
        on_one_fret({}, {}, laid, items)
        if laid.barre:
            items["barre_lay"] += value["barre_lay"] * (len(laid.span) - 1)
            items["barre_hold"] += value["barre_hold"] * (len(laid.laid) - 1)
    return items


def _lies_idle(laid: Laid) -> bool:
    """Whether a chord needs but one string of its barre, and the bar no other."""
    stopped = {string for string, _ in laid.stops.get(1, ())}
    if len(laid.q.struck[laid.k]) < 3 or len(stopped) != 1:
        return False
    later, fret = laid.q.later_in_bar(laid.k), laid.fret(1)
    keys = (laid.q.instrument.open[string] + fret for string in set(laid.span) - stopped)
    return not any(key in later for key in keys)


def _pair_items(laid: Laid, a: int, b: int, items: Counter[str]) -> None:
    """`stretch` of two fingers down."""
    value, x = laid.q.effort, laid.q.instrument.x
    (string_a, fret_a), (string_b, fret_b) = min(laid.down[a]), min(laid.down[b])
    under = a == 1 and laid.barre
    slant = 0 if under else 20 * (string_b - string_a)
    ex = x(fret_b) - x(fret_a) + slant - (x(laid.hand + b - 1) - x(laid.hand + a - 1))
    if ex > 0:
        items["stretch"] += value["stretch"] * ex // 100


def _against_house(laid: Laid, before: list[Laid], n: int) -> bool:
    """Whether a struck sound is placed against the house style."""
    house, sounds = laid.q.house, laid.q.sounds
    string, fret, finger = laid.posture.sounding[n]
    for shape in house["shapes"]:
        if _is_shape(laid, shape):
            if string <= len(shape) and shape[string - 1]["fret"]:
                wanted = shape[string - 1]["finger"]
                return wanted is not None and finger != wanted
            break
    stopped = bool(finger) and sounds[n].kind != "natural"
    third = house["third_fret"]
    if third and laid.hand == 1 and stopped and fret == 3 and finger in (3, 4):
        if finger != third and third not in laid.stops:
            return True
    if house["descending"] is None or laid.q.begins_anew(laid.k):
        return False
    if not (laid.q.lone(laid.k) and laid.q.lone(laid.k - 1)):
        return False
    key, guitar = sounds[n].key, laid.q.instrument
    if sounds[laid.q.struck[laid.k - 1][0]].key - key not in (1, 2):
        return False
    if house["descending"] == "open":
        return stopped and key in guitar.open.values()
    thicker = [key - open_key for s, open_key in guitar.open.items() if s > string]
    return fret == 0 and any(1 <= at <= guitar.frets for at in thicker)


def _is_shape(laid: Laid, shape: list[dict]) -> bool:
    """Whether what sounds is a shape of the style."""
    sounding = {string: fret for string, fret, _ in laid.posture.sounding.values()}
    for string, one in enumerate(shape, start=1):
        if one["fret"] and sounding.get(string) != one["fret"]:
            return False
    return all(
        string <= len(shape) and shape[string - 1]["fret"] == fret
        for string, fret in sounding.items()
    )


def breaches(laid: Laid) -> int:
    """A1 to A6, each breach one."""
    q, level = laid.q, laid.q.level
    broken = sum(q.breaches_of_placement(n, *laid.posture.sounding[n]) for n in laid.struck)
    broken += sum(finger not in level["fingers"] for finger in laid.bound)
    widths, allowed = [q.level_width], [level["positions"]]
    for pin in q.pins_at(laid.k):
        if pin.rule == "barre":
            widths.append(BARRE_WIDTHS[pin.allowed])
        else:
            allowed.append(pin.allowed)
    if laid.barre:
        broken += sum(len(laid.span) > most for most in widths)
    if not laid.idle:
        broken += sum(laid.hand not in good for good in allowed)
    broken += sum(laid.extension(finger) > level["extension"] for finger in laid.down)
    return broken

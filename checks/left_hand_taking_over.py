"""Second fingers as constraints: M5 of docs/model.md, and its two terms of section 5."""

from left_hand_rules import FINGERS
from left_hand_seconds import may_take_over, taught


def keep(hand, n: int, k: int) -> dict:
    """Ways in which a stopped sound may be kept at a layer by its finger or by
    another; the literals of the changes on the move there are put down."""
    fingers = may_take_over(hand.q, n)
    first = hand.q.sounds[n].layer
    own, second, change = {}, {}, {}
    for at, var in hand.place[n].items():
        own[at] = hand.bool()
        hand.m.add_implication(own[at], var)
    places = {at[:2] for at in hand.place[n] if at[1]}
    for string, fret in places:
        for finger in fingers:
            at = string, fret, finger
            second[at], change[at] = hand.bool(), hand.bool()
            others = [hand.place[n][string, fret, f] for f in FINGERS if f != finger]
            hand.m.add(second[at] <= sum(others))
            hand.m.add(change[at] <= second[at])
            before = hand.second_at.get((n, k - 1), {}).get(at, 0)
            hand.m.add(second[at] <= before + change[at])
    if k - 1 > first:
        # Nobody changes back.
        hand.m.add(sum(own.values()) <= sum(hand.own_at[n, k - 1].values()))
        hand.m.add(sum(change.values()) <= sum(hand.own_at[n, k - 1].values()))
    hand.own_at[n, k], hand.second_at[n, k], hand.change[n, k] = own, second, change
    ways = {}
    for at in own | second:
        ways[at] = hand.bool()
        hand.m.add(ways[at] == own.get(at, 0) + second.get(at, 0))
    return ways


def forbid(hand, k: int) -> None:
    """What the fingers and barres of both postures have to say to a change."""
    changes = {n: hand.change[n, k] for n in hand.q.alive(k) if (n, k) in hand.change}
    if changes:
        hand.m.add(sum(sum(of.values()) for of in changes.values()) <= 1)
    lay, lies = sum(hand.barres[k - 1].values()), sum(hand.barres[k].values())
    for n, of in changes.items():
        for (string, fret, finger), var in of.items():
            hand.m.add(var + hand.down[k - 1, finger] <= 1)
            if finger == 1:
                hand.m.add(var + lies <= 1)
            else:
                hand.m.add(var + hand.place[n][string, fret, 1] + lay <= 2)


def charge(hand, n: int) -> None:
    """`substitute`, `unchanged`."""
    if not taught(hand.q):
        return
    life = hand.q.life(n)
    changes = [var for k in life for var in hand.change.get((n, k), {}).values()]
    for k in life[1:]:
        price = hand.value("substitute") * hand.q.hurry(k - 1, k)
        for var in hand.change.get((n, k), {}).values():
            hand.charge(price, var)
    if hand.q.pins_on_seconds(n) and len(life) > 1:
        hand.charge(hand.value("unchanged"), hand.on[n, life[0]] - sum(changes))

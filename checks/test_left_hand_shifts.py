"""What shifts and hops of the hand cost, docs/model.md section 5: fingerings with their
bills worked out on paper, which the constraints must find as well."""

from left_hand_by_hand import hand, line, moves, note, question, two


def test_finger_1_may_meet_a_position_above_its_fret_but_not_stay():
    def lead(first, second, *at):
        return two(first, second, *at).get(("lead_stay", 1), 0)

    assert lead((2, 3, 2), (1, 3, 1), 2) == 10
    assert lead((1, 3, 1), (1, 3, 1), 2) == 10
    # Its own fret, in I, and where the hand comes.
    assert lead((2, 3, 2), (1, 2, 1), 2) == 0
    assert lead((2, 3, 3), (1, 2, 1), 1) == 0
    assert lead((2, 3, 3), (1, 3, 1), 1, 2) == 0


def test_a_shift_and_its_way():
    """From I to V: x(5) − x(1) = 1631 − 365 = 1266, 2 · 12.66 is 25."""
    paid = {("land", 1): 1, ("shift", 1): 32, ("travel", 1): 25}
    assert two((1, 1, 1), (1, 8, 4), 1, 5) == paid
    # With hurry 2.
    twice = {("land", 1): 2, ("shift", 1): 64, ("travel", 1): 50}
    assert two((1, 1, 1), (1, 8, 4), 1, 5, length="1/2") == twice
    # From no position it is free.
    asked = question(line(64, 69))
    assert moves(asked, hand({0: (1, 0, 0)}), hand({1: (1, 5, 1)}, 5)) == {("land", 1): 1}


def test_guide_and_pivot_ease_a_shift():
    """I to II: 709 − 365 = 344, travel 6; 38 in all."""
    paid = {("shift", 1): 32, ("travel", 1): 6}
    # Guide 30 of 38 percent: 11; no landing on the same string.
    assert two((1, 1, 1), (1, 2, 1), 1, 2) == paid | {("ease", 1): -11}
    # Pivot: 15, and 7 more for the pitch.
    without = {"effort": {"ease_repeat": 0}}
    assert two((1, 2, 2), (1, 2, 2), 1, 2, **without) == paid | {("ease", 1): -15}
    assert two((1, 2, 2), (1, 2, 2), 1, 2) == paid | {("ease", 1): -22}
    # Another finger on that place leads nowhere.
    replaced = paid | {("land", 1): 1, ("replace", 1): 12}
    assert two((1, 2, 2), (1, 2, 1), 1, 2, **without) == replaced
    # The larger of both counts.
    notes = [note((62, 66), 0, 1), note((62, 67), 1, 1)]
    first = hand({0: (2, 3, 3), 1: (1, 2, 2)}, 1)
    after = hand({2: (2, 3, 3), 3: (1, 3, 2)}, 2)
    asked = question(notes, effort={"ease_repeat": 0})
    assert moves(asked, first, after)[("ease", 1)] == -15


def test_eases_are_added_up_to_a_cap():
    """From I over an open string to V; 57 over a quarter's rest and more."""
    f, open_b = hand({0: (1, 1, 1)}, 1), hand({1: (2, 0, 0)}, 1)
    last = hand({2: (1, 8, 4)}, 5)
    paid = {("land", 2): 1, ("shift", 2): 32, ("travel", 2): 25}
    asked = question(line(65, 59, 72))
    # Open 30.
    assert moves(asked, f, open_b, last) == paid | {("ease", 2): -17}
    # Open and rest: 80.
    asked = question([*line(65, 59), note(72, 3, 1)])
    assert moves(asked, f, open_b, last) == paid | {("ease", 2): -45}
    # Open, rest and a new bar: still 80.
    asked = question([*line(65, 59), note(72, 4, 1)])
    assert moves(asked, f, open_b, last) == paid | {("ease", 2): -45}
    # A finger that stays may guide: 30 and 30.
    notes = line(65, 59, 72)
    stayed = hand({1: (2, 0, 0)}, 1, staying={1: (1, 1)})
    guided = hand({2: (1, 8, 1)}, 8)
    way = {("shift", 2): 32, ("travel", 2): 2 * (2405 - 365) // 100}
    ease = -(32 + 40) * 60 // 100
    assert moves(question(notes), f, stayed, guided) == way | {("ease", 2): ease + 1}
    # Against the leading note: B C from I to V, with nothing to ease it.
    asked = question(line(59, 60))
    first, after = hand({0: (3, 4, 4)}, 1), hand({1: (3, 5, 1)}, 5)
    paid = {("land", 1): 1, ("shift", 1): 32, ("travel", 1): 25}
    # −⌊57 · −20 / 100⌋ is 12.
    assert moves(asked, first, after) == paid | {("ease", 1): 12}


def test_the_hurry_of_a_shift_over_open_strings():
    """Quarter, then eighths: from F to the last it is a quarter and more."""
    notes = [note(65, 0, "1/2"), note(59, "1/2", "1/2"), note(72, 1, "1/2")]
    postures = [hand({0: (1, 1, 1)}, 1), hand({1: (2, 0, 0)}, 1), hand({2: (1, 8, 4)}, 5)]
    found = moves(question(notes), *postures)
    assert found[("shift", 2)] == 32 and found[("land", 2)] == 2


def test_a_hop_is_paid_when_it_begins():
    """From III by 4 to VII: x(7) − x(3) = 2162 − 1034 = 1128, 22 units."""
    assert (650 * (1 - 2 ** (-7 / 12)), 650 * (1 - 2 ** (-3 / 12))) > (216, 103)
    keys = (67, 74, 73, 67)
    postures = [
        hand({0: (1, 3, 1)}, 3),
        hand({1: (1, 10, 4)}, 3, away=4),
        hand({2: (1, 9, 3)}, 3, away=4),
        hand({3: (1, 3, 1)}, 3),
    ]
    found = moves(question(line(*keys)), *postures)
    assert found == {
        ("hop", 1): 40 + 22,
        ("land", 1): 1,
        ("hop_stay", 2): 24,
        ("land", 2): 1,
        ("weak_pair", 2): 2,
        ("land", 3): 1,
    }
    # From one place straight to another; with hurry 2.
    postures[2] = hand({2: (1, 9, 4)}, 3, away=3)
    found = moves(question(line(*keys, length="1/2")), *postures)
    far = 2 * (1904 - 1034) // 100
    assert found[("hop", 1)] == 2 * 62 and found[("hop", 2)] == 2 * (40 + far)

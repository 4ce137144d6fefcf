"""What fingers cost on a move, docs/model.md section 5: fingerings with their bills worked
out on paper, which the constraints must find as well."""

from left_hand_by_hand import bar, hand, items, line, moves, note, question, two


def test_a_finger_that_comes_down_anew_lands():
    assert two((1, 1, 1), (1, 2, 2)) == {("land", 1): 1}
    # Where it is on the string already it does not.
    assert two((1, 2, 2), (1, 2, 2)) == {}
    # With hurry 2 it is twice as much.
    assert two((1, 1, 1), (1, 2, 2), length="1/2") == {("land", 1): 2}
    # A finger that stayed on the string has it.
    asked = question(line(65, 66, 65))
    stayed = [hand({0: (1, 1, 1)}, 1), hand({1: (1, 2, 2)}, 1, staying={1: (1, 1)})]
    back = hand({2: (1, 1, 1)}, 1)
    assert moves(asked, *stayed, back) == {("land", 1): 1}
    gone = [stayed[0], hand({1: (1, 2, 2)}, 1), back]
    assert moves(asked, *gone) == {("land", 1): 1, ("land", 2): 1}


def test_three_sounds_are_a_chord_and_its_fingers_do_not_land_or_jump():
    am = {0: (4, 2, 2), 1: (3, 2, 3), 2: (2, 1, 1)}
    e = {3: (5, 2, 2), 4: (4, 2, 3), 5: (3, 1, 1)}
    asked = question([note((52, 57, 60), 0, 1), note((47, 52, 56), 1, 1)])
    found = moves(asked, hand(am, 1), hand(e, 1))
    # All that is left: 3 replaces 2 at ④ fret 2.
    assert found == {("replace", 1): 12}
    # One left out makes it no smaller.
    del e[3]
    assert moves(asked, hand(am, 1), hand(e, 1)) == {("replace", 1): 12}
    asked = question([note((52, 57, 60), 0, 1), note((52, 56), 1, 1)])
    e = {3: (4, 2, 3), 4: (3, 1, 1)}
    # Two sounds: 3 from ③ to ④ and 1 from ② to ③ land and jump.
    paid = {("land", 1): 2, ("jump", 1): 4, ("twice", 1): 8, ("replace", 1): 12}
    paid[("exchange", 1)] = 10
    assert moves(asked, hand(am, 1), hand(e, 1)) == paid


def test_a_finger_that_jumps_strings():
    paid = {("land", 1): 1, ("jump", 1): 2, ("twice", 1): 8}
    assert two((1, 1, 1), (2, 1, 1)) == paid
    # A barre of the second posture spans both; so does one of the first.
    notes = [note(65, 0, 2), note(60, 1, 1, voice=2)]
    barre = hand({0: (1, 1, 1), 1: (2, 1, 1)}, 1, barre=(1, 1, 2))
    found = moves(question(notes), hand({0: (1, 1, 1)}, 1), barre)
    # ① it was on, on its tip: one string is new, and one more.
    assert found == {("barre_lay", 1): 16, ("land", 1): 1}
    notes = [note((60, 65), 0, 1), note(56, 1, 1)]
    first = hand({0: (2, 1, 1), 1: (1, 1, 1)}, 1, barre=(1, 1, 3))
    after = hand({2: (3, 1, 1)}, 1)
    assert moves(question(notes), first, after) == {("barre_lay", 0): 16}


def test_fingers_come_to_one_fret_once():
    chords = question([note((52, 61), 0, 1), note((52, 61), 1, 1)])
    turned = ((4, 2, 3), (2, 2, 2))
    usual = ((4, 2, 2), (2, 2, 3))

    def crossed(first, second):
        way = hand(dict(zip((0, 1), first)), 1), hand(dict(zip((2, 3), second)), 1)
        return {k: amount for (term, k), amount in items(chords, *way).items() if term == "crossed"}

    assert crossed(turned, turned) == {0: 16}
    assert crossed(usual, turned) == {1: 16}
    assert crossed(turned, usual) == {0: 16}


def test_a_finger_that_stayed_is_crossed_when_it_strikes():
    asked = question([note(57, 0, 1), note(59, 1, 1), note(52, 1, 2, voice=2), note(57, 2, 1)])
    by_key = {(s.key, s.layer): n for n, s in enumerate(asked.sounds)}
    first, b, e, again = (by_key[at] for at in ((57, 0), (59, 1), (52, 1), (57, 2)))

    def pairs(low, high, **more):
        way = [
            hand({first: (3, 2, high)}, 1),
            hand({b: (2, 0, 0), e: (4, 2, low)}, 1, **more),
            hand({e: (4, 2, low), again: (3, 2, high)}, 1),
        ]
        found = items(asked, *way).items()
        return {at: amount for at, amount in found if at[0] in ("crossed", "crowd")}

    assert pairs(3, 2, staying={2: (3, 2)}) == {("crossed", 2): 8}
    assert pairs(3, 2) == {("crossed", 2): 8, ("crowd", 2): 3}
    assert pairs(2, 3, staying={3: (3, 2)}) == {}


def test_a_finger_passes_another_in_a_melody():
    def passed(keys, first, second, position=2, length=1):
        notes = [note(keys[0], 0, length), note(keys[1], 1, 1)]
        way = hand({0: first}, 2), hand({1: second}, position)
        return items(question(notes), *way).get(("crossed", 1), 0)

    assert passed((57, 52), (3, 2, 1), (4, 2, 2)) == 8
    assert passed((57, 52), (3, 2, 2), (4, 2, 1)) == 0
    assert passed((66, 62), (1, 2, 3), (2, 3, 2)) == 8
    assert passed((66, 62), (1, 2, 1), (2, 3, 2)) == 0
    # Not where the hand shifts, nor over a rest.
    assert passed((66, 62), (1, 2, 3), (2, 3, 2), position=1) == 0
    assert passed((66, 62), (1, 2, 3), (2, 3, 2), length="1/2") == 0


def test_a_note_that_comes_again_is_played_by_its_finger():
    """C by 1, an open string, C by 2: 10, up to four onsets and 3 s on."""
    first, last, other = (hand({n: (2, 1, finger)}, 1) for n, finger in ((0, 1), (2, 2), (2, 1)))
    idle, g_sharp = hand({1: (1, 0, 0)}, 1), hand({1: (3, 1, 1)}, 1)

    def exchange(*postures, keys=(60, 64, 60), length=1, mark="120"):
        asked = question(line(*keys, length=length), bars=[bar(0, 8, quarters_a_minute=mark)])
        return moves(asked, *postures).get(("exchange", len(keys) - 1), 0)

    assert exchange(first, idle, last) == 10
    assert exchange(first, idle, other) == 0
    # 3 s are too long.
    assert exchange(first, idle, last, length=2, mark="80") == 0
    assert exchange(first, idle, last, length=2, mark="81") == 10
    # Its finger has been elsewhere.
    assert exchange(first, g_sharp, last, keys=(60, 56, 60)) == 0
    # The other one slides there.
    assert exchange(first, hand({1: (2, 2, 2)}, 1), last, keys=(60, 61, 60)) == 0
    # Four onsets, and five.
    way = [first, idle, hand({2: (3, 0, 0)}, 1), hand({3: (4, 0, 0)}, 1)]
    keys = (60, 64, 55, 50)
    assert exchange(*way, hand({4: (2, 1, 2)}, 1), keys=(*keys, 60), length="1/2") == 10
    way.append(hand({4: (3, 0, 0)}, 1))
    assert exchange(*way, hand({5: (2, 1, 2)}, 1), keys=(*keys, 55, 60), length="1/2") == 0
    # A broken chord is taken as its shape wants it.
    chord = [hand({0: (3, 2, 2)}, 1), hand({1: (2, 1, 1)}, 1), hand({2: (1, 0, 0)}, 1)]
    chord.append(hand({3: (3, 2, 3)}, 1))
    assert exchange(*chord, keys=(57, 60, 64, 57), length="1/2") == 0


def test_a_finger_leaps_over_a_short_note():
    """From the first to the third it is a quarter: 833 ms at 72, 500 at 120,
    hurry 2; in sixteenths 250 and in thirty-seconds 125, hurry 3 and 4."""
    first, open_b, third = hand({0: (1, 3, 3)}, 1), hand({1: (2, 0, 0)}, 1), hand({2: (4, 3, 3)}, 1)

    def leap(length, *postures, mark=None, keys=(67, 59, 53)):
        asked = question(line(*keys, length=length), bars=[bar(0, quarters_a_minute=mark)])
        return moves(asked, *postures).get(("leap", 2), 0)

    postures = (first, open_b, third)
    assert leap("1/2", *postures) == 0
    assert leap("1/2", *postures, mark="120") == 2
    assert leap("1/4", *postures, mark="120") == 4
    assert leap("1/8", *postures, mark="120") == 6
    # On the same string, by another finger, or down meanwhile.
    assert leap("1/4", first, open_b, hand({2: (1, 3, 3)}, 1), keys=(67, 59, 67)) == 0
    assert leap("1/4", first, open_b, hand({2: (4, 3, 4)}, 1)) == 0
    assert leap("1/4", first, hand({1: (2, 3, 3)}, 1), third, keys=(67, 62, 53)) == 0
    # From a chord, or left out.
    asked = question([note((59, 67), 0, "1/4"), *line(59, 53, length="1/4", start="1/4")])
    chord = [hand({0: (2, 0, 0), 1: (1, 3, 3)}, 1), hand({2: (2, 0, 0)}, 1), hand({3: (4, 3, 3)}, 1)]
    assert ("leap", 2) not in moves(asked, *chord)
    assert leap("1/4", hand({}), hand({1: (2, 0, 0)}), third) == 0


def test_the_bass_goes_from_finger_to_finger():
    """B by 2 on ⑤ and E on ④ under G: 5 where 2 takes it, too."""
    notes = [note(67, 0, 1), note(47, 0, 1, voice=2), note(67, 1, 1), note(52, 1, 1, voice=2)]

    def jump(finger, **more):
        first = hand({0: (5, 2, 2), 1: (1, 3, 4)}, 1)
        after = hand({2: (4, 2, finger), 3: (1, 3, 4)}, 1)
        found = moves(question(notes, **more), first, after)
        return found.get(("jump", 1), 0), found.get(("jump_bass", 1), 0)

    assert jump(2) == (2, 5)
    assert jump(3) == (0, 0)
    # A melody that jumps is none.
    assert ("jump_bass", 1) not in two((1, 1, 1), (2, 1, 1))


def test_a_finger_slides_if_the_hand_does_not():
    assert two((1, 1, 1), (1, 2, 1)) == {("slide", 1): 8}
    # With the hand it is a shift, with a guide.
    found = two((1, 1, 1), (1, 2, 1), 1, 2)
    assert ("slide", 1) not in found and ("shift", 1) in found
    # A glissando is meant to.
    notes = line(65, 66)
    one, other = hand({0: (1, 1, 1)}, 1), hand({1: (1, 2, 1)}, 1)
    assert moves(question(notes, joins=[(0, 1, "glissando")]), one, other) == {}
    assert ("slide", 1) in moves(question(notes, joins=[(0, 1, "slur")]), one, other)
    # Away is another place of the hand.
    asked = question(line(67, 72))
    reached = moves(asked, hand({0: (1, 3, 4)}, 3), hand({1: (1, 8, 4)}, 3, away=2))
    assert ("slide", 1) not in reached


def test_a_finger_that_keeps_its_place_neither_slides_nor_jumps():
    notes = [note(65, 0, 2), note(60, 1, 1, voice=2)]
    under = hand({0: (1, 1, 1), 1: (2, 1, 1)}, 1, barre=(1, 1, 2))
    found = moves(question(notes), hand({0: (1, 1, 1)}, 1), under)
    assert ("jump", 1) not in found


def test_another_finger_on_the_same_place_replaces_it():
    assert two((1, 2, 2), (1, 2, 1)) == {
        ("land", 1): 1,
        ("replace", 1): 12,
        ("exchange", 1): 10,
    }
    # A bound finger is down at its place.
    notes = [note(67, 0, 1, auxiliaries=(69,)), note(69, 1, 1)]
    first = hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)})
    assert moves(question(notes), first, hand({1: (1, 5, 3)}, 2))[("replace", 1)] == 12
    assert moves(question(notes), first, hand({1: (1, 5, 4)}, 2)) == {}


def test_3_and_4_alternate_badly():
    assert two((1, 3, 3), (1, 4, 4)) == {("land", 1): 1, ("weak_pair", 1): 2}
    assert two((1, 4, 4), (1, 3, 3)) == {("land", 1): 1, ("weak_pair", 1): 2}
    # One placed of two struck is alone.
    notes = [note((59, 67), 0, 1), note(68, 1, 1)]
    both = moves(question(notes), hand({0: (2, 0, 0), 1: (1, 3, 3)}, 1), hand({2: (1, 4, 4)}, 1))
    assert ("weak_pair", 1) not in both
    one = moves(question(notes), hand({1: (1, 3, 3)}, 1), hand({2: (1, 4, 4)}, 1))
    assert one[("weak_pair", 1)] == 2

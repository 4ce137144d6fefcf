"""What a move and a seam cost, docs/model.md section 5: fingerings with their bills
worked out on paper, which the constraints must find as well."""

from left_hand_by_hand import bar, hand, items, line, note, question

POSTURE_TERMS = {
    "stop",
    "finger_3",
    "finger_4",
    "height",
    "extension",
    "contraction",
    "lead",
    "stretch",
    "crossed",
    "crowd",
    "barre_hold",
    "tone_high",
    "tone_long",
    "ornament",
    "house",
}


def moves(asked, *postures) -> dict:
    """What is paid on moves and seams, by term and layer."""
    found = items(asked, *postures)
    return {at: amount for at, amount in found.items() if at[0] not in POSTURE_TERMS}


def two(first, second, p=1, to=None, **more):
    """Two notes one after the other, in one position or in two."""
    opened = (64, 59, 55, 50, 45, 40)
    keys = [opened[string - 1] + fret for string, fret, _ in (first, second)]
    length = more.pop("length", 1)
    asked = question(line(*keys, length=length), **more)
    return moves(asked, hand({0: first}, p), hand({1: second}, to or p))


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


def test_a_barre_is_held_once_a_bar_and_a_fingertip_laid_flat():
    notes = [note((60, 65), k, 1) for k in range(5)] + [note(56, 2, 1, voice=2)]
    asked = question(notes)
    way, n = [], 0
    for k in range(5):
        sounding = {}
        for _ in asked.struck[k]:
            string = {56: 3, 60: 2, 65: 1}[asked.sounds[n].key]
            sounding[n] = (string, 1, 1)
            n += 1
        way.append(hand(sounding, 1, barre=(1, 1, len(sounding))))
    held = {k: amount for (term, k), amount in items(asked, *way).items() if term == "barre_hold"}
    assert held == {0: 4, 2: 4, 4: 4}
    tip = question([note(60, 0, 2, voice=2), note(65, 1, 1)])
    first, after = {0: (2, 1, 1)}, {0: (2, 1, 1), 1: (1, 1, 1)}
    found = items(tip, hand(first, 1), hand(after, 1, barre=(1, 1, 2)))
    assert found["barre_lay", 1] == 16


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


def test_a_barre_lies_already_where_finger_1_strikes():
    notes = [note((60, 65), 0, 1), note(56, 1, 1)]
    under = {0: (2, 1, 1), 1: (1, 1, 1)}
    wide = hand(under, 1, barre=(1, 1, 3))
    assert moves(question(notes), wide, hand({2: (3, 1, 1)}, 1)) == {("barre_lay", 0): 16}
    # Not on a string beside it, nor at another fret.
    narrow = hand(under, 1, barre=(1, 1, 2))
    paid = {("barre_lay", 0): 8, ("land", 1): 1, ("jump", 1): 2, ("twice", 1): 8}
    assert moves(question(notes), narrow, hand({2: (3, 1, 1)}, 1)) == paid
    notes = [note((60, 65), 0, 1), note((56, 57), 1, 1)]
    higher = hand({2: (4, 6, 4), 3: (3, 2, 1)}, 3)
    assert moves(question(notes), wide, higher)[("land", 1)] == 2
    # Nor under what is lifted: ② and ① here.
    notes = [note((51, 56, 59), 0, 1), note((60, 65), 1, 1)]
    sounding = {0: (4, 1, 1), 1: (3, 1, 1), 2: (2, 0, 0)}
    hinge = hand(sounding, 1, barre=(1, 1, 4), hinge="thin")
    laid = hand({3: (2, 1, 1), 4: (1, 1, 1)}, 1, barre=(1, 1, 2))
    paid = {("barre_lay", 0): 24, ("land", 1): 1, ("hinge", 1): 6}
    assert moves(question(notes), hinge, laid) == paid


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


def test_finger_1_may_meet_a_position_above_its_fret_but_not_stay():
    def lead(first, second, *at):
        return two(first, second, *at).get(("lead_stay", 1), 0)

    assert lead((2, 3, 2), (1, 3, 1), 2) == 10
    assert lead((1, 3, 1), (1, 3, 1), 2) == 10
    # Its own fret, in I, and where the hand comes.
    assert lead((2, 3, 2), (1, 2, 1), 2) == 0
    assert lead((2, 3, 3), (1, 2, 1), 1) == 0
    assert lead((2, 3, 3), (1, 3, 1), 1, 2) == 0


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


def test_laying_a_barre():
    f = {0: (2, 1, 1), 1: (1, 1, 1)}
    laid = [note((60, 65), 1, 1)]

    def lay(before, notes, barre=(1, 1, 2)):
        shifted = {n + len(before.sounding): at for n, at in f.items()}
        asked = question([*notes, *laid])
        return moves(asked, before, hand(shifted, 1, barre=barre)).get(("barre_lay", 1), 0)

    # Two new strings, less one; only one new string.
    assert lay(hand({0: (4, 2, 2)}, 1), [note(52, 0, 1)]) == 8
    assert lay(hand({0: (1, 1, 1)}, 1), [note(65, 0, 1)]) == 8
    # From under a barre nothing is new, nor from under its lifted part.
    assert lay(hand(dict(f), 1, barre=(1, 1, 2)), [note((60, 65), 0, 1)]) == 0
    hinge = hand({0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}, 1, barre=(1, 1, 4), hinge="thin")
    assert lay(hinge, [note((51, 60, 64), 0, 1)]) == 0
    # Where finger 1 was on another fret it is new.
    assert lay(hand({0: (1, 2, 1)}, 1), [note(66, 0, 1)]) == 8


def test_where_the_hand_begins_anew_a_barre_is_laid_from_the_air():
    # Two strings less one; a lifted one counts; other fingers do not make it twice.
    chord = {0: (4, 3, 3), 1: (2, 1, 1), 2: (1, 1, 1)}
    asked = question([note((53, 60, 65), 0, 1)])
    assert moves(asked, hand(chord, 1, barre=(1, 1, 2))) == {("barre_lay", 0): 8}
    notes = [note((51, 60, 64), 0, 1), note(65, 1, 1)]
    hinge = hand({0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}, 1, barre=(1, 1, 4), hinge="thin")
    assert moves(question(notes), hinge, hand({3: (1, 1, 1)}, 1))[("barre_lay", 0)] == 24
    # A bar is left out after the second, so the third is not reached from it.
    notes = [note((60, 65), k, 1) for k in range(3)]
    under = [hand({2 * k: (2, 1, 1), 2 * k + 1: (1, 1, 1)}, 1, barre=(1, 1, 2)) for k in range(3)]
    bars = [bar(k, 1) for k in range(3)]
    assert moves(question(notes, bars=bars), *under) == {("barre_lay", 0): 8}
    cut = question(notes, bars=bars, order=[0, 1, 0, 2])
    assert moves(cut, *under) == {("barre_lay", 0): 8, ("barre_lay", 2): 8}


def test_laying_a_barre_costs_twice_while_others_hold():
    notes = [note(43 + 5, 0, 2, voice=2), note(64, 0, 1), note((60, 65), 1, 1)]
    asked = question(notes)
    first = hand({0: (5, 3, 3), 1: (1, 0, 0)}, 1)
    after = hand({0: (5, 3, 3), 2: (2, 1, 1), 3: (1, 1, 1)}, 1, barre=(1, 1, 2))
    assert moves(asked, first, after)[("barre_lay", 1)] == 16
    # Where finger 1 stayed it is not new.
    notes = [note(65, 0, 1), note(64 - 5, 1, 1), note((60, 65), 2, 1)]
    first, after = hand({0: (1, 1, 1)}, 1), hand({2: (2, 1, 1), 3: (1, 1, 1)}, 1, barre=(1, 1, 2))
    stayed = hand({1: (2, 0, 0)}, 1, staying={1: (1, 1)})
    assert moves(question(notes), first, stayed, after)[("barre_lay", 2)] == 8
    # Three strings: with it two are new, without it three less one.
    notes = [note(65, 0, 1), note(59, 1, 1), note((56, 60, 65), 2, 1)]
    sounding = {2: (3, 1, 1), 3: (2, 1, 1), 4: (1, 1, 1)}
    after = hand(sounding, 1, barre=(1, 1, 3))
    for staying in ({1: (1, 1)}, {}):
        between = hand({1: (2, 0, 0)}, 1, staying=staying)
        assert moves(question(notes), first, between, after)[("barre_lay", 2)] == 16


def test_a_hinge_is_moved():
    notes = [note((51, 60, 64), 0, 1), note((51, 60, 65), 1, 1)]
    hinge = hand({0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}, 1, barre=(1, 1, 4), hinge="thin")
    laid = hand({3: (4, 1, 1), 4: (2, 1, 1), 5: (1, 1, 1)}, 1, barre=(1, 1, 4))
    assert moves(question(notes), hinge, laid) == {("barre_lay", 0): 24, ("hinge", 1): 6}
    # Not on another fret.
    notes = [note((60, 65), 0, 1), note((61, 66), 1, 1)]
    low = hand({0: (2, 1, 1), 1: (1, 1, 1)}, 1, barre=(1, 1, 2))
    high = hand({2: (2, 2, 1), 3: (1, 2, 1)}, 1, barre=(2, 1, 2))
    assert ("hinge", 1) not in moves(question(notes), low, high)


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


def joined(by, first, second, p=1, to=None, **more):
    opened = (64, 59, 55, 50, 45, 40)
    keys = [opened[string - 1] + fret for string, fret, _ in (first, second)]
    asked = question(line(*keys), joins=[(0, 1, by)], **more.pop("asked", {}))
    postures = hand({0: first}, p, **more), hand({1: second}, p if to is None else to)
    found = moves(asked, *postures)
    return found.get(("join", 1), 0), found.get(("join_weak", 1), 0)


def test_a_slur_upwards():
    assert joined("slur", (1, 1, 1), (1, 3, 3)) == (0, 0)
    assert joined("slur", (1, 0, 0), (1, 3, 3), None, 1) == (0, 0)
    # By one finger, on two strings, over a shift.
    assert joined("slur", (1, 1, 1), (1, 2, 1)) == (240, 0)
    assert joined("slur", (2, 3, 3), (1, 3, 4)) == (240, 0)
    assert joined("slur", (1, 1, 1), (1, 3, 2), 1, 2) == (240, 0)
    # From 3 to 4.
    assert joined("slur", (1, 3, 3), (1, 4, 4)) == (0, 6)


def test_a_slur_downwards():
    assert joined("slur", (1, 3, 3), (1, 0, 0)) == (0, 0)
    assert joined("slur", (1, 3, 3), (1, 1, 1)) == (240, 0)
    assert joined("slur", (1, 3, 3), (1, 1, 1), staying={1: (1, 1)}) == (0, 0)
    assert joined("slur", (1, 4, 4), (1, 3, 3), staying={3: (1, 3)}) == (0, 6)
    # Another finger waits there than the one that plays.
    assert joined("slur", (1, 3, 3), (1, 2, 1), staying={2: (1, 2)}) == (240, 0)


def test_a_barre_waits_for_a_slur_downwards():
    """G F on ①, the F under a barre that stops C on ② already."""
    notes = [*line(67, 65), note(60, 0, 1, voice=2)]
    asked = question(notes, joins=[(0, 1, "slur")])
    sounding, after = {0: (2, 1, 1), 1: (1, 3, 3)}, hand({2: (1, 1, 1)}, 1)
    assert moves(asked, hand(sounding, 1, barre=(1, 1, 2)), after) == {("barre_lay", 0): 8}
    apart = {("join", 1): 240, ("land", 1): 1, ("jump", 1): 2}
    assert moves(asked, hand(sounding, 1), after) == apart
    # Finger 2 does not lie there.
    other = hand({2: (1, 1, 2)}, 1)
    assert moves(asked, hand(sounding, 1, barre=(1, 1, 2)), other)[("join", 1)] == 240
    # Under a lifted part it does not wait: ④ and ③ stopped, ② open.
    notes = [*line(67, 65), note((51, 56, 59), 0, 1, voice=2)]
    sounding = {0: (4, 1, 1), 1: (3, 1, 1), 2: (2, 0, 0), 3: (1, 3, 3)}
    hinge = hand(sounding, 1, barre=(1, 1, 4), hinge="thin")
    asked = question(notes, joins=[(0, 1, "slur")])
    paid = {("barre_lay", 0): 24, ("join", 1): 240, ("land", 1): 1}
    assert moves(asked, hinge, hand({4: (1, 1, 1)}, 1)) == paid


def test_a_glissando():
    assert joined("glissando", (1, 1, 1), (1, 2, 1)) == (0, 0)
    assert joined("glissando", (1, 1, 1), (1, 3, 1), 1, 3) == (0, 0)
    assert joined("glissando", (1, 1, 1), (1, 3, 3)) == (240, 0)
    assert joined("glissando", (1, 0, 0), (1, 3, 3), None, 1) == (240, 0)


def test_what_is_left_out_is_joined_to_nothing():
    asked = question(line(65, 67), joins=[(0, 1, "slur")])
    assert ("join", 1) not in moves(asked, hand({0: (1, 1, 1)}, 1), hand({}, 1))
    assert moves(asked, hand({}), hand({1: (1, 3, 3)}, 1))[("join", 1)] == 240
    # Harmonics are not joined.
    notes = [note(65, 0, 1), note(88, 1, 1, harmonic="artificial")]
    asked = question(notes, joins=[(0, 1, "slur")])
    after = hand({1: (1, 12, 4)}, 9)
    assert moves(asked, hand({0: (1, 1, 1)}, 1), after)[("join", 1)] == 240


def test_a_join_is_asked_only_where_the_first_sound_ends_there():
    """The F is struck again, in another voice, before it is slurred to the G."""
    notes = [note(65, 0, 2), note(65, 1, "1/2", voice=2), note(67, 2, 1)]
    asked = question(notes, joins=[(0, 2, "slur")])
    f, g = (1, 1, 1), (1, 3, 3)
    found = moves(asked, hand({0: f}, 1), hand({1: f}, 1), hand({2: g}, 1))
    assert ("join", 2) not in found


def test_letting_go():
    """A half in the melody, an inner voice and the bass, let go after a quarter
    and after seven eighths."""
    for voice, term, value in ((1, "cut_melody", 120), (2, "cut_bass", 60)):
        other = 3 - voice
        for length, charged in ((2, value), ("8/7", value * 15 // 100)):
            notes = [note(67, 0, length, voice=voice), note(52, 1, 1, voice=other)]
            asked = question(notes)
            first, after = hand({0: (1, 3, 3)}, 1), hand({1: (4, 2, 2)}, 1)
            assert moves(asked, first, after) == {(term, 1): charged, ("land", 1): 1}
    notes = [note((60, 67), 0, 2), note(52, 1, 1, voice=2)]
    first = hand({0: (2, 1, 1), 1: (1, 3, 3)}, 1)
    kept = hand({1: (1, 3, 3), 2: (4, 2, 2)}, 1)
    assert moves(question(notes), first, kept) == {("cut_inner", 1): 30, ("land", 1): 1}


def test_a_broken_chord_stops_ringing():
    """E A C in eighths; the E is let go at the C, after its own end, the A at
    the next E."""
    notes = [*line(52, 57, 60, 64, length="1/2"), note(50, 4, 1)]
    asked = question(notes)
    e, a, c, high = (4, 2, 2), (3, 2, 3), (2, 1, 1), (1, 0, 0)
    postures = [
        hand({0: e}, 1),
        hand({0: e, 1: a}, 1),
        hand({1: a, 2: c}, 1),
        hand({2: c, 3: high}, 1),
        hand({4: (4, 0, 0)}, 1),
    ]
    found = moves(asked, *postures)
    assert {at: n for at, n in found.items() if at[0] == "ring"} == {("ring", 2): 16, ("ring", 3): 16}


def test_a_harmonic_rings_on_and_is_let_go():
    notes = [note(76, 0, 2, harmonic="natural"), note(52, 1, 1, voice=2)]
    asked = question(notes)
    first = hand({0: (1, 12, 3)}, 10)
    kept = moves(asked, first, hand({0: (1, 0, 0), 1: (4, 2, 2)}, 1))
    assert ("cut_melody", 1) not in kept
    cut = moves(asked, first, hand({1: (4, 2, 2)}, 1))
    assert cut[("cut_melody", 1)] == 120


ENDINGS = [bar(0), bar(4, repeat_end=2), bar(8)]


def test_nothing_is_paid_over_a_cut():
    notes = [note(65, 0, 1), note(65, 4, 8), note(72, 8, 4)]
    asked = question(notes, bars=ENDINGS, order=[0, 1, 2])
    postures = [hand({0: (1, 1, 1)}, 1), hand({1: (1, 1, 1)}, 1), hand({2: (1, 8, 4)}, 5)]
    assert ("shift", 2) in moves(asked, *postures)
    # Bar 2 is the first ending, bar 3 the second: from the first of bar 1 the
    # hand comes to bar 3 after 3 quarters and more.
    asked = question(notes, bars=ENDINGS, order=[0, 1, 0, 2])
    found = moves(asked, *postures)
    # Of 57, phrase 40: 22.
    assert found == {("shift", 2): 32, ("travel", 2): 25, ("ease", 2): -22}


def test_a_seam_leads_to_the_first_posture_that_is_not_idle():
    """Open B, then F in I; back from C in V."""
    notes = [note(59, 0, 2), note(65, 2, 2), note(72, 4, 4)]
    bars = [bar(0), bar(4, repeat_end=2)]
    asked = question(notes, bars=bars, order=[0, 1, 0, 1])
    postures = [hand({0: (2, 0, 0)}), hand({1: (1, 1, 1)}, 1), hand({2: (1, 8, 4)}, 5)]
    found = moves(asked, *postures)
    # On the way there the new bar eases it, 5; back phrase and open, 70 of 57.
    assert found == {
        ("land", 1): 1,
        ("land", 2): 1,
        ("shift", 1): 32,
        ("travel", 1): 25,
        ("ease", 1): -39,
        ("shift", 2): 32,
        ("travel", 2): 25,
        ("ease", 2): -5,
    }
    # An idle hand at the end: still open once; nothing down after it: nothing.
    notes = [note(65, 0, 4), note(59, 4, 4)]
    asked = question(notes, bars=bars, order=[0, 1, 0, 1])
    assert moves(asked, hand({0: (1, 1, 1)}, 1), hand({1: (2, 0, 0)}, 1)) == {}
    notes = line(59, 59, length=4)
    asked = question(notes, bars=bars, order=[0, 1, 0, 1])
    assert moves(asked, hand({0: (2, 0, 0)}), hand({1: (2, 0, 0)})) == {}


def test_a_seam_in_a_hurry():
    """A sixteenth at 72 before the repeat, 208 ms: hurry 3."""
    notes = [note(65, 0, 1), note(72, 1, "1/4")]
    bars = [bar(0, "5/4", repeat_end=2)]
    asked = question(notes, bars=bars, order=[0, 0])
    found = moves(asked, hand({0: (1, 1, 1)}, 1), hand({1: (1, 8, 4)}, 5))
    assert found[("shift", 0)] == 96 and found[("travel", 0)] == 75
    assert found[("ease", 0)] == -(96 + 75) * 40 // 100 + 1

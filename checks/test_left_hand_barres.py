"""What a barre costs on a move, docs/model.md section 5: fingerings with their bills worked
out on paper, which the constraints must find as well."""

from left_hand_by_hand import bar, hand, items, moves, note, question


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

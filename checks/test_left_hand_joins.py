"""What slurs and glissandi cost, docs/model.md section 5: fingerings with their bills worked
out on paper, which the constraints must find as well."""

from left_hand_by_hand import hand, line, moves, note, question


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

"""What is let go, what rings on, and what a cut and a seam cost, docs/model.md section 5:
fingerings with their bills worked out on paper, which the constraints must find as well."""

from left_hand_by_hand import bar, hand, items, line, moves, note, question


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

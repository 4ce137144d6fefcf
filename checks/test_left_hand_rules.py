"""What no hand can do, docs/model.md sections 3 and 4: every rule broken and kept,
by the plain checker and by the constraints alike."""

from left_hand_by_hand import bar, hand, line, note, question, refusals


def chord(*keys, **more):
    return question([note(keys, 0, 1)], **more)


def test_p1_the_fret_gives_the_pitch():
    asked = question(line(66))
    assert refusals(asked, hand({0: (1, 2, 1)}, 1)) == set()
    assert refusals(asked, hand({0: (1, 3, 2)}, 1)) == {"P1"}
    # Fret 19 is the last one.
    assert refusals(question(line(83)), hand({0: (1, 19, 1)}, 19)) == set()
    assert refusals(question(line(84)), hand({0: (1, 20, 1)}, 19)) == {"P1"}
    harmonic = question(line(76, harmonic="natural"))
    assert refusals(harmonic, hand({0: (1, 12, 3)}, 10)) == set()
    assert refusals(harmonic, hand({0: (2, 17, 3)}, 15)) == {"P1"}


def test_p2_one_sound_on_a_string():
    assert refusals(chord(64, 66), hand({0: (1, 0, 0), 1: (1, 2, 1)}, 1)) == {"P2"}
    assert refusals(chord(64, 66), hand({0: (2, 5, 4), 1: (1, 2, 1)}, 2)) == set()


def test_p3_a_stopped_string_has_a_finger():
    assert refusals(question(line(66)), hand({0: (1, 2, 0)})) == {"P3"}
    assert "P3" in refusals(question(line(64)), hand({0: (1, 0, 1)}, 1))


def test_p4_only_finger_1_stops_two_strings():
    asked = chord(61, 66)
    assert "P4" in refusals(asked, hand({0: (2, 2, 2), 1: (1, 2, 2)}, 1))
    assert "P4" in refusals(asked, hand({0: (2, 2, 1), 1: (1, 2, 1)}, 2))
    assert refusals(asked, hand({0: (2, 2, 1), 1: (1, 2, 1)}, 2, barre=(2, 1, 2))) == set()


def test_p4_a_barre_ends_where_there_is_something_to_stop():
    """C on ⑤, and C and F on ② ① under finger 1; G♯ is on ③ at its fret."""
    f_major = {0: (5, 3, 3), 1: (2, 1, 1), 2: (1, 1, 1)}
    asked = chord(48, 60, 65)
    assert refusals(asked, hand(f_major, 1, barre=(1, 1, 2))) == set()
    # No G♯; finger 1 outside; one string; a fret where it stops nothing.
    for barre in ((1, 1, 3), (1, 2, 3), (1, 1, 1), (2, 1, 2)):
        assert "P4" in refusals(asked, hand(f_major, 1, barre=barre)), barre
    # It may wait for a G♯ that is struck next, even elsewhere, but not later.
    wide = hand(f_major, 1, barre=(1, 1, 3))
    sharp, other = (4, 6, 3), (2, 3, 1)
    soon = [wide, hand({3: sharp}, 4), hand({4: other}, 3)]
    assert refusals(question([note((48, 60, 65), 0, 1), *line(56, 62, start=1)]), *soon) == set()
    late = [wide, hand({3: other}, 3), hand({4: sharp}, 4)]
    notes = [note((48, 60, 65), 0, 1), *line(62, 56, start=1)]
    assert refusals(question(notes), *late) == {"P4"}


def test_p4_in_a_figure_a_barre_waits_for_later_sounds():
    """A on ③, C on ②, F on ④, F on ①: the barre lies from the C on."""
    places = [(3, 2, 2), (2, 1, 1), (4, 3, 3), (1, 1, 1)]
    for length, refused in (("1/2", set()), (1, {"P4"})):
        asked = question(line(57, 60, 53, 65, length=length))
        kept = length == "1/2"
        postures = [
            hand(
                {n: places[n] for n in range(0 if kept else k, k + 1)},
                1,
                barre=(1, 1, 2) if k == 1 or kept and k > 1 else None,
            )
            for k in range(4)
        ]
        assert refusals(asked, *postures) == refused


def test_p4_under_a_barre_every_string_is_stopped_or_the_barre_is_a_hinge():
    # ① open above C on ② and F on ④ (finger 1 at fret 1 and 3 elsewhere).
    asked = chord(53, 60, 64)
    sounding = {0: (4, 3, 3), 1: (2, 1, 1), 2: (1, 0, 0)}
    assert refusals(asked, hand(sounding, 1)) == set()
    assert "P4" in refusals(asked, hand(sounding, 1, barre=(1, 1, 2)))
    # E♭ on ④ at fret 1 and C on ②, with ① open: the thin side is lifted. For
    # that F, which ① gives at fret 1, has to be struck next.
    notes = [note((51, 60, 64), 0, 1), note(65, 1, 1)]
    sounding = {0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}
    after = hand({3: (1, 1, 1)}, 1)
    asked = question(notes)
    for barre, hinge, refused in (
        ((1, 1, 4), "thin", set()),
        ((1, 1, 4), None, {"P4"}),
        ((1, 1, 4), "thick", {"P4"}),
        ((1, 2, 4), None, set()),
        # Nothing open in what would be lifted.
        ((1, 2, 4), "thin", {"P4"}),
        (None, "thin", {"P4"}),
    ):
        assert refusals(asked, hand(sounding, 1, barre=barre, hinge=hinge), after) == refused
    # On ② alone, ① lifted, or on ② and ③: the laid part is two strings at least.
    for keys, sounding, refused in (
        ((60, 64), {0: (2, 1, 1), 1: (1, 0, 0)}, {"P4"}),
        ((56, 60, 64), {0: (3, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}, set()),
    ):
        asked = question([note(keys, 0, 1), note(65, 1, 1)])
        hinge = hand(sounding, 1, barre=(1, 1, len(keys)), hinge="thin")
        assert refusals(asked, hinge, hand({len(keys): (1, 1, 1)}, 1)) == refused
    # The thick side: ① alone under a barre on ② with ② open, C to come.
    asked = question([note((59, 65), 0, 1), note(60, 1, 1)])
    hinge = hand({0: (2, 0, 0), 1: (1, 1, 1)}, 1, barre=(1, 1, 2), hinge="thick")
    assert refusals(asked, hinge, hand({2: (2, 1, 1)}, 1)) == {"P4"}
    # ⑤ open, ④ and ② at fret 1; B♭, fret 1 on ⑤, is next.
    notes = [note((45, 51, 60), 0, 1), note(46, 1, 1)]
    sounding = {0: (5, 0, 0), 1: (4, 1, 1), 2: (2, 1, 1)}
    after = hand({3: (5, 1, 1)}, 1)
    lifted = hand(sounding, 1, barre=(1, 2, 5), hinge="thick")
    assert refusals(question(notes), lifted, after) == set()


def test_p4_no_harmonic_is_touched_under_what_is_laid():
    """E♭ and C under a barre on ④ to ②; on ③ fret 4 B, or touched there."""
    sounding = {0: (4, 1, 1), 1: (3, 4, 4), 2: (2, 1, 1)}
    assert refusals(chord(51, 59, 60), hand(sounding, 1, barre=(1, 2, 4))) == set()
    notes = [note((51, 60), 0, 1), note(83, 0, 1, voice=2, harmonic="natural")]
    touched = {0: (4, 1, 1), 1: (2, 1, 1), 2: (3, 4, 4)}
    assert refusals(question(notes), hand(touched, 1, barre=(1, 2, 4))) == {"P4"}
    # Over what is lifted it may be: ④ and ③ are stopped, ① is open.
    notes = [
        note((51, 56, 64), 0, 1),
        note(87, 0, 1, voice=2, harmonic="natural"),
        note(65, 1, 1),
    ]
    touched = {0: (4, 1, 1), 1: (3, 1, 1), 2: (1, 0, 0), 3: (2, 4, 4)}
    hinge = hand(touched, 1, barre=(1, 1, 4), hinge="thin")
    assert refusals(question(notes), hinge, hand({4: (1, 1, 1)}, 1)) == set()


def test_p4_a_barre_may_end_on_what_an_ornament_calls_for():
    """C♯ on ② at fret 2, and G♯ on ① with finger 3; F♯ is on ① at fret 2."""
    under = hand({0: (2, 2, 1), 1: (1, 4, 3)}, 2, barre=(2, 1, 2))
    for auxiliaries, refused in (((), {"P4"}), ((66,), set()), ((70,), {"P4"})):
        notes = [note((61, 68), 0, 1, auxiliaries=auxiliaries)]
        assert refusals(question(notes), under) == refused
    # Not of a harmonic, nor of a sound that is kept.
    notes = [note(61, 0, 1, voice=2), note(80, 0, 1, harmonic="artificial", auxiliaries=(66,))]
    assert refusals(question(notes), under) == {"P4"}
    notes = [note(68, 0, 2, auxiliaries=(66,)), note(61, 1, 1, voice=2)]
    kept = hand({0: (1, 4, 3), 1: (2, 2, 1)}, 2, barre=(2, 1, 2))
    assert refusals(question(notes), hand({0: (1, 4, 3)}, 2), kept) == {"P4"}


def test_p4_a_finger_does_one_thing():
    # Finger 1 stops F on ① and cannot touch the harmonic on ⑥ as well.
    notes = [note(65, 0, 1), note(52, 0, 1, voice=2, harmonic="natural")]
    assert "P4" in refusals(question(notes), hand({0: (6, 12, 1), 1: (1, 1, 1)}, 1))
    # A barre cannot be of harmonics.
    asked = question([note((71, 76), 0, 1, harmonic="natural")])
    sounding = {0: (2, 12, 1), 1: (1, 12, 1)}
    assert "P4" in refusals(asked, hand(sounding, 12, barre=(12, 1, 2)))
    assert refusals(asked, hand({0: (2, 12, 3), 1: (1, 12, 4)}, 10)) == set()


def test_p5_higher_fingers_on_higher_frets():
    asked = chord(61, 67)
    assert refusals(asked, hand({0: (2, 2, 1), 1: (1, 3, 2)}, 2)) == set()
    assert "P5" in refusals(asked, hand({0: (2, 2, 3), 1: (1, 3, 2)}, 1))
    # Two fingers on one fret, but not beside a barre.
    asked = chord(61, 66)
    assert refusals(asked, hand({0: (2, 2, 2), 1: (1, 2, 3)}, 1)) == set()
    asked = chord(57, 61, 66)
    sounding = {0: (3, 2, 2), 1: (2, 2, 1), 2: (1, 2, 1)}
    assert "P5" in refusals(asked, hand(sounding, 2, barre=(2, 1, 2)))


def test_p6_no_farther_than_the_hand_reaches():
    """Finger 3 on ① at fret 2, finger 4 on ② at fret 4: dx is 1341 − 709 = 632,
    the slant 20, dy 96: 659 tenths of a millimetre, not 640."""
    far = hand({0: (2, 4, 4), 1: (1, 2, 3)}, 1)
    assert refusals(chord(63, 66), far) == {"P6"}
    assert refusals(chord(63, 66, level={"reach": REACHING}), far) == set()
    # Under a barre only frets count: from 1 to 5 it is 1631 − 365 = 1266.
    sounding = {0: (6, 5, 4), 1: (2, 1, 1), 2: (1, 1, 1)}
    under = hand(sounding, 1, barre=(1, 1, 2))
    assert refusals(chord(45, 60, 65), under) == {"P6"}
    assert refusals(chord(45, 60, 65, level={"reach": REACHING}), under) == set()


REACHING = {"1-2": 800, "1-3": 1050, "1-4": 1266, "2-3": 660, "2-4": 950, "3-4": 660}


def test_p7_fingers_stay_about_their_frets():
    """Fret 5, from three frets out to as many in as a finger has."""
    asked = question(line(69))
    for finger, allowed in ((1, range(4, 9)), (2, range(1, 6)), (3, range(1, 6)), (4, range(1, 6))):
        for p in range(1, 10):
            refused = refusals(asked, hand({0: (1, 5, finger)}, p))
            assert refused == (set() if p in allowed else {"P7"}), (finger, p)


def test_p8_a_hand_with_a_finger_down_has_a_position():
    assert refusals(question(line(66)), hand({0: (1, 2, 1)}, None)) == {"P8"}
    assert refusals(question(line(64)), hand({0: (1, 0, 0)}, None)) == set()
    assert refusals(question(line(64)), hand({0: (1, 0, 0)}, 1)) == {"idle"}


def test_an_idle_hand_stands_where_it_stood():
    asked = question(line(66, 64))
    first = hand({0: (1, 2, 1)}, 2)
    assert refusals(asked, first, hand({1: (1, 0, 0)}, 2)) == set()
    assert refusals(asked, first, hand({1: (1, 0, 0)}, 3)) == {"idle"}
    assert refusals(asked, first, hand({1: (1, 0, 0)}, None)) == {"idle"}


def held(asked, first, *later, p=2, **staying):
    """Postures of single notes in one position; fingers stay from the second
    on."""
    staying = {int(name[1]): at for name, at in staying.items()}
    postures = [hand({0: first}, p)]
    postures += [hand({n: at}, p, staying=staying) for n, at in enumerate(later, start=1)]
    return refusals(asked, *postures)


def test_p9_a_finger_stays_for_a_note_that_comes_soon():
    """G on ① with finger 2, others on ②, and the G again."""
    g, e, d, c = (1, 3, 2), (2, 5, 4), (2, 3, 3), (2, 1, 1)
    asked = question(line(67, 64, 67))
    postures = [hand({0: g}, 2), hand({1: e}, 2, staying={2: (1, 3)}), hand({2: g}, 2)]
    assert refusals(asked, *postures) == set()
    # After two layers it does, after three not.
    for keys, places, refused in (
        ((67, 64, 62, 67), (g, e, d), set()),
        ((67, 64, 62, 60, 67), (g, e, d, c), {"P9"}),
    ):
        postures = [hand({n: at}, 2) for n, at in enumerate(places)]
        postures[1] = hand({1: e}, 2, staying={2: (1, 3)})
        postures.append(hand({len(places): g}, 2))
        assert refusals(question(line(*keys)), *postures) == refused


def test_p9_a_finger_stays_as_a_guide():
    # While the hand is idle, if there is a next layer.
    g, b = (1, 3, 2), (2, 0, 0)
    asked = question(line(67, 59, 69))
    postures = [hand({0: g}, 2), hand({1: b}, 2, staying={2: (1, 3)}), hand({2: (1, 5, 4)}, 2)]
    assert refusals(asked, *postures) == set()
    assert refusals(question(line(67, 59)), *postures[:2]) == {"P9"}
    # Behind a sound on its string.
    postures = [hand({0: g}, 2), hand({1: (1, 5, 4)}, 2, staying={2: (1, 3)}), hand({2: b}, 2)]
    assert refusals(question(line(67, 69, 59)), *postures) == set()
    assert refusals(question(line(67, 69)), *postures[:2]) == {"P9"}
    postures[1] = hand({1: (2, 5, 4)}, 2, staying={2: (1, 3)})
    assert refusals(question(line(67, 64, 59)), *postures) == {"P9"}


def test_p9_what_sounds_on_the_string_is_stopped_in_front():
    g = (1, 3, 2)
    for key, at in ((64, (1, 0, 0)), (66, (1, 2, 1))):
        postures = [hand({0: g}, 2), hand({1: at}, 2, staying={2: (1, 3)}), hand({2: g}, 2)]
        assert "P9" in refusals(question(line(67, key, 67)), *postures)
    # A touched string is not stopped.
    notes = [note(67, 0, 1), note(76, 1, 1, harmonic="natural"), note(67, 2, 1)]
    far = hand({1: (1, 12, 4)}, 9, staying={1: (1, 9)})
    first = hand({0: (4, 17, 4)}, 14)
    assert "P9" in refusals(question(notes), first, far, hand({2: g}, 2))


def test_p9_no_extension_no_more_than_two_and_no_finger_at_work():
    g, e = (1, 3, 2), (2, 5, 4)
    asked = question(line(67, 64, 67))
    reached = [hand({0: g}, 1), hand({1: (2, 5, 4)}, 1, staying={2: (1, 3)}), hand({2: g}, 1)]
    assert refusals(asked, *reached) == {"P9"}
    at_work = [hand({0: g}, 2), hand({1: e}, 2, staying={4: (1, 3)}), hand({2: g}, 2)]
    assert "P9" in refusals(asked, *at_work)
    # Three fingers stay over an open string.
    sounding = {0: (4, 3, 3), 1: (3, 2, 2), 2: (2, 1, 1)}
    asked = question([note((53, 57, 60), 0, 1), note(64, 1, 1), note(60, 2, 1)])
    places = {3: (4, 3), 2: (3, 2), 1: (2, 1)}
    for count, refused in ((2, set()), (3, {"P9"})):
        staying = dict(list(places.items())[:count])
        postures = [hand(sounding, 1), hand({3: (1, 0, 0)}, 1, staying=staying)]
        assert refusals(asked, *postures, hand({4: (2, 1, 1)}, 1)) == refused


def test_p9_a_finger_waits_for_a_slur():
    """G F♯ on ①: finger 2 is at F♯ before, and need not have been there."""
    ready = hand({0: (1, 3, 3)}, 1, staying={2: (1, 2)})
    after = hand({1: (1, 2, 2)}, 1)
    assert refusals(question(line(67, 66), joins=[(0, 1, "slur")]), ready, after) == set()
    assert refusals(question(line(67, 66), joins=[(0, 1, "glissando")]), ready, after) == {"M3"}
    assert refusals(question(line(67, 66)), ready, after) == {"M3"}
    wrong = hand({0: (1, 3, 3)}, 1, staying={1: (1, 1)})
    assert refusals(question(line(67, 66), joins=[(0, 1, "slur")]), wrong, after) == {"M3"}
    # On another string it does not wait for this slur.
    aside = hand({0: (2, 8, 3)}, 6, staying={2: (1, 7)})
    refused = refusals(question(line(67, 66), joins=[(0, 1, "slur")]), aside, after)
    assert refused == {"P9", "M3"}


def away(d, *placements, position=3, **more):
    """G on ①, then what is reached for, and back."""
    keys = [(64, 59)[string - 1] + fret for string, fret, _ in placements]
    asked = question([note(67, 0, 1), note(keys, 1, 1), note(67, 2, 1)])
    sounding = {n: at for n, at in enumerate(placements, start=1)}
    return refusals(
        asked,
        hand({0: (1, 3, 1)}, position),
        hand(sounding, position, away=d, **more),
        hand({len(placements) + 1: (1, 3, 1)}, position),
    )


def test_p10_a_reach_is_of_two_to_four_frets():
    for d in range(1, 6):
        # Finger 4 falls on fret 6 at rest.
        assert away(d, (1, 6 + d, 4)) == (set() if d in (2, 3, 4) else {"P10"})
    # No finger at its own fret; one extended besides.
    assert away(2, (1, 7, 4)) == {"P10"}
    assert away(2, (2, 7, 3), (1, 8, 4)) == set()
    assert away(2, (2, 7, 3), (1, 9, 4)) == {"P10"}


def test_p10_a_reach_is_for_struck_sounds_alone():
    """A low G under finger 1, let go or held."""
    start = hand({0: (6, 3, 1), 1: (1, 3, 2)}, 3)
    for length, kept, refused in ((1, {}, set()), (2, {0: (6, 3, 1)}, {"P10"})):
        asked = question([note(43, 0, length, voice=2), *line(67, 72)])
        # It is too far off besides.
        found = refusals(asked, start, hand(kept | {2: (1, 8, 4)}, 3, away=2))
        assert found - {"P6"} == refused
    # A barre, a finger that stays, a bound one, and none at all.
    notes = [note(67, 0, 1), note((67, 72), 1, 1)]
    barre = hand({1: (2, 8, 1), 2: (1, 8, 1)}, 5, away=3, barre=(8, 1, 2))
    assert refusals(question(notes), hand({0: (1, 3, 1)}, 5), barre) == {"P10"}
    idle = [hand({0: (1, 3, 1)}, 3), hand({1: (1, 0, 0)}, 3, away=2)]
    assert refusals(question(line(67, 64)), *idle) == {"P10"}
    ornamented = question([note(67, 0, 1), note(71, 1, 1, auxiliaries=(72,))])
    bound = hand({1: (1, 7, 3)}, 3, away=2, bound={4: (1, 8)})
    assert refusals(ornamented, hand({0: (1, 3, 1)}, 3), bound) == {"P10"}


def test_p11_an_ornament_is_whole_or_not_at_all():
    turn = question([note(67, 0, 1, auxiliaries=(66, 69))])
    for bound, refused in (
        ({}, set()),
        ({1: (1, 2), 4: (1, 5)}, set()),
        ({4: (1, 5)}, {"P11"}),
        ({1: (1, 2)}, {"P11"}),
        ({1: (2, 2), 4: (1, 5)}, {"P11"}),
        ({1: (1, 2), 3: (1, 4), 4: (1, 5)}, {"P11"}),
    ):
        assert refusals(turn, hand({0: (1, 3, 2)}, 2, bound=bound)) == refused, bound
    assert refusals(question(line(67)), hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)})) == {"P11"}
    # The open string needs no finger; its sound's own finger is none.
    to_open = question([note(65, 0, 1, auxiliaries=(64,))])
    assert refusals(to_open, hand({0: (1, 1, 1)}, 1)) == set()
    own = refusals(turn, hand({0: (1, 3, 2)}, 2, bound={1: (1, 2), 2: (1, 5)}))
    assert "P4" in own and "P11" in own


def test_p11_a_barre_gives_what_it_lies_over():
    """C♯ on ② and F♯ below G♯ on ① under the barre, A♯ above by finger 4."""
    sounding = {0: (2, 2, 1), 1: (1, 4, 3)}
    turn = question([note((61, 68), 0, 1, auxiliaries=(66, 70))])
    for bound, refused in (({}, set()), ({4: (1, 6)}, set()), ({2: (1, 2)}, {"P11", "P5"})):
        under = hand(sounding, 2, barre=(2, 1, 2), bound=bound)
        assert refusals(turn, under) == refused, bound
    # Without the barre finger 4 is bound to half an ornament.
    assert refusals(turn, hand(sounding, 2, bound={4: (1, 6)})) == {"P11"}
    # A barre at another fret gives nothing.
    turn = question([note((61, 68), 0, 1, auxiliaries=(67, 70)), note(66, 1, 1)])
    under = hand(sounding, 2, barre=(2, 1, 2), bound={4: (1, 6)})
    assert refusals(turn, under, hand({2: (1, 2, 1)}, 2)) == {"P11"}


def test_p11_only_a_plain_sound_is_ornamented_and_while_it_is_struck():
    touched = question([note(76, 0, 1, harmonic="natural", auxiliaries=(78,))])
    assert refusals(touched, hand({0: (1, 12, 2)}, 11, bound={4: (1, 14)})) == {"P11"}
    held = question([note(67, 0, 2, auxiliaries=(69,)), note(50, 1, 1, voice=2)])
    first = hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)})
    for bound, refused in (({}, set()), ({4: (1, 5)}, {"P11"})):
        after = hand({0: (1, 3, 2), 1: (4, 0, 0)}, 2, bound=bound)
        assert refusals(held, first, after) == refused


def test_m1_a_kept_sound_keeps_its_place_and_finger():
    asked = question([note(67, 0, 2), note(50, 1, 1, voice=2)])
    first = hand({0: (1, 3, 2)}, 2)
    for at, refused in (((1, 3, 2), set()), ((1, 3, 3), {"M5"}), ((2, 8, 2), {"M1"})):
        p = at[1] - at[2] + 1
        after = hand({0: at, 1: (4, 0, 0)}, p)
        assert refusals(asked, first, after) == refused
    # A harmonic rings on without its finger.
    ringing = question([note(76, 0, 2, harmonic="natural"), note(50, 1, 1, voice=2)])
    touched = hand({0: (1, 12, 3)}, 10)
    for at, refused in (((1, 0, 0), set()), ((1, 12, 3), {"M1"})):
        assert refusals(ringing, touched, hand({0: at, 1: (4, 0, 0)}, 10)) == refused


def test_m2_what_is_gone_is_gone():
    notes = [note(64, 0, 3, voice=2), note(57, 0, 1), note(59, 1, 1), note(57, 2, 1)]
    a, b, e = (3, 2, 1), (2, 0, 0), (1, 0, 0)
    let_go = [hand({0: a, 1: e}, 2), hand({2: b}, 2), hand({1: e, 3: a}, 2)]
    assert refusals(question(notes), *let_go) == {"M2"}
    left_out = [hand({0: a}, 2), hand({1: e, 2: b}, 2), hand({3: a}, 2)]
    assert refusals(question(notes), *left_out) == {"M2"}
    # Its end has come.
    over = [hand({0: b}), hand({0: b, 1: e})]
    assert refusals(question(line(59, 64)), *over) == {"M2"}


def test_m2_nothing_is_kept_over_a_cut():
    bars = [bar(0), bar(4, repeat_end=2), bar(8)]
    notes = [note(64, 0, 12, voice=2), note(57, 0, 1), note(59, 4, 1), note(57, 8, 1)]
    a, b, e = (3, 2, 1), (2, 0, 0), (1, 0, 0)
    kept = [hand({0: a, 1: e}, 2), hand({1: e, 2: b}, 2), hand({1: e, 3: a}, 2)]
    assert refusals(question(notes, bars=bars, order=[0, 1, 2]), *kept) == set()
    assert refusals(question(notes, bars=bars, order=[0, 1, 0, 2]), *kept) == {"M2"}
    # The hand begins anew: an idle one has no position, and none stays.
    two = question([note(66, 0, 1), note(66, 4, 1), note(64, 8, 1), note(66, 9, 1)],
                   bars=bars, order=[0, 1, 0, 2])
    f, e = (1, 2, 1), (1, 0, 0)
    start = [hand({0: f}, 2), hand({1: f}, 2)]
    assert refusals(two, *start, hand({2: e}), hand({3: f}, 2)) == set()
    assert refusals(two, *start, hand({2: e}, 2), hand({3: f}, 2)) == {"idle"}


def test_m3_a_finger_stays_where_it_was():
    g, b = (1, 3, 2), (2, 0, 0)
    asked = question(line(67, 59, 59, 67))
    last = hand({3: g}, 2)
    for second, third, refused in (
        ({2: (1, 3)}, {2: (1, 3)}, set()),
        ({}, {2: (1, 3)}, {"M3"}),
        ({2: (2, 3)}, {}, {"P9", "M3"}),
        ({3: (1, 3)}, {}, {"M3"}),
    ):
        postures = [hand({0: g}, 2), hand({1: b}, 2, staying=second)]
        assert refusals(asked, *postures, hand({2: b}, 2, staying=third), last) == refused
    # Not where it touched a harmonic; but where it was bound.
    notes = [note(71, 0, 1, harmonic="natural"), note(64, 1, 1), note(71, 2, 1)]
    touched = [hand({0: (2, 12, 3)}, 10), hand({1: (1, 0, 0)}, 10, staying={3: (2, 12)})]
    assert refusals(question(notes), *touched, hand({2: (2, 12, 3)}, 10)) == {"M3"}
    notes = [note(67, 0, 1, auxiliaries=(69,)), note(59, 1, 1), note(69, 2, 1)]
    bound = [hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)}), hand({1: b}, 2, staying={4: (1, 5)})]
    assert refusals(question(notes), *bound, hand({2: (1, 5, 4)}, 2)) == set()


def test_m4_a_reach_comes_straight_back():
    g, reached = (1, 3, 1), (1, 8, 4)
    out = hand({0: (1, 8, 4)}, 3, away=2)
    assert refusals(question(line(72)), out) == {"M4"}
    asked = question(line(67, 72, 67))
    far = hand({1: reached}, 3, away=2)
    for first, last, refused in ((3, 3, set()), (2, 3, {"M4"}), (3, 2, {"M4"})):
        postures = [hand({0: g}, first), far, hand({2: g}, last)]
        assert refusals(asked, *postures) == refused
    # From a hand that has no position yet.
    assert refusals(question(line(64, 72)), hand({0: (1, 0, 0)}), far) == {"M4"}
    # Two reaches one after the other, and an open string.
    asked = question(line(67, 72, 74, 64))
    farther = hand({2: (1, 10, 4)}, 3, away=4)
    assert refusals(asked, hand({0: g}, 3), far, farther, hand({3: (1, 0, 0)}, 3)) == set()

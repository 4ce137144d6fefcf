"""What a posture costs, docs/model.md section 5, and the author's rules: fingerings
with their bills worked out on paper, which the constraints must find as well."""

from left_hand_by_hand import bill, hand, items, line, note, pin, question


def single(placement, p, **more):
    """The bill of one note in a posture; voice 2, so that no melody is long."""
    string, fret, _ = placement
    key = (64, 59, 55, 50, 45, 40)[string - 1] + fret
    return items(question([note(key, 0, 1)], **more), hand({0: placement}, p))


def chord(sounding, p, **more):
    """The bill of notes struck together."""
    keys = [(64, 59, 55, 50, 45, 40)[string - 1] + fret for string, fret, _ in sounding]
    asked = question([note(keys, 0, 1)], **more.pop("asked", {}))
    return items(asked, hand(dict(enumerate(sounding)), p, **more))


def test_a_stopped_note_and_its_finger():
    assert single((1, 0, 0), None) == {}
    assert single((1, 1, 1), 1) == {("stop", 0): 4}
    assert single((1, 2, 2), 1) == {("stop", 0): 4}
    assert single((1, 3, 3), 1) == {("stop", 0): 4, ("finger_3", 0): 2}
    assert single((1, 4, 4), 1) == {("stop", 0): 4, ("finger_4", 0): 6}


def test_a_harmonic_takes_a_finger_too():
    asked = question(line(76, harmonic="natural"))
    # XII is 2 · 12 − 3.
    assert items(asked, hand({0: (1, 12, 1)}, 12)) == {("stop", 0): 4, ("height", 0): 21}


def test_height_is_of_the_place_of_the_hand_and_counts_once():
    assert single((1, 2, 1), 2) == {("stop", 0): 4, ("height", 0): 1}
    assert single((1, 5, 1), 5) == {("stop", 0): 4, ("height", 0): 7}
    both = {("stop", 0): 8, ("height", 0): 1, ("finger_3", 0): 2}
    assert chord([(2, 4, 3), (1, 2, 1)], 2) == both


def test_extension_and_contraction_are_counted_in_frets():
    stop, high = {("stop", 0): 4}, {("stop", 0): 4, ("finger_4", 0): 6}
    # Finger 1 at fret 2 in III and in V; 3 and 7 for the height.
    assert single((1, 2, 1), 3) == stop | {("extension", 0): 24, ("height", 0): 3}
    assert single((1, 2, 1), 5) == stop | {("extension", 0): 72, ("height", 0): 7}
    # Finger 4 at frets 6 and 2 in I.
    assert single((1, 6, 4), 1) == high | {("extension", 0): 48}
    assert single((1, 2, 4), 1) == high | {("contraction", 0): 4}
    # Finger 1 above its own fret.
    assert single((1, 2, 1), 1) == stop | {("contraction", 0): 2, ("lead", 0): 4}


def test_a_held_finger_pays_for_extension_alone():
    notes = [note(43, 0, 2, voice=2), note(64, 0, 1), note(64, 1, 1)]
    asked = question(notes, effort={"land": 0})
    for p, charged in ((2, {("contraction", 0): 2, ("lead", 0): 4}), (4, {("extension", 0): 24})):
        first = hand({0: (6, 3, 1), 1: (1, 0, 0)}, p)
        after = hand({0: (6, 3, 1), 2: (1, 0, 0)}, p)
        found = items(asked, first, after)
        found = {at: amount for at, amount in found.items() if at[0] not in ("height", "tone_high")}
        later = {("extension", 1): 24} if p == 4 else {}
        assert found == charged | later | {("stop", 0): 4}


def test_a_finger_that_opens_nothing_leans():
    """Finger 2 on ⑥3 in I, with 4 on ②4 above it, at 10."""
    third, fourth = {("finger_3", 0): 2}, {("finger_4", 0): 6}
    leaning = {("stop", 0): 8, ("lean", 0): 10}
    assert chord([(6, 3, 2), (2, 4, 4)], 1) == leaning | fourth
    # Two frets, still at that of finger 4.
    assert chord([(6, 4, 2), (2, 4, 3)], 1)[("lean", 0)] == 20
    # An open string sounds besides, or nothing does.
    assert chord([(6, 3, 2), (1, 0, 0)], 1) == {("stop", 0): 4, ("lean", 0): 10}
    assert single((6, 3, 2), 1) == {("stop", 0): 4, ("extension", 0): 24}
    # Beyond finger 4, and with 1 down.
    far = chord([(6, 5, 3), (1, 0, 0)], 1)
    assert far == {("stop", 0): 4, ("extension", 0): 48} | third
    opened = chord([(5, 3, 2), (3, 1, 1)], 1)
    assert ("lean", 0) not in opened and opened[("extension", 0)] == 24
    # Finger 3 above 2, which leans, is a fret out.
    both = chord([(6, 3, 2), (2, 4, 3)], 1)
    assert (both[("lean", 0)], both[("extension", 0)]) == (10, 24)


def test_a_lean_is_paid_when_it_is_struck_and_opened_when_a_lower_finger_comes():
    notes = [note(48, 0, 4, voice=2), note(63, 0, 1), note(64, 1, 1), note(56, 2, 1)]
    asked = question(notes, effort={"land": 0, "stop": 0, "finger_4": 0, "stretch": 0})
    bass = {0: (5, 3, 2)}
    first = hand(bass | {1: (2, 4, 4)}, 1)
    after = [hand(bass | {2: (1, 0, 0)}, 1), hand(bass | {3: (3, 1, 1)}, 1)]
    assert items(asked, first, *after) == {("lean", 0): 10, ("extension", 2): 24}
    # It is never dearer than being held open.
    asked = question(notes, effort=asked.effort | {"extension": 5})
    assert items(asked, first, *after) == {("lean", 0): 5, ("extension", 2): 5}


def test_a_stretch_is_what_is_beyond_the_hand_at_rest():
    """Fingers 1 and 3 at their frets in I, on ② and ⑤: a slant of 60, one unit
    for 50 of it."""
    wide = {("stop", 0): 8, ("finger_3", 0): 2, ("stretch", 0): 1}
    assert chord([(5, 3, 3), (2, 1, 1)], 1) == wide
    # Against the slant there is none.
    assert chord([(2, 3, 3), (1, 1, 1)], 1) == {("stop", 0): 8, ("finger_3", 0): 2}
    # Finger 4 at fret 6 in II: x(6) − x(5) = 1904 − 1631 = 273, less 20.
    assert chord([(2, 2, 1), (1, 6, 4)], 2)[("stretch", 0)] == 5
    # Under a barre there is no slant.
    under = chord([(5, 3, 3), (2, 1, 1), (1, 1, 1)], 1, barre=(1, 1, 2))
    barre = {("barre_hold", 0): 4, ("barre_lay", 0): 8}
    assert under == {("stop", 0): 12, ("finger_3", 0): 2} | barre


def test_crossed_and_crowded_fingers():
    stop, third = {("stop", 0): 8}, {("finger_3", 0): 2}
    contracted = {("contraction", 0): 2}
    # 2 on the thicker string, 3 on the thinner, side by side on fret 2.
    assert chord([(4, 2, 2), (3, 2, 3)], 1) == stop | third | contracted | {("crowd", 0): 3}
    crossed = {("crowd", 0): 3, ("crossed", 0): 8}
    assert chord([(4, 2, 3), (3, 2, 2)], 1) == stop | third | contracted | crossed
    # A string between them; on different frets.
    assert chord([(4, 2, 2), (2, 2, 3)], 1) == stop | third | contracted
    assert chord([(4, 2, 2), (3, 3, 3)], 1) == stop | third


def test_held_fingers_are_neither_crossed_nor_crowded():
    notes = [note((52, 57), 0, 2, voice=2), note(64, 1, 1)]
    first, after = {0: (4, 2, 3), 1: (3, 2, 2)}, {0: (4, 2, 3), 1: (3, 2, 2), 2: (1, 0, 0)}
    found = items(question(notes), hand(first, 1), hand(after, 1))
    assert ("crossed", 0) in found and not {at for at in found if at[1] == 1}


def test_holding_a_barre_is_counted_by_strings_that_are_laid():
    f_major = [(5, 3, 3), (2, 1, 1), (1, 1, 1)]
    assert chord(f_major, 1, barre=(1, 1, 2))[("barre_hold", 0)] == 4
    notes = [note((51, 60, 64), 0, 1), note(65, 1, 1)]
    sounding = {0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}
    after = hand({3: (1, 1, 1)}, 1)
    # ④ to ② are laid; ① is lifted.
    hinge = hand(sounding, 1, barre=(1, 1, 4), hinge="thin")
    assert items(question(notes), hinge, after)[("barre_hold", 0)] == 8


def test_an_open_string_in_the_melody():
    high = [note(69, 0, 1), note(64, 1, 1), note(59, 2, 1, voice=2)]
    asked = question(high)
    # In V the open E of the melody stands out; the bass does not.
    postures = [hand({0: (1, 5, 1)}, 5), hand({1: (1, 0, 0)}, 5), hand({2: (2, 0, 0)}, 5)]
    assert items(asked, *postures) == {("stop", 0): 4, ("height", 0): 7, ("tone_high", 1): 10}
    low = question(line(67, 64))
    found = items(low, hand({0: (1, 3, 1)}, 3), hand({1: (1, 0, 0)}, 3))
    assert found == {("stop", 0): 4, ("height", 0): 3}
    # A second is 1.2 quarters at 72; a harmonic is not plain.
    for length, charged in (("6/5", {("tone_long", 0): 2}), ("7/6", {})):
        assert items(question([note(64, 0, length)]), hand({0: (1, 0, 0)})) == charged
    assert items(question([note(64, 0, 2, voice=2)]), hand({0: (1, 0, 0)})) == {}


def test_an_ornament_not_played():
    trill = [note(67, 0, 1, auxiliaries=(69,))]
    plain = {("stop", 0): 4, ("height", 0): 1}
    bound = hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)})
    assert items(question(trill), bound) == plain
    assert items(question(trill), hand({0: (1, 3, 2)}, 2)) == plain | {("ornament", 0): 240}
    # Left out it costs an escape and no ornament; the open string is free.
    left = bill(question(trill), hand({}))
    assert left.price == (1, 0, 0)
    open_below = question([note(65, 0, 1, auxiliaries=(64,))])
    assert items(open_below, hand({0: (1, 1, 1)}, 1)) == {("stop", 0): 4}
    # A harmonic has none.
    touched = question([note(76, 0, 1, harmonic="natural", auxiliaries=(78,))])
    assert items(touched, hand({0: (1, 12, 1)}, 12))[("ornament", 0)] == 240


def test_an_ornament_under_a_barre():
    """C♯ on ②, and on ① G♯ with the F♯ below it."""
    notes = [note((61, 68), 0, 1, auxiliaries=(66,))]
    under = hand({0: (2, 2, 1), 1: (1, 4, 3)}, 2, barre=(2, 1, 2))
    paid = {("stop", 0): 8, ("finger_3", 0): 2, ("height", 0): 1}
    paid |= {("barre_hold", 0): 4, ("barre_lay", 0): 8}
    assert items(question(notes), under) == paid
    # The A♯ above it is lacking, or bound.
    notes = [note((61, 68), 0, 1, auxiliaries=(66, 70))]
    assert items(question(notes), under) == paid | {("ornament", 0): 240}
    bound = hand(under.sounding, 2, barre=(2, 1, 2), bound={4: (1, 6)})
    found = items(question(notes), bound)
    # Finger 4 is a fret out.
    assert ("ornament", 0) not in found and found[("extension", 0)] == 24


def test_a_bound_finger_is_down():
    # Finger 4 one fret out; and on the fret and beside the string of another.
    trill = question([note(67, 0, 1, auxiliaries=(69,))])
    bound = hand({0: (1, 3, 3)}, 1, bound={4: (1, 5)})
    # Fingers 3 and 4 are 1631 − 1034 apart, at rest 307: 290 more.
    paid = {("stop", 0): 4, ("finger_3", 0): 2, ("extension", 0): 24, ("stretch", 0): 5}
    assert items(trill, bound) == paid
    notes = [note(67, 0, 1, auxiliaries=(69,)), note(64, 0, 1, voice=2)]
    both = hand({0: (2, 5, 3), 1: (1, 3, 1)}, 3, bound={4: (1, 5)})
    assert items(question(notes), both)[("crowd", 0)] == 3


THIRD = {"third_fret": 4}
DOWN = {"descending": "open"}


def test_the_house_has_a_finger_for_the_third_fret():
    against = {("stop", 0): 4, ("finger_3", 0): 2, ("house", 0): 12}
    assert single((1, 3, 3), 1, house=THIRD) == against
    assert ("house", 0) not in single((1, 3, 4), 1, house=THIRD)
    assert ("house", 0) not in single((1, 3, 2), 1, house=THIRD)
    assert ("house", 0) not in single((1, 3, 3), 2, house=THIRD)
    assert single((1, 3, 4), 1, house={"third_fret": 3})[("house", 0)] == 12
    # The other finger has something else to stop.
    other = chord([(2, 3, 3), (1, 4, 4)], 1, asked={"house": THIRD})
    assert ("house", 0) not in other


def test_the_house_has_open_or_stopped_strings_on_the_way_down():
    def down(placement, keys=(66, 64), **house):
        asked = question(line(*keys), house=house)
        first = hand({0: (1, keys[0] - 64, 1)}, keys[0] - 64)
        p = first.position if placement[1] == 0 else placement[1]
        return items(asked, first, hand({1: placement}, p)).get(("house", 1), 0)

    assert down((2, 5, 1), descending="open") == 12
    assert down((1, 0, 0), descending="open") == 0
    assert down((1, 0, 0), descending="stopped") == 12
    assert down((2, 5, 1), descending="stopped") == 0
    # Three semitones are no step; upwards it is all the same.
    assert down((1, 0, 0), keys=(67, 64), descending="stopped") == 0
    # Low E has no thicker string.
    notes = line(41, 40)
    asked = question(notes, house={"descending": "stopped"})
    assert ("house", 1) not in items(asked, hand({0: (6, 1, 1)}, 1), hand({1: (6, 0, 0)}, 1))
    # Not where another note is struck with either.
    asked = question([note(66, 0, 1), note((50, 64), 1, 1)], house={"descending": "stopped"})
    found = items(asked, hand({0: (1, 2, 1)}, 2), hand({1: (4, 0, 0), 2: (1, 0, 0)}, 2))
    assert ("house", 1) not in found


def shape(frets, fingers):
    """From the thickest string, as it is written."""
    return [
        {
            "fret": None if fret == "x" else int(fret),
            "finger": int(finger) if finger.isdigit() else None,
        }
        for fret, finger in zip(reversed(frets), reversed(fingers), strict=True)
    ]


def test_the_house_has_fingers_for_its_chords():
    a_minor = shape("x02210", "..231.")
    house = {"shapes": [a_minor]}
    own = [(5, 0, 0), (4, 2, 2), (3, 2, 3), (2, 1, 1), (1, 0, 0)]
    assert ("house", 0) not in chord(own, 1, asked={"house": house})
    other = [(5, 0, 0), (4, 2, 3), (3, 2, 4), (2, 1, 1), (1, 0, 0)]
    assert chord(other, 1, asked={"house": house})[("house", 0)] == 24
    # Without an open string it is the shape, without a stopped one or with
    # another string it is not.
    assert chord(other[1:], 1, asked={"house": house})[("house", 0)] == 24
    assert ("house", 0) not in chord(other[:3] + other[4:], 1, asked={"house": house})
    assert ("house", 0) not in chord([(6, 0, 0), *other], 1, asked={"house": house})
    # The first shape that fits counts.
    both = {"shapes": [a_minor, shape("x02210", "..341.")]}
    assert chord(other, 1, asked={"house": both})[("house", 0)] == 24
    both["shapes"].reverse()
    assert ("house", 0) not in chord(other, 1, asked={"house": both})
    # For what a shape stops the third fret is no question.
    d_minor = shape("xx0231", "...241")
    played = [(4, 0, 0), (3, 2, 2), (2, 3, 4), (1, 1, 1)]
    house = {"shapes": [d_minor], "third_fret": 3}
    assert ("house", 0) not in chord(played, 1, asked={"house": house})
    assert chord(played, 1, asked={"house": {"third_fret": 3}})[("house", 0)] == 12


def broken(asked, *postures) -> int:
    return bill(asked, *postures).price[1]


def test_a1_to_a5_count_one_each():
    g = hand({0: (1, 3, 3)}, 1)
    assert broken(question(line(67)), g) == 0
    assert broken(question(line(67), level={"highest_fret": 2}), g) == 1
    assert broken(question(line(67), level={"fingers": [0, 1, 2]}), g) == 1
    assert broken(question(line(64), level={"fingers": [1]}), hand({0: (1, 0, 0)})) == 1
    assert broken(question(line(67), level={"positions": [2]}), g) == 1
    all_three = {"highest_fret": 2, "fingers": [0], "positions": [2]}
    assert broken(question(line(67), level=all_three), g) == 3
    # Three frets out are one breach.
    far = hand({0: (1, 7, 4)}, 1)
    assert broken(question(line(71), level={"extension": 2}), far) == 1
    assert broken(question(line(71), level={"extension": 3}), far) == 0
    # A bound finger.
    trill = question([note(67, 0, 1, auxiliaries=(69,))], level={"fingers": [0, 2]})
    assert broken(trill, hand({0: (1, 3, 2)}, 2, bound={4: (1, 5)})) == 1


def test_a3_is_of_the_place_of_the_hand_and_of_no_idle_one():
    asked = question(line(67, 72, 64), level={"positions": [3]})
    reached = [hand({0: (1, 3, 1)}, 3), hand({1: (1, 8, 4)}, 3, away=2), hand({2: (1, 0, 0)}, 3)]
    assert broken(asked, *reached) == 1
    asked = question(line(67, 64), level={"positions": [4]})
    assert broken(asked, hand({0: (1, 3, 1)}, 3), hand({1: (1, 0, 0)}, 3)) == 1


def test_a4_counts_what_is_lifted_too():
    notes = [note((51, 60, 64), 0, 1), note(65, 1, 1)]
    postures = [
        hand({0: (4, 1, 1), 1: (2, 1, 1), 2: (1, 0, 0)}, 1, barre=(1, 1, 4), hinge="thin"),
        hand({3: (1, 1, 1)}, 1),
    ]
    for limit, count in (("full", 0), ("half", 0), ("small", 1), ("none", 1)):
        assert broken(question(notes, level={"barre": limit}), *postures) == count


def test_a6_pins_on_tones_and_over_bars():
    g = hand({0: (1, 3, 3)}, 1)
    for rule, good, bad in (
        ("strings", [1], [2]),
        ("frets", [3], [0, 8]),
        ("left_fingers", [3], [1, 2]),
        ("positions", [1], [2]),
    ):
        for where in ({"tone": 0}, {"time": (0, 4)}):
            assert broken(question(line(67), pins=[pin(rule, good, **where)]), g) == 0
            assert broken(question(line(67), pins=[pin(rule, bad, **where)]), g) == 1
        later = pin(rule, bad, time=(1, 4))
        assert broken(question(line(67), pins=[later]), g) == 0
    # Two pins are two breaches, left out is none; an idle hand has none either.
    two = [pin("strings", [2], tone=0), pin("strings", [3], tone=0)]
    assert broken(question(line(67), pins=two), g) == 2
    assert broken(question(line(67), pins=two), hand({})) == 0
    asked = question(line(64), pins=[pin("positions", [5], tone=0)])
    assert broken(asked, hand({0: (1, 0, 0)})) == 0
    # A barre.
    under = hand({0: (2, 1, 1), 1: (1, 1, 1)}, 1, barre=(1, 1, 2))
    for limit, count in (("none", 1), ("small", 0)):
        asked = question([note((60, 65), 0, 1)], pins=[pin("barre", limit, tone=1)])
        assert broken(asked, under) == count


def test_a6_an_imported_pin_gives_way_to_the_authors():
    g = hand({0: (1, 3, 3)}, 1)
    imported = pin("left_fingers", [1], tone=0, author="import")
    assert broken(question(line(67), pins=[imported]), g) == 1
    assert broken(question(line(67), pins=[imported, pin("left_fingers", [3], tone=0)]), g) == 0
    # Of another kind or over bars it does not.
    other = [pin("strings", [1], tone=0), pin("left_fingers", [3], time=(0, 4))]
    assert broken(question(line(67), pins=[imported, *other]), g) == 1


def test_a_barre_that_a_chord_does_not_need_is_idle():
    sounding = {0: (4, 2, 2), 1: (3, 2, 3), 2: (2, 1, 1)}
    for at, charged in ((1, None), (4, 20)):
        # F on the first string later in the bar, or in the next.
        asked = question([note((52, 57, 60), 0, 1), note(65, at, 1)])
        found = items(asked, hand(sounding, 1, barre=(1, 1, 2)), hand({3: (1, 1, 1)}, 1))
        assert found.get(("barre_idle", 0)) == charged
    # Two of its strings are needed, or it is no chord.
    both = [(3, 2, 2), (2, 1, 1), (1, 1, 1)]
    assert ("barre_idle", 0) not in chord(both, 1, barre=(1, 1, 2))

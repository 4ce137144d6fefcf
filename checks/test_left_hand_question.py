"""Sections 1 and 2 of docs/model.md: what the question makes of a score, with
answers worked out on paper."""

from fractions import Fraction

from left_hand_by_hand import bar, line, note, pin, question
from left_hand_order import hurry


def test_frets_halve_the_string_in_twelve_steps():
    """x(12) is half the scale length, x(19) two thirds of it but for a hair:
    650 · (1 − 2^(−19/12)) = 433.1."""
    guitar = question(line(64)).instrument
    assert [guitar.x(n) for n in (0, 1, 5, 12, 19)] == [0, 365, 1631, 3250, 4331]
    # ① and ⑥ lie half the spread from the middle; at 12 it is (42.5 + 58) / 2.
    assert [guitar.y(string, 0) for string in (1, 6)] == [-213, 213]
    assert guitar.y(6, 12) == 251


def test_a_capo_is_counted_with():
    guitar = question(line(66), guitar={"capo": 2}).instrument
    assert guitar.frets == 17
    assert guitar.x(10) == 3250
    assert guitar.places(66) == [(1, 0), (2, 5), (3, 9), (4, 14)]


def test_harmonics_have_places_of_their_own():
    """Parts of a string: a half, a third, a quarter, a fifth."""
    guitar = question(line(64)).instrument
    assert guitar.places(76, "natural") == [(1, 12)]
    assert guitar.places(59, "natural") == [(6, 7), (6, 19)]
    assert guitar.places(68, "natural") == [(6, 4), (6, 9), (6, 16)]
    # Fret 24 is not on this guitar.
    assert guitar.places(74, "natural") == [(3, 7), (3, 19), (4, 5)]
    # Stopped an octave below, so never open.
    assert guitar.places(76, "artificial") == [(2, 5), (3, 9), (4, 14), (5, 19)]


def test_time_is_rounded_down_and_hurries_by_halves():
    assert [hurry(time) for time in (149, 150, 299, 300, 599, 600)] == [4, 3, 3, 2, 2, 1]
    # A quarter at 72 is 833.3 ms; a mark of nothing counts as none.
    for mark in (None, "0"):
        asked = question(line(60, 62), bars=[bar(0, quarters_a_minute=mark)])
        assert asked.bars.milliseconds(Fraction(1, 4), Fraction(0)) == 833
    asked = question(line(60, 62), bars=[bar(0, quarters_a_minute="100")])
    assert asked.hurry(0, 1) == 1
    asked = question(line(60, 62), bars=[bar(0, quarters_a_minute="101")])
    assert asked.hurry(0, 1) == 2


def test_tones_of_one_key_are_one_sound():
    asked = question([note(60, 0, 1), note(60, 0, 3, voice=2), note(62, 1, 1)])
    assert [sound.tones for sound in asked.sounds] == [[0, 1], [2]]
    assert asked.sounds[0].written == Fraction(3, 4)
    # Melody outranks bass.
    assert asked.sounds[0].role == "melody"


def test_a_unison_in_one_event_is_two_sounds():
    asked = question([note((59, 59), 0, 1), note(59, 0, 1, voice=2)])
    assert [sound.tones for sound in asked.sounds] == [[0, 2], [1]]
    assert not asked.lone(0)


def test_a_unison_pinned_to_two_strings_is_two_sounds():
    notes = [note(59, 0, 1), note(59, 0, 1, voice=2)]
    two, three, either = (pin("strings", strings, tone=1) for strings in ([2], [3], [2, 3]))
    other = pin("strings", [3], tone=0)
    assert len(question(notes, pins=[two, other]).sounds) == 2
    assert len(question(notes, pins=[three, other]).sounds) == 1
    assert len(question(notes, pins=[either, other]).sounds) == 1
    assert len(question(notes, pins=[two]).sounds) == 1
    # An imported pin gives way to the author's on the same tone.
    imported = pin("strings", [2], tone=1, author="import")
    assert len(question(notes, pins=[imported, three, other]).sounds) == 1


def test_a_sound_ends_when_its_key_is_struck_again():
    asked = question([note(60, 0, 4, voice=2), *line(64, 60, start=1)])
    assert asked.sounds[0].written == Fraction(1, 2)


def test_roles():
    asked = question(
        [note((48, 52, 55), 0, 1), note(40, 1, 1, voice=2), note(43, 1, 1), note(45, 2, 1, voice=2)]
    )
    roles = {sound.key: sound.role for sound in asked.sounds}
    assert roles == {48: "bass", 52: "inner", 55: "melody", 40: "bass", 43: "melody", 45: "bass"}
    # A voice of rests is none, and one voice of single notes has no bass.
    rest = note((), 0, 1, voice=2)
    assert [s.role for s in question([note((48, 52), 0, 1), rest]).sounds] == ["inner", "melody"]


def test_a_join_is_of_sounds():
    asked = question(line(60, 62, 60), joins=[(0, 1, "slur"), (1, 2, "glissando")])
    assert [sound.joined for sound in asked.sounds] == [None, (0, "slur"), (1, "glissando")]
    assert asked.pulled_off(0) == asked.pulled_off(1) == []
    assert question(line(62, 60), joins=[(0, 1, "slur")]).pulled_off(0) == [1]


def test_a_broken_chord_rings_to_its_end():
    """C E G in eighths, then the next bar."""
    asked = question([*line(48, 52, 55, length="1/2"), note(50, 4, 1)])
    assert asked.figures == [range(3)]
    assert {sound.wanted for sound in asked.sounds[:3]} == {Fraction(1)}
    assert asked.ends_of_barres(0) == {48, 52, 55}
    # Quarters are a line, and so are steps.
    assert question(line(48, 52, 55)).figures == []
    assert question(line(48, 50, 52, length="1/2")).figures == []
    # Two keys are no broken chord.
    assert question(line(48, 52, 48, 52, length="1/2")).figures == []
    # C E G♯ fits into one, with a D held below it does not.
    assert question(line(48, 52, 56, length="1/2")).figures == [range(3)]
    held = [note(38 + 12, 0, 4, voice=2), *line(60, 64, 68, length="1/2", start=1)]
    assert question(held).figures == []


def test_in_a_broken_chord_too_a_joined_sound_ends_the_one_before():
    notes = [*line(48, 52, 55, 60, length="1/2"), note(50, 4, 1)]
    asked = question(notes, joins=[(1, 2, "slur")])
    assert [sound.wanted * 4 for sound in asked.sounds[:4]] == [4, 1, 4, 4]


def test_a_repeat_is_a_seam_and_no_cut():
    bars = [bar(0), bar(4, repeat_end=2), bar(8)]
    notes = [*line(60, 62, length=2), *line(64, 65, length=2, start=4), note(67, 8, 4)]
    asked = question(notes, bars=bars, order=[0, 1, 0, 1, 2])
    assert asked.reached == {1, 2, 3, 4}
    # From the middle of bar 2 to its end, a half: 1666 ms at 72.
    assert [(s.before, s.after, s.time) for s in asked.seams] == [(3, 0, 1666)]


def test_endings_are_parted_by_a_cut():
    """Bar 2 is the first ending, bar 3 the second, bar 4 goes on."""
    bars = [bar(0), bar(4, repeat_end=2), bar(8), bar(12, quarters_a_minute="60")]
    notes = [note(60, 0, 8), note(62, 5, 3), note(64, 8, 4), note(65, 12, 4)]
    asked = question(notes, bars=bars, order=[0, 1, 0, 2, 3])
    assert asked.reached == {1, 3}
    assert [asked.begins_anew(k) for k in range(4)] == [True, False, True, False]
    # Over three quarters of bar 2; over the whole of bar 1.
    assert [(s.before, s.after, s.time) for s in asked.seams] == [(1, 0, 2500), (0, 2, 3333)]
    # Nothing sounds over the cut.
    notes = [note(60, 0, 12), note(62, 5, 3), note(64, 8, 4)]
    assert question(notes, bars=bars, order=[0, 1, 0, 2, 3]).life(0) == range(2)


def test_bars_of_rest_are_played_between():
    bars = [bar(0), bar(4), bar(8, repeat_end=2)]
    asked = question([note(60, 4, 4), note(62, 8, 2)], bars=bars, order=[0, 1, 2, 0, 1, 2])
    # Bar 3 and the empty bar 1, two wholes.
    assert [(s.before, s.after, s.time) for s in asked.seams] == [(1, 0, 6666)]


def test_what_eases_a_shift_by_itself():
    value = {"ease_rest": 1, "ease_phrase": 10, "ease_beat": 100, "ease_repeat": 1000}
    value |= {"leading": 10_000}

    def ease(notes, **more) -> int:
        return question(notes, effort=value, **more).given_ease(1)

    assert ease(line(60, 62)) == 0
    # A rest between, a fermata even over a rest of voice 1, a double bar.
    assert ease([note(60, 0, 1), note(62, 2, 1)]) == 1
    assert ease([note(60, 0, 1, fermata=True), note(62, 1, 1)]) == 10
    still = note((), 0, 1, fermata=True)
    assert ease([still, note(60, 0, 1, voice=2), note(62, 1, 1, voice=2)]) == 10
    double = [bar(0, 1, end="double"), bar(1)]
    assert ease(line(60, 62), bars=double) == 110
    # What stands before both does not.
    assert ease(line(60, 62, start=1), bars=double) == 0
    assert ease(line(60, 60)) == 1000
    # B C in C major, G♯ A in its minor; not in G major.
    assert ease(line(59, 60)) == ease(line(56, 57)) == -10_000
    assert ease(line(59, 60), bars=[bar(0, fifths=1)]) == 0
    assert ease(line(66, 67), bars=[bar(0, fifths=1)]) == -10_000

"""Real music is fingered, passes the program's own checker, and agrees with
facts of the guitar that are worked out here once more."""

from collections import Counter
from fractions import Fraction
from itertools import product

import command
import material
import pytest

# Sounding keys of the open strings from the thinnest: E4 B3 G3 D3 A2 E2.
# Common practice, no source.
OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
FRETS = 19


def parts(answer):
    return [part for piece in answer["pieces"] for part in piece["parts"]]


@pytest.fixture(scope="session", params=["open", "first"])
def answers(request, apoyando, corpus):
    """Fingered for a player who may do everything, and for a beginner."""
    answers = command.fingered(apoyando, [piece.path for piece in corpus], request.param)
    return {path.name: answer for path, answer in answers.items()}


def test_everything_is_read_and_fingered(answers):
    assert len(answers) == 300
    for name, answer in answers.items():
        assert answer["error"] is None, (name, answer["error"])
        assert parts(answer), name
        assert all(part["fingered"] for part in parts(answer)), name


def test_nothing_is_violated(answers):
    """The checker was written from the model alone. Breaches of the author's
    rules are counted in the price; anything else is a fault."""
    faults = []
    for name, answer in answers.items():
        for part in parts(answer):
            hard = [v for v in part["violations"] if not v["authors"]]
            faults += [f"{name}: {v['message']}" for v in hard]
            broken = len(part["violations"]) - len(hard)
            assert broken == part["price"]["broken"], name
    assert faults == []


def test_lines_lose_no_note(answers, tunes):
    """Whatever lies on the guitar can be played one note at a time."""
    for piece in tunes:
        for part in parts(answers[piece.path.name]):
            chords = Counter(tone["at"] for tone in part["tones"])
            if max(chords.values()) == 1:
                assert part["price"]["escapes"] == 0, piece.path.name


def test_two_voices_seldom_lose_a_note(answers, excerpts):
    left_out = sum(
        part["price"]["escapes"] for piece in excerpts for part in parts(answers[piece.path.name])
    )
    struck = sum(len(piece.tones) for piece in excerpts)
    # Outer voices of chorales run up to three octaves apart, with the melody
    # high on ① and a bass that is not open: some of that no hand can hold.
    assert left_out < struck / 100


# docs/hand.md: the widest distance of two fingers, in tenths of a millimetre.
REACH = {(1, 2): 800, (1, 3): 1050, (1, 4): 1250, (2, 3): 660, (2, 4): 950, (3, 4): 640}


def point(string, fret):
    """Along and across the neck in tenths of a millimetre: 650 mm, the strings
    spread over 42.5 mm at the nut and 58 mm at the bridge."""
    along = 6500 * (1 - 2 ** (-fret / 12))
    spread = 425 + (580 - 425) * along / 6500
    return round(along), round(spread * ((string - 1) - 2.5) / 5)


def hand_can_stop(low, high):
    """Whether some pair of fingers can stop both of two places (docs/model.md,
    P4 to P8). That two places on one fret can be stopped goes without saying:
    there is the barre."""
    if low[1] == high[1]:
        return True
    # The lower finger on the lower fret.
    first, second = sorted((low, high), key=lambda place: place[1])
    (x1, y1), (x2, y2) = point(*first), point(*second)
    for (a, b), reach in REACH.items():
        slant = 20 * (second[0] - first[0])
        if (x2 - x1 + slant) ** 2 + (y1 - y2) ** 2 > reach**2:
            continue
        for position in range(1, 25):
            offsets = [(a, first[1] - position - a + 1), (b, second[1] - position - b + 1)]
            if all((-3 if f == 1 else 1 - f) <= o <= (1 if f == 1 else 3) for f, o in offsets):
                return True
    return False


def can_be_struck_together(keys):
    places = [
        [(string, key - open) for string, open in OPEN.items() if 0 <= key - open <= FRETS]
        for key in keys
    ]
    for low, high in product(*places):
        if low[0] != high[0] and (0 in (low[1], high[1]) or hand_can_stop(low, high)):
            return True
    return False


def test_notes_are_left_out_only_where_no_hand_can(answers):
    """Whatever sounds can be let go, so a note of two is left out only if the
    two cannot even be struck together; and then it is."""
    together, left_out = 0, 0
    for name, answer in answers.items():
        for part in parts(answer):
            struck = {}
            for tone in part["tones"]:
                struck.setdefault(tone["at"], {}).setdefault(tone["key"], tone["left_out"])
            for at, keys in struck.items():
                if len(keys) == 2:
                    impossible = not can_be_struck_together(keys)
                    assert sum(keys.values()) == impossible, (name, at, keys)
                    together, left_out = together + 1, left_out + impossible
    assert together > 1_000 and left_out > 0


def test_the_tones_are_those_of_the_piece(answers, corpus):
    """Onsets, lengths and sounding keys as the reference library reads them."""
    for piece in corpus:
        [part] = parts(answers[piece.path.name])
        ours = [
            material.Tone(4 * Fraction(tone["at"]), 4 * Fraction(tone["duration"]), tone["key"])
            for tone in part["tones"]
        ]
        assert sorted(ours) == piece.tones, piece.path.name


def test_strings_and_frets_sound_the_notes(answers):
    placed = 0
    for name, answer in answers.items():
        for part in parts(answer):
            left_out = set()
            for tone in part["tones"]:
                if tone["left_out"]:
                    left_out.add((tone["at"], tone["key"]))
                    continue
                assert OPEN[tone["string"]] + tone["fret"] == tone["key"], (name, tone)
                assert tone["fret"] <= FRETS, (name, tone)
                assert (tone["finger"] == 0) == (tone["fret"] == 0), (name, tone)
                assert tone["right"] in ("p", "i", "m", "a"), (name, tone)
                placed += 1
            assert len(left_out) == part["price"]["escapes"], name
    assert placed > 10_000


def test_hands_can_be_so(answers):
    """In every posture: one sound to a string, one place to a finger but for
    the barre, higher fingers on no lower fret, nothing below a barre."""
    postures = 0
    for name, answer in answers.items():
        for part in parts(answer):
            keys = {tone["tone"]: tone["key"] for tone in part["tones"]}
            for posture in part["postures"]:
                hand_can_be_so(posture, keys, f"{name}, bar {posture['bar']}")
                postures += 1
    assert postures > 10_000


def hand_can_be_so(posture, keys, where):
    # Two tones on one key are one sound.
    sounds = {(s["string"], s["fret"], s["finger"], keys[s["tone"]]) for s in posture["sounding"]}
    strings = [string for string, *_ in sounds]
    assert len(strings) == len(set(strings)), where
    barre = posture["barre"]
    places = {}
    for string, fret, finger, _ in sounds:
        if finger:
            places.setdefault(finger, set()).add((string, fret))
    lifted = lifted_strings(posture, places)
    for string, fret, finger, _ in sounds:
        if barre and barre["thin"] <= string <= barre["thick"]:
            if string in lifted and fret == 0:
                continue
            assert fret >= barre["fret"], where
            assert (fret == barre["fret"]) == (finger == 1), where
    for bound in posture["bound"]:
        places.setdefault(bound["finger"], set()).add((bound["string"], bound["fret"]))
    for finger, at in places.items():
        assert len(at) == 1 or (finger == 1 and barre), where
        if finger == 1 and barre:
            assert {fret for _, fret in at} == {barre["fret"]}, where
    assert posture["idle"] == (not places), where
    for stays in posture["staying"]:
        assert stays["finger"] not in places, where
        places[stays["finger"]] = {(stays["string"], stays["fret"])}
    frets = [min(fret for _, fret in places[finger]) for finger in sorted(places)]
    assert frets == sorted(frets), where


def lifted_strings(posture, places):
    """The strings of a barre over its lifted side, beyond what finger 1 stops."""
    barre, on = posture["barre"], [string for string, _ in places.get(1, ())]
    if not barre or not on or not posture["hinge"]:
        return range(0)
    if posture["hinge"] == "thin":
        return range(barre["thin"], min(on))
    return range(max(on) + 1, barre["thick"] + 1)


def test_held_notes_keep_their_place(answers):
    for name, answer in answers.items():
        for part in parts(answer):
            placed = {tone["tone"]: tone for tone in part["tones"]}
            for posture in part["postures"]:
                for sounding in posture["sounding"]:
                    tone = placed[sounding["tone"]]
                    assert Fraction(tone["at"]) <= Fraction(posture["at"]), name
                    assert Fraction(posture["at"]) < Fraction(tone["sounds_until"]), name
                    for key in ("string", "fret", "finger"):
                        assert sounding[key] == tone[key], (name, tone)


def test_the_bill_adds_up(answers):
    for name, answer in answers.items():
        for part in parts(answer):
            assert sum(item["amount"] for item in part["effort"]) == part["price"]["effort"], name

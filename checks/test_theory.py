"""Scales, chords and degrees against a reference library, in all thirty keys."""

import json
import subprocess
from functools import cache

import pytest
from music21 import chord, key, pitch, roman, scale
from music21.scale.intervalNetwork import Direction

SCALES = {
    "major": scale.MajorScale,
    "natural minor": scale.MinorScale,
    "harmonic minor": scale.HarmonicMinorScale,
    "melodic minor": scale.MelodicMinorScale,
}

# Each quality by the questions that the reference answers about a chord.
QUALITIES = {
    "Major": lambda c: c.isMajorTriad(),
    "Minor": lambda c: c.isMinorTriad(),
    "Diminished": lambda c: c.isDiminishedTriad(),
    "Augmented": lambda c: c.isAugmentedTriad(),
    "DominantSeventh": lambda c: c.isDominantSeventh(),
    "MajorSeventh": lambda c: c.isSeventh() and c.commonName == "major seventh chord",
    "MinorSeventh": lambda c: c.isSeventh() and c.commonName == "minor seventh chord",
    "HalfDiminishedSeventh": lambda c: c.isHalfDiminishedSeventh(),
    "DiminishedSeventh": lambda c: c.isDiminishedSeventh(),
    "MinorMajorSeventh": lambda c: (
        c.isSeventh() and [c.semitonesFromChordStep(step) for step in (3, 5, 7)] == [3, 7, 11]
    ),
}


@cache
def ours(theory):
    run = subprocess.run([theory], capture_output=True, check=True, text=True)
    return json.loads(run.stdout)


def named(note) -> tuple[str, int]:
    return note.step, round(note.alter)


def spelled(letter: str, alter: int) -> str:
    return letter + ("#" * alter if alter > 0 else "-" * -alter)


def sounding(letter: str, alter: int, octave: int) -> pitch.Pitch:
    return pitch.Pitch(f"{spelled(letter, alter)}{octave}")


def tonic(ours_of_key) -> str:
    return spelled(*ours_of_key["tonic"])


def listed(notes) -> list[tuple[str, int]]:
    return [tuple(note) for note in notes]


def test_there_are_thirty_keys(theory):
    keys = ours(theory)["keys"]
    assert len({(tuple(k["tonic"]), k["mode"]) for k in keys}) == 30
    for ours_of_key in keys:
        theirs = key.Key(tonic(ours_of_key), ours_of_key["mode"])
        assert theirs.sharps == ours_of_key["fifths"], theirs


@pytest.mark.parametrize("kind", SCALES)
def test_scales_agree(theory, kind):
    checked = 0
    for ours_of_key in ours(theory)["keys"]:
        for ours_of_scale in ours_of_key["scales"]:
            if ours_of_scale["kind"] != kind:
                continue
            theirs = SCALES[kind](tonic(ours_of_key))
            low = pitch.Pitch(tonic(ours_of_key) + "3")
            high = pitch.Pitch(tonic(ours_of_key) + "4")
            for direction, word in (("up", Direction.ASCENDING), ("down", Direction.DESCENDING)):
                pitches = theirs.getPitches(low, high, direction=word)
                pitches = sorted(pitches, key=lambda p: p.ps)[:7]
                assert listed(ours_of_scale[direction]) == [named(p) for p in pitches], (
                    theirs,
                    direction,
                )
            checked += 1
    assert checked == 15


def test_chords_and_their_inversions_agree(theory):
    chords = ours(theory)["chords"]
    assert len(chords) == 21 * 10
    for ours_of_chord in chords:
        quality = ours_of_chord["quality"]
        inversions = ours_of_chord["inversions"]
        assert len(inversions) == (4 if "Seventh" in quality else 3)
        for number, pitches in enumerate(inversions):
            theirs = chord.Chord([sounding(*parts) for parts in pitches])
            assert QUALITIES[quality](theirs), (ours_of_chord["root"], quality, theirs.commonName)
            assert named(theirs.root()) == tuple(ours_of_chord["root"])
            assert named(theirs.bass()) == named(theirs.pitches[0])
            assert theirs.inversion() == number
            span = theirs.pitches[-1].ps - theirs.pitches[0].ps
            assert 0 < span < 12, "close position"


def test_degrees_agree(theory):
    checked = 0
    for ours_of_key in ours(theory)["keys"]:
        home = key.Key(tonic(ours_of_key), ours_of_key["mode"])
        for ours_of_degree in ours_of_key["degrees"]:
            if ours_of_degree["notes"] is None:
                # A key that a borrowed chord would need may not exist.
                assert "/" in ours_of_degree["degree"] or abs(home.sharps) >= 5
                continue
            figure = ours_of_degree["degree"]
            figure = figure.replace("°", "o").replace("♭", "b").replace("♯", "#")
            theirs = roman.RomanNumeral(figure, home)
            where = f"{figure} in {home}"
            assert {tuple(n) for n in ours_of_degree["notes"]} == {
                named(p) for p in theirs.pitches
            }, where
            assert tuple(ours_of_degree["bass"]) == named(theirs.bass()), where
            assert tuple(ours_of_degree["notes"][0]) == named(theirs.root()), where
            checked += 1
    assert checked > 1000

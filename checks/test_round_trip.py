"""The reference library reads in our MusicXML what it read in the input."""

from collections import Counter

import material
from music21 import converter


def difference(ours, theirs) -> str:
    """What one list of tones has that the other has not."""
    ours, theirs = Counter(ours), Counter(theirs)
    more, less = sorted((ours - theirs).elements()), sorted((theirs - ours).elements())
    return f"missing {len(less)}, first {less[:1]}; too many {len(more)}, first {more[:1]}"


def test_notes_come_back(written, corpus):
    lost = []
    for piece in corpus:
        back = material.tones(converter.parse(written[piece.path]))
        if back != piece.tones:
            lost.append(f"{piece.path.name}: {difference(back, piece.tones)}")
    assert lost == []


def test_pieces_of_the_demo_come_back(written, demo_pieces):
    for path in demo_pieces:
        wanted = material.read(path)
        assert wanted
        back = material.tones(converter.parse(written[path]))
        assert back == wanted, difference(back, wanted)


def test_fingering_comes_back(written, fingered, corpus):
    """String, fret and fingers stand at the notes they are meant for."""
    checked = 0
    for piece in corpus:
        answer = fingered[piece.path]["pieces"][0]["parts"][0]
        wanted = {
            (tone["key"], tone["string"], tone["fret"])
            for tone in answer["tones"]
            if not tone["left_out"]
        }
        found = set()
        for element in converter.parse(written[piece.path]).flatten().notes:
            for single in element.notes if element.isChord else [element]:
                marks = {type(mark).__name__: mark for mark in element.articulations}
                if element.isChord or "StringIndication" not in marks:
                    continue
                string, fret = marks["StringIndication"].number, marks["FretIndication"].number
                found.add((round(single.pitch.ps), int(string), int(fret)))
        assert found <= wanted, f"{piece.path.name}: {sorted(found - wanted)[:3]}"
        checked += len(found)
    assert checked > 1000

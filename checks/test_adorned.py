"""Adorned music: its fingering priced again by the bill, and what adorns it read
again by the reference library in our MusicXML."""

import random
from collections import Counter
from fractions import Fraction

import adorned
import command
import material
import musicxml_schema
import optimum
import pytest
import short_excerpts
from conftest import SEED
from left_hand_fingering import said
from left_hand_listed import Listed
from left_hand_price import Bill
from left_hand_question import Question
from music21 import converter

COUNT, CHORALES = 90, 12
ONSETS = range(8, 33)
ASKED = ([], ["--level", "first"], ["--barre", "small", "--extension", "1", "--tempo", "120"])


@pytest.fixture(scope="module")
def pieces(tmp_path_factory):
    """Excerpts of one to three voices."""
    folder, draw = tmp_path_factory.mktemp("adorned"), random.Random(SEED)
    drawn = material.every_tune(), draw.sample(material.every_chorale(), CHORALES)
    found = []
    while len(found) < COUNT:
        path = folder / f"{len(found):03}.musicxml"
        if short_excerpts.excerpt(draw, path, len(found) % 3 + 1, ONSETS, drawn):
            adorned.adorn(draw, path, path)
            found.append(path)
    return found


def test_what_is_adorned_is_valid(schema, pieces):
    """MusicXML 4.0, so that a reader may be held to it."""
    assert [fault for path in pieces for fault in musicxml_schema.faults(schema, path)] == []


def test_every_item_of_a_fingering_is_found_again(apoyando, pieces):
    seen = Counter()
    for n, path in enumerate(pieces):
        piece, part = command.one_part(apoyando, path, ASKED[n // 3 % len(ASKED)])
        question = Question(piece, part)
        postures = said(question, part)
        bill = Bill(question, postures)
        assert bill.price == tuple(part["price"][at] for at in ("escapes", "broken", "effort"))
        assert optimum.otherwise(question, part, bill) == {}, path
        assert Listed(question, postures).differences(part) == [], path
        seen.update({term for term, _ in bill.items})
        seen["seams"] += len(question.seams)
        for sound in question.sounds:
            seen[sound.kind] += 1
            seen["auxiliaries"] += len(sound.auxiliaries)
            seen[sound.joined[1] if sound.joined else "alone"] += 1
        for posture in postures:
            seen.update(name for name in ("barre", "staying", "bound") if getattr(posture, name))
    wanted = "slur", "glissando", "natural", "artificial", "seams", "auxiliaries", "barre"
    wanted += "staying", "bound", "ornament", "join", "join_weak", "ring"
    assert all(seen[one] >= 3 for one in wanted), seen


def _place(note, score) -> tuple[Fraction, int]:
    return Fraction(note.getOffsetInHierarchy(score)), round(note.pitch.ps)


def _marks(path) -> dict[str, Counter]:
    """What the reference library finds at the notes, by onset and key."""
    found = {name: Counter() for name in ("ornaments", "graces", "harmonics", "slides", "slurs")}
    score = converter.parse(path)
    flat = score.flatten()
    for element in flat.notes:
        at = Fraction(element.offset), round(element.pitch.ps)
        if element.duration.isGrace:
            found["graces"][(*at, bool(element.duration.slash))] += 1
            continue
        for mark in element.expressions:
            if "Ornament" in mark.classes:
                found["ornaments"][(*at, type(mark).__name__)] += 1
        for mark in element.articulations:
            if "StringHarmonic" in mark.classes:
                found["harmonics"][(*at, mark.harmonicType)] += 1
    for one in flat.spanners:
        for name, kind in (("slides", "Glissando"), ("slurs", "Slur")):
            if kind in one.classes:
                found[name][_place(one.getFirst(), score), _place(one.getLast(), score)] += 1
    repeats = score.recurse().getElementsByClass("Repeat")
    found["repeats"] = Counter(
        (Fraction(one.getOffsetInHierarchy(score)), one.direction) for one in repeats
    )
    return found


def test_what_adorns_the_notes_comes_back(apoyando, pieces, tmp_path):
    seen = Counter()
    for path in pieces:
        wanted = _marks(path)
        back = _marks(command.written(apoyando, path, tmp_path / path.name))
        assert back == wanted, path
        seen.update({name: len(marks) for name, marks in wanted.items()})
    assert len(seen) == 6 and min(seen.values()) >= 20, seen

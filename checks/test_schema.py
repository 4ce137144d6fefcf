"""Everything the command writes is MusicXML 4.0."""

import musicxml_schema
from conftest import DEMO
from lxml import etree


def test_the_schema_finds_faults(schema, tmp_path):
    """A schema that accepts everything would check nothing."""
    good = tmp_path / "good.musicxml"
    good.write_text(
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        '</part-list><part id="P1"><measure number="1"/></part></score-partwise>'
    )
    assert musicxml_schema.faults(schema, good) == []
    bad = tmp_path / "bad.musicxml"
    bad.write_text(good.read_text().replace("<measure ", "<bar ").replace("</measure", "</bar"))
    assert musicxml_schema.faults(schema, bad)


def test_what_is_written_is_valid(schema, written):
    assert len(written) > 300
    faults = [fault for path in written.values() for fault in musicxml_schema.faults(schema, path)]
    assert faults == []


def test_the_scores_of_the_demo_book_are_valid(schema):
    """Those of written exercises, progressions and duets among them."""
    scores = sorted((DEMO / "out" / "musicxml").glob("*.musicxml"))
    assert len(scores) > 10, f"type: apoyando build {DEMO}"
    assert [fault for path in scores for fault in musicxml_schema.faults(schema, path)] == []


def test_what_is_written_carries_the_guitars_own_marks(written):
    """MusicXML 4.0, elements of `technical` and `staff-details`: the marks are
    there at all, so that the validation above has seen them."""
    seen = set()
    for path in written.values():
        tree = etree.parse(str(path))
        assert tree.getroot().get("version") == "4.0"
        seen |= {element.tag for element in tree.iter() if isinstance(element.tag, str)}
    wanted = {
        "string", "fret", "fingering", "pluck", "staff-details", "staff-tuning",
        "clef-octave-change",
    }  # fmt: skip
    assert wanted - seen == set()

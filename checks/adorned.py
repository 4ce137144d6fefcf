"""Music with what the corpus has little of: ornaments, grace notes, slurs and
slides of the left hand, harmonics, repeats. They are put into a MusicXML file at
random, with a seed, as MusicXML 4.0 has them."""

import random
from pathlib import Path

from lxml import etree

STEPS = "CDEFGAB"
SEMITONES = (0, 2, 4, 5, 7, 9, 11)
ORNAMENTS = ("trill-mark", "mordent", "inverted-mordent", "turn", "inverted-turn")
# Keys an octave, and an octave and a fifth, above an open string.
NATURAL = {key + up for key in (40, 45, 50, 55, 59, 64) for up in (12, 19)}
# The lowest note that can be stopped, an octave up.
ARTIFICIAL = 53

# Chances in a hundred, for a note or for two in a row.
ORNAMENTED, GRACED, SLURRED, GLIDING, HARMONIC, REPEATED = 15, 12, 25, 8, 8, 50


def adorn(draw: random.Random, source: Path, target: Path) -> None:
    """Writes a file with the music of another one, adorned. It has no chords."""
    tree = etree.parse(str(source))
    bars = tree.findall(".//measure")
    for line in _voices(bars).values():
        _join(draw, line)
        for note in line:
            if note is not None and not _tied(note):
                _adorn(draw, note)
    if _chance(draw, REPEATED):
        _repeat(bars[draw.randrange(len(bars))])
    tree.write(str(target), encoding="utf-8", xml_declaration=True)


def _chance(draw: random.Random, percent: int) -> bool:
    return draw.randrange(100) < percent


def _voices(bars: list) -> dict:
    """Notes of each voice in order; rests and gaps are none."""
    voices: dict = {}
    for bar in bars:
        for note in bar.findall("note"):
            line = voices.setdefault(note.findtext("voice", "1"), [])
            line.append(None if note.find("rest") is not None else note)
    return voices


def key(note) -> int:
    pitch = note.find("pitch")
    step = SEMITONES[STEPS.index(pitch.findtext("step"))]
    octave, alter = int(pitch.findtext("octave")), float(pitch.findtext("alter", "0"))
    return 12 * (octave + 1) + step + round(alter)


def _tied(note) -> bool:
    return note.find("tie") is not None


def _notations(note):
    found = note.find("notations")
    return etree.SubElement(note, "notations") if found is None else found


def _group(note, name: str):
    """One of a note's groups of notations."""
    found = _notations(note).find(name)
    return etree.SubElement(_notations(note), name) if found is None else found


def _join(draw: random.Random, line: list) -> None:
    """Slurs of the left hand, and slides, from note to note."""
    joined = False
    for first, second in zip(line, line[1:], strict=False):
        free = first is not None and second is not None and not joined
        if not free or key(first) == key(second) or _tied(first) or _tied(second):
            joined = False
            continue
        joined = _chance(draw, SLURRED + GLIDING)
        if not joined:
            continue
        gliding = draw.randrange(SLURRED + GLIDING) < GLIDING
        name = "hammer-on" if key(second) > key(first) else "pull-off"
        number = first.findtext("voice", "1")
        for note, end in ((first, "start"), (second, "stop")):
            of = {"type": end, "number": number}
            if gliding:
                etree.SubElement(_notations(note), "slide", {**of, "line-type": "solid"})
            else:
                etree.SubElement(_group(note, "technical"), name, of)
                etree.SubElement(_notations(note), "slur", of)


def _adorn(draw: random.Random, note) -> None:
    if _chance(draw, HARMONIC) and (key(note) in NATURAL or key(note) >= ARTIFICIAL):
        kind = "natural" if key(note) in NATURAL else "artificial"
        harmonic = etree.SubElement(_group(note, "technical"), "harmonic")
        etree.SubElement(harmonic, kind)
        etree.SubElement(harmonic, "sounding-pitch")
    elif _chance(draw, ORNAMENTED):
        etree.SubElement(_group(note, "ornaments"), draw.choice(ORNAMENTS))
    elif _chance(draw, GRACED):
        _grace(draw, note)


def _grace(draw: random.Random, note) -> None:
    """A grace note a step or two away, before a note."""
    pitch = note.find("pitch")
    place = STEPS.index(pitch.findtext("step")) + draw.choice((-2, -1, 1, 2))
    grace = etree.Element("note")
    etree.SubElement(grace, "grace", {"slash": draw.choice(("yes", "no"))})
    written = etree.SubElement(grace, "pitch")
    etree.SubElement(written, "step").text = STEPS[place % 7]
    octave = int(pitch.findtext("octave")) + place // 7
    etree.SubElement(written, "octave").text = str(octave)
    etree.SubElement(grace, "voice").text = note.findtext("voice", "1")
    etree.SubElement(grace, "type").text = "eighth"
    note.addprevious(grace)


def _repeat(bar) -> None:
    """All up to here is repeated."""
    if bar.find("barline") is None:
        barline = etree.SubElement(bar, "barline", {"location": "right"})
        etree.SubElement(barline, "bar-style").text = "light-heavy"
        etree.SubElement(barline, "repeat", {"direction": "backward"})

"""Real music for the checks: tunes and excerpts from the reference library's
corpus, drawn with a seed, so that every run sees the same.

Everything is given as it lies in a file, together with what the reference
library reads in it.
"""

import random
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from music21 import bar, clef, converter, corpus, meter, note, stream, tie

# Sounding range of six strings and nineteen frets.
LOWEST, HIGHEST = 40, 83

# Excerpts are taken from so many chorales: to read one takes its time.
CHORALES = 40


@dataclass(frozen=True, order=True)
class Tone:
    """A note with all that is tied to it: onset and length in quarters,
    sounding key (C4 is 60)."""

    onset: Fraction
    length: Fraction
    key: int


@dataclass(frozen=True)
class Piece:
    """A piece as a file, and the tones that are in it."""

    path: Path
    tones: list[Tone]


def tones(score: stream.Stream, octaves: int = 0) -> list[Tone]:
    """All tones of a score, in order. How a long note is written out with ties
    is left to whoever writes it. Grace notes have no length and are left out;
    so are chord symbols, which nobody plays."""
    found = []
    tied = {}
    for head in sorted(_heads(score), key=lambda head: head[0]):
        onset, length, key, kind = head
        before = tied.pop((key, onset), None) if kind in ("stop", "continue") else None
        if before is not None:
            onset, length = before[0], onset + length - before[0]
        if kind in ("start", "continue"):
            tied[key, onset + length] = (onset, length)
        else:
            found.append(Tone(onset, length, key + 12 * octaves))
    # A tie that leads nowhere ties nothing.
    found += [Tone(*loose, key + 12 * octaves) for (key, _), loose in tied.items()]
    return sorted(found)


def _heads(score: stream.Stream):
    for element in score.flatten().notes:
        if element.duration.isGrace or "ChordSymbol" in element.classes:
            continue
        onset, length = Fraction(element.offset), Fraction(element.quarterLength)
        for single in element.notes if element.isChord else [element]:
            kind = single.tie.type if single.tie else None
            yield onset, length, round(single.pitch.ps), kind


def read(path: Path) -> list[Tone]:
    """The tones of a file, sounding as guitar music does: an octave lower than
    a treble clef without its 8 would have it.

    Voices of ABC that are told apart in the line are read one by one; the
    reference library knows such voices only in files of their own."""
    if path.suffix != ".abc":
        return tones(converter.parse(path))
    lines = path.read_text(encoding="utf-8").splitlines()
    head = [line for line in lines if re.match(r"[A-Z]:", line) and not line.startswith("V:")]
    voices = {}
    for line in lines:
        voice = re.match(r"\[V:(\w+)\]", line)
        if voice:
            voices.setdefault(voice[1], []).append(line[voice.end() :])
    texts = ["\n".join(head + body) + "\n" for body in voices.values()]
    if not texts:
        texts = ["\n".join(lines) + "\n"]
    return sorted(
        tone for text in texts for tone in tones(converter.parse(text, format="abc"), octaves=-1)
    )


def fits(found: list[Tone]) -> bool:
    return bool(found) and all(LOWEST <= tone.key <= HIGHEST for tone in found)


def every_tune() -> list[tuple[Path, int, str]]:
    """Every ABC tune of the corpus: its file, its place in it from 0, its text."""
    every = []
    for path in sorted(corpus.corpora.CoreCorpus().getPaths(fileExtensions=["abc"])):
        every += [(path, number, text) for number, text in enumerate(_tunes_in(path))]
    return every


def _tunes_in(path: Path) -> list[str]:
    text = path.read_text(encoding="utf-8", errors="replace")
    blocks, lines = [], []
    for line in text.splitlines():
        if line.startswith("X:"):
            blocks.append(lines)
            lines = []
        lines.append(line)
    blocks.append(lines)
    kept = []
    for lines in blocks[1:]:
        while lines and not lines[-1].strip():
            lines.pop()
        kept.append("\n".join(lines) + "\n")
    return kept


def every_chorale() -> list[Path]:
    """The folder of the corpus with the chorales; a few pieces for other
    instruments are among them."""
    paths = sorted(corpus.corpora.CoreCorpus().getPaths(fileExtensions=["mxl", "xml"]))
    return [path for path in paths if path.parent.name == "bach"]


# Tunes with these are not drawn.
NOT_DRAWN = (
    # Several voices; what they share is not for one player.
    r"V:|%%score",
    # Invisible rests (ABC 2.1, section 4.5), which the reference library does
    # not read.
    r"(?m)^[^:%\n]*x",
    # Broken rhythm with the end of a slur or a decoration inside (section 4.4
    # does not say whether it may), which the reference library does not read.
    r"[<>]\s*[^A-Ga-gz^_=<>\s]",
    # Two signs of broken rhythm about one note (section 4.4 does not say what
    # they make of it).
    r"[<>]\s*[_=^]*[A-Ga-g][,']*[\d/]*\s*[<>]",
    # A tie after a grace note, which is no place for one (section 4.11).
    r"\}-",
    # Changes of the unit length inside a line, which it does not read.
    r"\[L:",
    # A decoration before an accidental, which then holds for its note alone.
    r"[~.TuvLMOPS!][_=^]",
    # An accidental in a chord, which holds to the end of the bar (section 4.2)
    # but not for the reference library.
    r"\[[^\]|:]*[_=^]",
    # The fermata H before a note (section 4.14), with which it loses the note.
    r"(?m)^(?!\w:).*H",
)


def tunes(folder: Path, count: int, seed: int) -> list[Piece]:
    """ABC tunes in one voice that lie on the guitar when read an octave down,
    as guitar music is written. The files say that they are ABC 2.1, so that
    accidentals hold to the end of the bar (section 4.2) for every reader."""
    drawn = every_tune()
    random.Random(seed).shuffle(drawn)
    pieces = []
    for path, number, text in drawn:
        text = "%abc-2.1\n" + text
        if any(re.search(pattern, text) for pattern in NOT_DRAWN):
            continue
        found = tones(converter.parse(text, format="abc"), octaves=-1)
        if not fits(found):
            continue
        file = folder / f"{len(pieces):03}-{path.stem}-{number}.abc"
        file.write_text(text, encoding="utf-8")
        pieces.append(Piece(file, found))
        if len(pieces) == count:
            break
    return pieces


def excerpts(folder: Path, count: int, seed: int) -> list[Piece]:
    """The outer voices of a few bars of a chorale on one staff, moved to where
    the guitar has them."""
    draw = random.Random(seed)
    chorales = draw.sample(every_chorale(), CHORALES)
    pieces = []
    while len(pieces) < count:
        path = draw.choice(chorales)
        bars, first = draw.randint(3, 8), draw.randint(1, 12)
        excerpt = _excerpt(path, first, first + bars - 1, draw)
        if excerpt is None:
            continue
        file = folder / f"{len(pieces):03}-{path.stem}-{first}.musicxml"
        excerpt.write("musicxml", fp=file)
        # Writing fills up short bars, so what counts is what has been written.
        pieces.append(Piece(file, tones(converter.parse(file))))
    return pieces


@cache
def parsed(path: Path) -> stream.Score:
    return corpus.parse(path)


def _excerpt(path: Path, first: int, last: int, draw: random.Random):
    chorale = parsed(path)
    if len(chorale.parts) < 4:
        return None
    outer = [chorale.parts[0], chorale.parts[-1]]
    voices = [part.measures(first, last) for part in outer]
    keys = [p.midi for voice in voices for p in voice.pitches]
    if not keys:
        return None
    # Every voice keeps its octave; the whole is moved to where it lies.
    moves = range(max(-12, LOWEST - min(keys)), min(12, 76 - max(keys)) + 1)
    bars = [bars_of(voice) for voice in voices]
    if not moves or not in_step(bars):
        return None
    score = on_one_staff(bars, draw.choice(moves))
    return score if fits(tones(score)) else None


def bars_of(voice: stream.Stream) -> list[stream.Measure]:
    return list(voice.getElementsByClass(stream.Measure))


def in_step(voices: list[list[stream.Measure]]) -> bool:
    """Whether voices have the same number of bars, one at least."""
    counts = set(map(len, voices))
    return len(counts) == 1 and 0 not in counts


def on_one_staff(voices: list[list[stream.Measure]], move: int) -> stream.Score:
    """The bars of voices on one staff, moved by so many semitones."""
    part = stream.Part()
    for index, bars in enumerate(zip(*voices, strict=True)):
        whole = stream.Measure(number=index + 1)
        if index == 0:
            whole.insert(0, clef.Treble8vbClef())
            # A context is what stood before, so the bar itself is asked first.
            time = bars[0].timeSignature or bars[0].getContextByClass(meter.TimeSignature)
            whole.insert(0, meter.TimeSignature(time.ratioString if time else "4/4"))
        else:
            for time in bars[0].getElementsByClass(meter.TimeSignature):
                whole.insert(0, meter.TimeSignature(time.ratioString))
        for number, measure in enumerate(bars, start=1):
            whole.insert(0, _voice(measure, number, move))
        part.append(whole)
    _drop_loose_ties(part, len(voices))
    bars_of(part)[-1].rightBarline = bar.Barline("final")
    score = stream.Score()
    score.insert(0, part)
    return score


# Which of four voices are taken for three; the outer ones always.
THREE = (("Soprano", "Alto", "Bass"), ("Soprano", "Tenor", "Bass"))


@dataclass(frozen=True)
class Arrangement:
    """A piece made of the voices of a chorale, or why there is none."""

    name: str
    score: stream.Score | None
    reason: str = ""


def outer_voices(path: Path) -> Arrangement:
    """Soprano and bass of a whole chorale, at their own pitches."""
    return _arrangement(path, ("Soprano", "Bass"), None)


def three_voices(path: Path, seed: int) -> Arrangement:
    """Four bars of a chorale in three voices, drawn for each path."""
    draw = random.Random(f"{seed} {path.name}")
    return _arrangement(path, draw.choice(THREE), draw)


def _arrangement(path: Path, names: tuple[str, ...], draw: random.Random | None):
    # Doubling instruments and a second soprano are named behind the voice.
    parts = {}
    for part in parsed(path).parts:
        parts.setdefault((part.partName or "").partition(" ")[0].partition("\r")[0], part)
    missing = [name for name in ("Soprano", "Alto", "Tenor", "Bass") if name not in parts]
    if missing:
        return Arrangement(path.stem, None, f"no chorale: no part is called {missing[0]}")
    voices = [bars_of(parts[name]) for name in names]
    if not in_step(voices):
        counts = ", ".join(f"{name} {len(bars)}" for name, bars in zip(names, voices))
        return Arrangement(path.stem, None, f"voices of different numbers of bars: {counts}")
    if draw is None:
        return Arrangement(path.stem, on_one_staff(voices, 0))
    # Where instruments play alone the voices have nothing.
    firsts = [
        first
        for first in range(max(1, len(voices[0]) - 3))
        if all(any(bar.flatten().notes for bar in bars[first : first + 4]) for bars in voices)
    ]
    if not firsts:
        return Arrangement(path.stem, None, "no four bars in which all three voices sing")
    first = draw.choice(firsts)
    excerpt = [bars[first : first + 4] for bars in voices]
    return Arrangement(f"{path.stem}-{first + 1}", on_one_staff(excerpt, 0))


def _voice(measure: stream.Measure, number: int, move: int) -> stream.Voice:
    voice = stream.Voice(id=str(number))
    for element in measure.flatten().notesAndRests:
        if element.duration.isGrace:
            continue
        if element.isRest:
            copy = note.Rest(quarterLength=element.quarterLength)
        else:
            copy = note.Note(quarterLength=element.quarterLength)
            copy.pitch.midi = element.pitches[-1].midi + move
            copy.tie = element.tie
        voice.insert(element.offset, copy)
    return voice


def _drop_loose_ties(part: stream.Part, voices: int) -> None:
    """A tie over the edge of an excerpt has lost its other end."""
    for number in map(str, range(1, voices + 1)):
        line = [
            element
            for measure in part.getElementsByClass(stream.Measure)
            for voice in measure.voices
            if voice.id == number
            for element in voice.notesAndRests
        ]
        types = [None if e.isRest or e.tie is None else e.tie.type for e in line]
        for index in range(len(line)):
            stops = index > 0 and _tied(line, types, index - 1)
            starts = _tied(line, types, index)
            kind = {(1, 1): "continue", (1, 0): "start", (0, 1): "stop"}.get((starts, stops))
            if not line[index].isRest:
                line[index].tie = tie.Tie(kind) if kind else None


def _tied(line: list, types: list, index: int) -> bool:
    """Whether an element is tied to the next."""
    if index + 1 == len(line) or types[index] not in ("start", "continue"):
        return False
    here, after = line[index], line[index + 1]
    return types[index + 1] in ("stop", "continue") and here.pitch.midi == after.pitch.midi

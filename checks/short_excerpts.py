"""Excerpts of 8 to 16 onsets for the outside solver, each with what is asked of
the player, drawn with a seed: levels, hands, capos, tempi and pins.
"""

import random
import re
from dataclasses import dataclass
from pathlib import Path

import adorned
import command
import material
from music21 import converter

ONSETS = range(8, 17)

# Flags of `finger` for a player and an instrument; the first is a player who
# may do everything.
ASKED = (
    [],
    ["--level", "first"],
    ["--barre", "none"],
    ["--barre", "small", "--extension", "0"],
    ["--barre", "half", "--highest-fret", "7"],
    ["--hand", "small", "--extension", "2"],
    ["--hand", "large", "--tempo", "160"],
    ["--capo", "2", "--tempo", "40"],
    ["--tuning", "D2 A2 D3 G3 B3 E4"],
)

# A pin contradicts what the program found without it, so that it matters.
PINNED = ("no", "string", "finger", "position")


@dataclass(frozen=True)
class Case:
    """An excerpt, and the flags it is fingered with."""

    name: str
    path: Path
    flags: list[str]

    def answer(self, apoyando: str) -> tuple[dict, dict]:
        """The piece and its part, as the program has them."""
        return command.one_part(apoyando, self.path, self.flags)


def cases(
    apoyando: str, folder: Path, count: int, seed: int, onsets: range = ONSETS, plain: bool = True
) -> list[Case]:
    """By turns one voice of a tune, and two and three voices of a chorale; as
    they are, or adorned."""
    draw = random.Random(seed)
    chorales = draw.sample(material.every_chorale(), material.CHORALES)
    tunes = material.every_tune()
    found = []
    while len(found) < count:
        voices = len(found) % 3 + 1
        path = folder / f"{len(found):03}.musicxml"
        if not excerpt(draw, path, voices, onsets, (tunes, chorales)):
            continue
        if not plain:
            adorned.adorn(draw, path, path)
        asked = ASKED[len(found) // 3 % len(ASKED)]
        flags = asked + _pin(draw, apoyando, path, asked, PINNED[len(found) % len(PINNED)])
        name = f"{path.stem} {voices} voices {' '.join(flags)}"
        found.append(Case(name, path, flags))
    return found


def excerpt(draw: random.Random, path: Path, voices: int, onsets: range, drawn: tuple) -> bool:
    """Tries once to write an excerpt with so many voices and onsets."""
    tunes, chorales = drawn
    bars = range(onsets.start // 8, onsets.stop // 4 + 1)
    if voices == 1:
        score = _line(draw, tunes, range(max(2, bars.start), bars.stop))
    else:
        score = _voices(draw, chorales, voices, bars)
    if score is None or len({tone.onset for tone in material.tones(score)}) not in onsets:
        return False
    score.write("musicxml", fp=path)
    # Writing fills up short bars; what counts is what has been written.
    return material.fits(material.tones(converter.parse(path)))


def _line(draw: random.Random, tunes: list, lengths: range):
    """A few bars of a tune, where the guitar has them."""
    text = draw.choice(tunes)[2]
    if any(re.search(pattern, text) for pattern in material.NOT_DRAWN):
        return None
    bars = material.bars_of(converter.parse(text, format="abc").parts[0])
    length = draw.choice(lengths)
    if len(bars) < length:
        return None
    first = draw.randint(0, len(bars) - length)
    return _moved(draw, [bars[first : first + length]])


def _voices(draw: random.Random, chorales: list[Path], count: int, lengths: range):
    """A few bars of the outer voices of a chorale, or of three of them."""
    chosen = (0, -1) if count == 2 else (0, draw.choice((1, 2)), -1)
    parts = material.parsed(draw.choice(chorales)).parts
    if len(parts) < 4:
        return None
    first = draw.randint(1, 12)
    last = first + draw.choice(lengths) - 1
    voices = [material.bars_of(parts[index].measures(first, last)) for index in chosen]
    return _moved(draw, voices) if material.in_step(voices) else None


def _moved(draw: random.Random, voices: list):
    keys = [pitch.midi for bars in voices for bar in bars for pitch in bar.pitches]
    if not keys:
        return None
    moves = range(max(-24, material.LOWEST - min(keys)), min(24, 76 - max(keys)) + 1)
    return material.on_one_staff(voices, draw.choice(moves)) if moves else None


def _pin(draw: random.Random, apoyando: str, path: Path, asked: list[str], kind: str) -> list[str]:
    if kind == "no":
        return []
    _, part = command.one_part(apoyando, path, asked)
    tone = draw.choice([tone for tone in part["tones"] if not tone["left_out"]])
    if kind == "position":
        positions = {span["what"] for span in part["positions"]} or {1}
        other = draw.choice([p for p in range(1, 8) if p not in positions])
        return ["--position", f"{tone['bar']}={other}"]
    where = f"{tone['bar']}:{tone['beat']}:{tone['voice']}"
    return ["--pin", f"{where}=not {kind} {tone[kind]}"]

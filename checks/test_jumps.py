"""The order of bars that the command works out from segno, coda, Fine and jumps,
against the reference library's; from the file and from what is written of it."""

import random

import command
import pytest
from conftest import SEED
from music21 import converter

BAR = """<measure number="{number}">{before}{attributes}<note><pitch><step>{step}</step>
<octave>{octave}</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>
{after}</measure>"""
ATTRIBUTES = """<attributes><divisions>1</divisions><time><beats>4</beats>
<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line>
<clef-octave-change>-1</clef-octave-change></clef></attributes>"""
SCORE = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/>
</score-part></part-list><part id="P1">{bars}</part></score-partwise>"""
DIRECTION = """<direction><direction-type>{shown}</direction-type><sound {sound}="{value}"/>
</direction>"""


def direction(shown: str, sound: str, value: str = "1") -> str:
    shown = shown if shown.startswith("<") else f"<words>{shown}</words>"
    return DIRECTION.format(shown=shown, sound=sound, value=value)


def jump(words: str) -> str:
    if words.startswith("D.C."):
        return direction(words, "dacapo", "yes")
    return direction(words, "dalsegno")


def score(count: int, before: dict[int, str], after: dict[int, str]) -> str:
    """One note a bar, each of another pitch; signs before and after bars."""
    bars = [
        BAR.format(
            number=n + 1,
            attributes="" if n else ATTRIBUTES,
            before=before.get(n, ""),
            step="CDEFGAB"[n % 7],
            octave=3 + n // 7,
            after=after.get(n, ""),
        )
        for n in range(count)
    ]
    return SCORE.format(bars="".join(bars))


def drawn(draw: random.Random, words: str) -> str:
    """Bars with a jump, and with what it leads to."""
    before, after = {}, {}
    segno, to_coda, leap, last = sorted(draw.sample(range(1, 12), 4))
    if words.startswith("D.S."):
        before[segno] = direction("<segno/>", "segno")
    if words.endswith("Coda"):
        after[to_coda] = direction("To Coda", "tocoda")
        before[leap + 1] = direction("<coda/>", "coda")
    if words.endswith("Fine"):
        after[to_coda] = direction("Fine", "fine", "yes")
    after[leap] = jump(words)
    return score(last + 1, before, after)


def played(text: str) -> list[int]:
    """Keys in the order of the reference library."""
    expanded = converter.parse(text, format="musicxml").expandRepeats()
    return [round(note.pitch.ps) for note in expanded.recurse().notes]


@pytest.mark.parametrize(
    "words",
    ["D.C.", "D.S.", "D.C. al Fine", "D.S. al Fine", "D.C. al Coda", "D.S. al Coda"],
)
def test_jumps_lead_where_they_lead(apoyando, tmp_path, words):
    draw = random.Random(SEED)
    for n in range(8):
        text = drawn(draw, words)
        path = tmp_path / f"{n}.musicxml"
        path.write_text(text, encoding="utf-8")
        wanted = played(text)
        piece, part = command.one_part(apoyando, path, [])
        keys = [tone["key"] for tone in part["tones"]]
        assert [keys[bar] for bar in piece["playing_order"]] == wanted, text
        # Else no jump was seen.
        assert wanted != keys[: len(wanted)]
        back = command.written(apoyando, path, tmp_path / f"{n} back.musicxml")
        assert played(back.read_text(encoding="utf-8")) == wanted, text

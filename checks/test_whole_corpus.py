"""The run over the whole corpus, on a sample: what it gathers, and that nothing
is missing from its report."""

import os
import subprocess
from fractions import Fraction
from pathlib import Path

import command
import material
import pytest
from music21 import converter, corpus, stream

CHORALE = "bach/bwv269"

# A panic of the reader or of the hands is caught and named; these are not so
# bad, and are named too.
BROKEN = {
    "no-chord-end.abc": ("X:1\nK:C\n[CE|\n", "not read"),
    "empty.abc": ("", "not read"),
    "rests.abc": ("X:1\nM:4/4\nK:C\nz4|]\n", "no notes"),
    "wide.abc": ("X:1\nM:4/4\nL:1/4\nK:C\nE,,,e''''|]\n", "range too wide"),
    "crowd.abc": ("X:1\nM:4/4\nL:1/1\nK:C\n[^CDEFGAB]|]\n", "notes left out"),
}


@pytest.fixture(scope="session")
def program(apoyando) -> str:
    """The program that fingers a folder."""
    return command.example(apoyando, "corpus")


def table(path: Path) -> list[dict[str, str]]:
    head, *lines = [line.split("\t") for line in path.read_text().splitlines()]
    return [dict(zip(head, line, strict=True)) for line in lines]


def test_every_piece_is_in_the_report(program, tunes, excerpts, tmp_path):
    folder = tmp_path / "material"
    for kind, pieces in (("tunes", tunes), ("outer", excerpts)):
        (folder / kind).mkdir(parents=True)
        for piece in pieces:
            os.link(piece.path, folder / kind / piece.path.name)
    for name, (text, _) in BROKEN.items():
        (folder / name).write_text(text)
    (folder / "passed-over.tsv").write_text("piece\treason\nouter/none\tno such voices\n")
    run = subprocess.run([program, folder, tmp_path / "report"], capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
    assert "faults: 0" in run.stdout

    found = {row["piece"]: row for row in table(tmp_path / "report" / "pieces.tsv")}
    wanted = {f"tunes/{piece.path.name}" for piece in tunes}
    wanted |= {f"outer/{piece.path.name}" for piece in excerpts}
    assert set(found) == wanted | set(BROKEN) | {"outer/none"}
    for piece in tunes:
        row = found[f"tunes/{piece.path.name}"]
        assert row["outcome"] == "played" and row["moved by semitones"] == "0", row
        assert int(row["tones"]) == len(piece.tones), row
    for name, (_, outcome) in BROKEN.items():
        assert found[name]["outcome"] == outcome, found[name]

    not_played = table(tmp_path / "report" / "not-played.tsv")
    assert {row["piece"] for row in not_played} == {
        name for name, row in found.items() if row["outcome"] != "played"
    }
    assert all(row["reason"] for row in not_played)
    assert str(tmp_path) not in (tmp_path / "report" / "not-played.tsv").read_text()


def test_a_folder_that_is_not_there_is_named(program, tmp_path):
    typed = [program, tmp_path / "nowhere", tmp_path / "report"]
    run = subprocess.run(typed, capture_output=True, text=True)
    assert run.returncode == 2 and "nowhere" in run.stderr, run.stderr


@pytest.mark.parametrize(
    ("names", "arrangement"),
    [
        (("Soprano", "Bass"), material.outer_voices),
        (None, lambda path: material.three_voices(path, 1)),
    ],
)
def test_arrangements_have_the_notes_of_their_voices(names, arrangement, tmp_path):
    path = Path(corpus.getWork(CHORALE))
    made = arrangement(path)
    assert made.score is not None, made.reason
    file = tmp_path / "made.musicxml"
    made.score.write("musicxml", fp=file)
    ours = material.tones(converter.parse(file))
    parts = {part.partName: part for part in corpus.parse(CHORALE).parts}
    if names is None:
        # An excerpt begins at the bar in its name; its ties may be cut.
        first = int(made.name.rsplit("-", 1)[1])
        bars = [list(parts[n].getElementsByClass(stream.Measure)) for n in ("Soprano", "Bass")]
        keys = {p.midi for voice in bars for bar in voice[first - 1 : first + 3] for p in bar.pitches}
        assert keys <= {tone.key for tone in ours}
        assert max(Fraction(tone.onset) for tone in ours) < 4 * 4
    else:
        theirs = sorted(tone for name in names for tone in material.tones(parts[name]))
        assert [(tone.length, tone.key) for tone in sorted(ours)] == [
            (tone.length, tone.key) for tone in theirs
        ]

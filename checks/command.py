"""Runs the command, and finds the examples built beside it."""

import json
import subprocess
from pathlib import Path

import pytest


def example(apoyando: str, name: str) -> str:
    """Where an example program is."""
    path = Path(apoyando).parent / "examples" / name
    if not path.is_file():
        pytest.fail("type: cargo build --workspace --examples --locked")
    return str(path)


def fingered(apoyando: str, files: list[Path], level: str = "open") -> dict[Path, dict]:
    """What `finger` says about files, in one run."""
    typed = [apoyando, "finger", "--format", "json", "--level", level, *map(str, files)]
    run = subprocess.run(typed, capture_output=True, text=True)
    # 1 says that there are findings of weight; a score may well have some.
    assert run.returncode in (0, 1), run.stderr
    answers = json.loads(run.stdout)["files"]
    assert [Path(answer["file"]) for answer in answers] == files
    return dict(zip(files, answers, strict=True))


def one_part(apoyando: str, file: Path, flags: list[str]) -> tuple[dict, dict]:
    """A file's only piece, and its only part, as `finger` has them."""
    typed = [apoyando, "finger", "--format", "json", *flags, str(file)]
    run = subprocess.run(typed, capture_output=True, text=True)
    assert run.returncode in (0, 1), run.stderr
    [answer] = json.loads(run.stdout)["files"]
    [piece] = answer["pieces"]
    [part] = piece["parts"]
    return piece, part


def written(apoyando: str, file: Path, output: Path) -> Path:
    """The fingered MusicXML of one file."""
    typed = [apoyando, "finger", "--density", "every-note", "-o", str(output), str(file)]
    run = subprocess.run(typed, capture_output=True, text=True)
    assert run.returncode in (0, 1), run.stderr
    assert output.is_file(), run.stderr
    return output


def dearer_by_likeness(part: dict) -> int:
    """What it cost in all to finger like bars alike (section 10 of the model)."""
    made = [like for like in part["like_bars"] if like["outcome"] == "made"]
    return sum(like["more"] for like in made)

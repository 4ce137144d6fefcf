"""Bad input ends in a sentence with a place, never in a panic, and leaves no
half-written file behind."""

import json
import subprocess
import zipfile
from pathlib import Path

import pytest

ABC = "%abc-2.1\nX:1\nT:Trial\nM:4/4\nL:1/4\nK:C clef=treble-8\n{}|]\n"


def finger(apoyando: str, file: Path, *more: str) -> subprocess.CompletedProcess:
    typed = [apoyando, "finger", *more, str(file)]
    run = subprocess.run(typed, capture_output=True, text=True, timeout=60)
    # 101 is a panic; below 0 is a signal.
    assert run.returncode in (0, 1, 2), (run.returncode, run.stderr)
    assert "panicked" not in run.stderr
    return run


def bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>',
        )
        with archive.open("score.xml", "w", force_zip64=True) as score:
            for _ in range(300):
                score.write(b" " * (1 << 20))


UNREADABLE = {
    "missing.musicxml": None,
    "empty.musicxml": b"",
    "broken.musicxml": b'<score-partwise version="4.0"><part-list>',
    "other.xml": b"<opml/>",
    "noise.mxl": b"PK\x03\x04" + bytes(range(256)),
    "noise.abc": bytes(range(128, 256)),
    "bomb.mxl": bomb,
    "entities.musicxml": b'<!DOCTYPE s [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(
        b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9)
    )
    + b"]><score-partwise><part-list>&j;</part-list></score-partwise>",
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_files_that_cannot_be_read_are_named(apoyando, tmp_path, name):
    path, output = tmp_path / name, tmp_path / "out.musicxml"
    content = UNREADABLE[name]
    if callable(content):
        content(path)
    elif content is not None:
        path.write_bytes(content)
    run = finger(apoyando, path, "-o", str(output))
    assert run.returncode != 0
    assert name in run.stderr + run.stdout
    assert [p.name for p in tmp_path.iterdir() if p != path] == []


MUSIC = {
    # Written D3 is a tone below ⑥; written C7 is a fret above the last.
    "below the lowest string": "D,",
    "above the last fret": "c''",
    "a chord of seven": "[E,A,DGBea]4",
    "a chord on one string": "[E,F,^F,]4",
    "nothing but rests": "z4",
}


@pytest.mark.parametrize("name", MUSIC)
def test_music_beyond_the_guitar_is_answered(apoyando, tmp_path, name):
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format(MUSIC[name]))
    run = finger(apoyando, path, "--format", "json")
    [file] = json.loads(run.stdout)["files"]
    findings = file["findings"] + [
        finding
        for piece in file["pieces"]
        for finding in piece["findings"] + sum((p["findings"] for p in piece["parts"]), [])
    ]
    hard = [
        violation
        for piece in file["pieces"]
        for part in piece["parts"]
        for violation in part["violations"]
        if not violation["authors"]
    ]
    assert hard == []
    if name == "nothing but rests":
        assert file["error"] is None
    else:
        heavy = [f for f in findings if f["severity"] in ("warning", "error")]
        assert file["error"] or any(f["place"].get("bar") == 1 for f in heavy), findings


def test_pins_that_exclude_each_other_are_named(apoyando, tmp_path):
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format("c d e f"))
    pins = ["--pin", "1:2=finger 1", "--pin", "1:2=finger 4"]
    run = finger(apoyando, path, *pins, "--format", "json")
    text = run.stdout.lower()
    assert "pin" in text
    [part] = json.loads(run.stdout)["files"][0]["pieces"][0]["parts"]
    assert part["price"]["broken"] >= 1
    assert any(f["place"].get("bar") == 1 for f in part["findings"]), part["findings"]


def test_an_unknown_key_in_a_plan_is_named_with_its_line(apoyando, tmp_path):
    book = tmp_path / "trial"
    made = subprocess.run([apoyando, "new", str(book)], capture_output=True, text=True)
    assert made.returncode == 0, made.stderr
    plan = book / "book.toml"
    lines = plan.read_text(encoding="utf-8").splitlines()
    plan.write_text("\n".join(["tittle = 'x'", *lines]) + "\n", encoding="utf-8")
    run = subprocess.run([apoyando, "check", str(book)], capture_output=True, text=True)
    assert run.returncode != 0
    said = run.stdout + run.stderr
    assert "book.toml:1" in said and "tittle" in said, said

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
    # Written F3 is on ⑥ at fret 1 alone, written B6 on ① at fret 19.
    "a chord wider than a hand": "[F,b']4",
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


# What the reader takes note of, with the place it names.
ODD = {
    "notes without length": ("c d e0 e f", "no-length", 1, "3"),
    "an empty bar": ("c d e f| |g4", "empty-bar", 2, "1"),
    "ten thousand notes at once": (f"[{'CEGce' * 2000}]4", "doubled-pitch", 1, "1"),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_music_is_named_with_bar_and_beat(apoyando, tmp_path, name):
    music, rule, bar, beat = ODD[name]
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format(music))
    [file] = json.loads(finger(apoyando, path, "--format", "json").stdout)["files"]
    [piece] = file["pieces"]
    places = [f["place"] for f in piece["findings"] if f["rule"] == rule]
    assert (bar, beat) in [(p["bar"], p.get("beat")) for p in places], piece["findings"]
    assert piece["parts"][0]["fingered"]


# `finger` stops a run that takes longer than a minute.
SWARMS = {
    "of different pitch": "cdef" * 2500,
    "of one pitch": "c" * 10_000,
    "in chords": "[CEGc][DFAd]" * 5000,
}


@pytest.mark.parametrize("name", SWARMS)
def test_ten_thousand_notes_in_one_bar_are_fingered(apoyando, tmp_path, name):
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format(SWARMS[name]).replace("L:1/4", "L:1/128"))
    [file] = json.loads(finger(apoyando, path, "--format", "json").stdout)["files"]
    [part] = file["pieces"][0]["parts"]
    assert part["fingered"] and len(part["tones"]) >= 10_000
    assert [v for v in part["violations"] if not v["authors"]] == []


def test_a_bar_too_long_to_count_is_refused_with_its_number(apoyando, tmp_path):
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format("cdef" * 2500))
    [file] = json.loads(finger(apoyando, path, "--format", "json").stdout)["files"]
    assert "bar 1" in file["error"], file


def test_where_nothing_is_allowed_every_broken_rule_is_named(apoyando, tmp_path):
    """No position, no fret but the open one: nothing is left but to break it."""
    path = tmp_path / "trial.abc"
    path.write_text(ABC.format("f ^g f ^g"))
    typed = ["--level", "first", "--highest-fret", "0", "--pin", "1=finger 0"]
    run = finger(apoyando, path, *typed, "--format", "json")
    [part] = json.loads(run.stdout)["files"][0]["pieces"][0]["parts"]
    assert part["price"]["escapes"] == 0 and part["price"]["broken"] >= 8, part["price"]
    heavy = {(f["place"]["bar"], f["place"]["beat"]) for f in part["findings"]}
    assert {(1, str(beat)) for beat in (1, 2, 3, 4)} <= heavy, part["findings"]
    assert run.returncode == 1


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

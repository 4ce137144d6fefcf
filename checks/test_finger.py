"""What can be asked of `finger`, tried on real music: the options hold what
they say, and nothing that is asked makes the hands cheaper than they are."""

import json
import random
import subprocess
from pathlib import Path

import pytest

from command import dearer_by_likeness

# One run of the command for each piece and question.
PIECES, SEED = 20, 7


@pytest.fixture(scope="module")
def drawn(corpus) -> list[Path]:
    paths = [piece.path for piece in corpus]
    return sorted(random.Random(SEED).sample(paths, PIECES))


def parts(apoyando: str, file: Path, *more: str) -> list[dict]:
    typed = [apoyando, "finger", "--format", "json", *more, str(file)]
    run = subprocess.run(typed, capture_output=True, text=True, timeout=300)
    assert run.returncode in (0, 1), run.stderr
    [answer] = json.loads(run.stdout)["files"]
    [piece] = answer["pieces"]
    return piece["parts"]


def price(part: dict) -> tuple[int, int, int]:
    return tuple(part["price"][what] for what in ("escapes", "broken", "effort"))


def best_price(part: dict) -> tuple[int, int, int]:
    """The price before like bars were fingered alike, which may cost more."""
    escapes, broken, effort = price(part)
    return escapes, broken, effort - dearer_by_likeness(part)


def test_the_items_add_up_to_the_effort(fingered):
    for answer in fingered.values():
        for piece in answer["pieces"]:
            for part in piece["parts"]:
                whole = part["price"]["effort"]
                assert sum(item["amount"] for item in part["effort"]) == whole
                assert sum(part["effort_by_term"].values()) == whole
                for term, amount in part["effort_by_term"].items():
                    items = [i["amount"] for i in part["effort"] if i["term"] == term]
                    assert sum(items) == amount


def test_a_larger_hand_never_pays_more(apoyando, drawn):
    """Reach only forbids: what a hand can do, a larger one can do at the same
    price."""
    differ = 0
    for file in drawn:
        small, medium, large = (
            [price(part) for part in parts(apoyando, file, "--hand", hand)]
            for hand in ("small", "medium", "large")
        )
        assert all(s >= m >= l for s, m, l in zip(small, medium, large, strict=True)), file
        wide = [price(p) for p in parts(apoyando, file, "--hand", "small", "--reach", "1-4=137.5")]
        assert all(w <= s for w, s in zip(wide, small, strict=True)), file
        differ += small != large
    # Otherwise the size of the hand would be no question in this music.
    assert differ > 0


def test_other_ways_cost_what_a_pin_brings(apoyando, drawn):
    draw = random.Random(SEED)
    tried = 0
    for file in drawn:
        [free] = parts(apoyando, file)
        # A bar number that stands twice would not say which note is meant.
        tone = draw.choice([t for t in free["tones"] if not t["left_out"]])
        alike = [
            t
            for t in free["tones"]
            if all(t[what] == tone[what] for what in ("bar", "beat", "voice"))
        ]
        if len(alike) > 1:
            continue
        place = f"{tone['bar']}:{tone['beat']}:{tone['voice']}"
        [asked] = parts(apoyando, file, "--alternatives", place)
        [note] = asked["alternatives"]
        # Other ways keep the bars alike that were made so, and a pin may not.
        if note["tone"] != tone["tone"] or dearer_by_likeness(free):
            continue
        for way in note["ways"]:
            assert way["more"] == sum(change["amount"] for change in way["changes"])
            if way["string"] is None:
                continue
            [pinned] = parts(apoyando, file, "--pin", f"{place}=string {way['string']}")
            assert best_price(pinned) == tuple(way["price"].values()), (file, place, way)
            assert way["price"]["effort"] == free["price"]["effort"] + way["more"]
            tried += 1
    assert tried >= PIECES // 2


@pytest.mark.parametrize(
    ("what", "holds"),
    [
        ("not finger 4", lambda tone: tone["finger"] != 4),
        ("not open", lambda tone: tone["finger"] != 0),
        ("string 2,3,4", lambda tone: tone["string"] in (2, 3, 4)),
        ("not fret 3", lambda tone: tone["fret"] != 3),
    ],
)
def test_what_is_pinned_over_bars_is_kept_or_counted(apoyando, drawn, what, holds):
    kept = 0
    for file in drawn:
        [free] = parts(apoyando, file)
        bars = [tone["bar"] for tone in free["tones"]]
        [asked] = parts(apoyando, file, "--pin", f"{min(bars)}-{max(bars)}={what}")
        assert best_price(asked) >= best_price(free)
        against = {
            (t["at"], t["key"]) for t in asked["tones"] if not t["left_out"] and not holds(t)
        }
        # Every sound that breaks the pin is one broken rule.
        assert len(against) <= asked["price"]["broken"], file
        kept += not against
    assert kept > 0


def test_tunings_lower_no_string_that_is_not_named(apoyando, drawn):
    for file in drawn[:10]:
        one = parts(apoyando, file, "--tuning", "6=D 3=F#")
        other = parts(apoyando, file, "--tuning", "D2 A2 D3 F#3 B3 E4")
        assert one == other
        for tone in one[0]["tones"]:
            if tone["left_out"]:
                continue
            # MIDI keys of E4 B3 F#3 D3 A2 D2.
            opened = (64, 59, 54, 50, 45, 38)[tone["string"] - 1]
            assert opened + tone["fret"] == tone["key"]

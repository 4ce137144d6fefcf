"""Questions to the left hand written by hand, in the JSON of `finger`; times are
in quarters here.
"""

from dataclasses import dataclass
from fractions import Fraction

from left_hand_fingering import Posture
from left_hand_model import Model
from left_hand_price import Bill, Forbidden
from left_hand_question import Question

# The table of effort of these questions, whatever the program's own is.
TABLE = {
    "stop": 4,
    "finger_3": 2,
    "finger_4": 6,
    "height": 1,
    "extension": 24,
    "lean": 10,
    "contraction": 2,
    "lead": 4,
    "lead_stay": 10,
    "stretch": 2,
    "crossed": 8,
    "crowd": 3,
    "barre_hold": 4,
    "barre_idle": 20,
    "barre_lay": 8,
    "hinge": 6,
    "shift": 32,
    "travel": 2,
    "ease_guide": 30,
    "ease_pivot": 40,
    "ease_open": 30,
    "ease_rest": 50,
    "ease_phrase": 40,
    "ease_beat": 10,
    "ease_repeat": 20,
    "leading": 20,
    "hop": 40,
    "hop_stay": 24,
    "land": 1,
    "jump": 2,
    "jump_bass": 5,
    "leap": 2,
    "twice": 8,
    "slide": 8,
    "replace": 12,
    "exchange": 10,
    "substitute": 20,
    "unchanged": 240,
    "weak_pair": 2,
    "join": 240,
    "join_weak": 6,
    "ornament": 240,
    "tone_high": 10,
    "tone_long": 2,
    "house": 12,
    "cut_melody": 120,
    "cut_bass": 60,
    "cut_inner": 30,
    "cut_tail": 15,
    "ring": 16,
}

GUITAR = {
    "open_strings": [
        {"string": string, "key": key}
        for string, key in enumerate((64, 59, 55, 50, 45, 40), start=1)
    ],
    "capo": 0,
    "frets": 19,
    "scale_length": 650.0,
    "nut_spread": 42.5,
    "bridge_spread": 58.0,
}

REACH = {"1-2": 800, "1-3": 1050, "1-4": 1250, "2-3": 660, "2-4": 950, "3-4": 640}

LEVEL = {
    "highest_fret": 24,
    "positions": list(range(1, 25)),
    "fingers": [0, 1, 2, 3, 4],
    "barre": "full",
    "extension": 3,
    "substitution": False,
    "reach": REACH,
}

HOUSE = {"third_fret": None, "descending": None, "shapes": []}


@dataclass(frozen=True)
class Note:
    """An event of a voice: one key or several, or none for a rest."""

    keys: tuple[int, ...]
    at: Fraction
    length: Fraction
    voice: int = 1
    fermata: bool = False
    harmonic: str | None = None
    # Of its last key.
    auxiliaries: tuple[int, ...] = ()


def note(keys, at, length, **more) -> Note:
    keys = (keys,) if isinstance(keys, int) else tuple(keys)
    return Note(keys, Fraction(at), Fraction(length), **more)


def line(*keys, length=1, start=0, **more) -> list[Note]:
    """Notes one after the other."""
    length = Fraction(length)
    start = Fraction(start)
    return [note(key, start + n * length, length, **more) for n, key in enumerate(keys)]


def bar(start, length=4, **more) -> dict:
    return {
        "number": 1,
        "start": str(Fraction(start) / 4),
        "length": str(Fraction(length) / 4),
        "quarters_a_minute": None,
        "fifths": 0,
        "repeat_start": False,
        "repeat_end": None,
        "end": "plain",
        **more,
    }


def written(notes: list[Note], bars=None, order=None, joins=(), pins=(), **asked):
    """The JSON of a piece and of its part; what is asked is changed by name:
    `guitar`, `level`, `house`, `effort`. Joins are from tone to tone."""
    end = max(note.at + note.length for note in notes)
    bars = bars or [bar(start) for start in range(0, int(end) + 1, 4)]
    tones, events = [], []
    for one in notes:
        at, numbers = str(one.at / 4), []
        for key in one.keys:
            numbers.append(len(tones))
            tones.append(
                {
                    "tone": len(tones),
                    "at": at,
                    "key": key,
                    "duration": str(one.length / 4),
                    "auxiliaries": list(one.auxiliaries) if key == one.keys[-1] else [],
                }
            )
        events.append(
            {
                "voice": one.voice,
                "at": at,
                "duration": str(one.length / 4),
                "tones": numbers,
                "fermata": one.fermata,
                "natural_harmonic": one.harmonic == "natural",
                "artificial_harmonic": one.harmonic == "artificial",
            }
        )
    question = {
        "instrument": GUITAR | asked.get("guitar", {}),
        "level": LEVEL | asked.get("level", {}),
        "house": HOUSE | asked.get("house", {}),
        "effort_table": TABLE | asked.get("effort", {}),
        "pins": list(pins),
    }
    part = {
        "question": question,
        "tones": tones,
        "events": events,
        "joins": [{"from": a, "to": b, "by": by} for a, b, by in joins],
    }
    order = list(range(len(bars))) if order is None else order
    return {"bars": bars, "playing_order": order}, part


def question(notes: list[Note], **more) -> Question:
    return Question(*written(notes, **more))


def pin(rule: str, allowed, *, tone=None, time=None, author="author") -> dict:
    """On a tone, or over a time in quarters."""
    if tone is not None:
        scope = {"tone": tone}
    else:
        scope = {"time": {"from": str(Fraction(time[0]) / 4), "until": str(Fraction(time[1]) / 4)}}
    return {"author": author, "scope": scope, "rule": rule, "allowed": allowed}


def hand(sounding: dict, position=None, **more) -> Posture:
    return Posture(sounding=sounding, position=position, **more)


def bill(question: Question, *postures: Posture) -> Bill:
    """The bill of a fingering, which the constraints must price alike."""
    found = Bill(question, list(postures))
    assert Model(question).price_of(list(postures), 60) == found.price
    return found


def items(question: Question, *postures: Posture) -> dict:
    """Every item of the bill, by term and layer."""
    return dict(bill(question, *postures).items)


def refusals(question: Question, *postures: Posture) -> set[str]:
    """The rules that refuse a fingering; the constraints must refuse it too."""
    try:
        Bill(question, list(postures))
    except Forbidden as forbidden:
        assert Model(question).price_of(list(postures), 60) is None
        return {name for name, _ in forbidden.args[0]}
    assert Model(question).price_of(list(postures), 60) is not None
    return set()


POSTURE_TERMS = {
    "stop",
    "finger_3",
    "finger_4",
    "height",
    "extension",
    "contraction",
    "lead",
    "stretch",
    "crossed",
    "crowd",
    "barre_hold",
    "tone_high",
    "tone_long",
    "ornament",
    "house",
}


def moves(asked, *postures) -> dict:
    """What is paid on moves and seams, by term and layer."""
    found = items(asked, *postures)
    return {at: amount for at, amount in found.items() if at[0] not in POSTURE_TERMS}


def two(first, second, p=1, to=None, **more):
    """Two notes one after the other, in one position or in two."""
    opened = (64, 59, 55, 50, 45, 40)
    keys = [opened[string - 1] + fret for string, fret, _ in (first, second)]
    length = more.pop("length", 1)
    asked = question(line(*keys, length=length), **more)
    return moves(asked, hand({0: first}, p), hand({1: second}, to or p))

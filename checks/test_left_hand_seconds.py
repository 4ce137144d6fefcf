"""Another finger takes over a note that sounds on, docs/model.md sections 3 to 5: the
rules and the terms by the bill and by the constraints alike."""

from collections import Counter

import pytest
from left_hand_by_hand import hand, items, line, note, pin, question, refusals
from left_hand_exhaustive import TooMany, cheaper
from left_hand_model import Model
from left_hand_price import Bill
from left_hand_puzzles import held as held_puzzle

TAUGHT = {"substitution": True}
# C3 on ⑤3 under C4 on ②1, E4 on the open ①, D4 on ②3 and E4.
NOTES = [*line(60, 64, 62, 64), note(48, 0, 4, voice=2)]
BASS = 4


def held(*bass, second=(2, 3, 3), positions=(1, 1, 1, 1)):
    """The bass by these fingers from layer to layer, let go where there is none."""
    melody = [(2, 1, 1), (1, 0, 0), second, (1, 0, 0)]
    return [
        hand({n: at} if finger is None else {n: at, BASS: (5, 3, finger)}, position)
        for n, (at, finger, position) in enumerate(zip(melody, bass, positions, strict=True))
    ]


def sounds(notes, **more):
    """A question, with its sounds in the order of their notes."""
    return question(notes, **more)


@pytest.fixture(name="asked")
def _asked():
    return sounds(NOTES, level=TAUGHT)


def renumbered(asked, postures):
    """Sounds are numbered by onset and key, not by note."""
    order = [asked.sound_of[tone] for tone in range(len(asked.sound_of))]
    return [
        hand({order[n]: at for n, at in one.sounding.items()}, one.position, barre=one.barre)
        for one in postures
    ]


def against(asked, *postures):
    return refusals(asked, *renumbered(asked, postures))


def test_a_finger_takes_over(asked):
    assert against(asked, *held(3, 4, 4, 4)) == set()
    assert against(question(NOTES), *held(3, 4, 4, 4)) == {"M5"}
    few = question(NOTES, level=TAUGHT | {"fingers": [0, 1, 2, 3]})
    assert against(few, *held(3, 4, 4, 4)) == {"M5"}


def test_once_and_by_a_finger_that_is_free(asked):
    there_and_back = held(3, 4, 3, 3, second=(3, 7, 4), positions=(1, 1, 4, 4))
    assert "M5" in against(asked, *there_and_back)
    twice = held(3, 4, 4, 2, positions=(1, 1, 1, 2))
    assert against(asked, *twice) == {"M5"}
    elsewhere = held(3, 1, 1, 1, second=(2, 3, 2), positions=(1, 3, 3, 3))
    assert against(asked, *elsewhere) == {"M5"}


def test_a_pin_names_the_finger():
    pinned = question(NOTES, level=TAUGHT, pins=[pin("second_fingers", [2], tone=BASS)])
    assert against(pinned, *held(3, 4, 4, 4)) == {"M5"}
    assert against(pinned, *held(3, 2, 2, 2, positions=(1, 2, 2, 2))) == set()


def test_what_it_costs(asked):
    charged = items(asked, *renumbered(asked, held(3, 4, 4, 4)))
    assert charged["substitute", 1] == 20
    assert not any(term == "unchanged" for term, _ in charged)


def test_what_is_asked_for_and_not_made():
    pinned = question(NOTES, level=TAUGHT, pins=[pin("second_fingers", [4], tone=BASS)])
    kept = items(pinned, *renumbered(pinned, held(3, 3, 3, 3, second=(2, 3, 4))))
    assert {key: kept[key] for key in kept if key[0] == "unchanged"} == {("unchanged", 3): 240}
    gone = items(pinned, *renumbered(pinned, held(3, 3, None, None, second=(2, 3, 4))))
    assert {key: gone[key] for key in gone if key[0] == "unchanged"} == {("unchanged", 2): 240}
    made = items(pinned, *renumbered(pinned, held(3, 4, 4, 4)))
    assert not any(term == "unchanged" for term, _ in made)


def test_the_optimum_takes_over_what_it_is_asked_to():
    pinned = question(NOTES, level=TAUGHT, pins=[pin("second_fingers", [2, 4], tone=BASS)])
    answer = Model(pinned).solve(60)
    bill = Bill(pinned, answer.postures)
    assert bill.price == answer.price
    assert any(term == "substitute" for term, _ in bill.items)


def test_no_fingering_with_a_second_finger_is_cheaper_than_the_optimum():
    terms, counts = Counter(), 0
    for seed in range(30):
        asked = held_puzzle(seed)
        answer = Model(asked).solve(60)
        bill = Bill(asked, answer.postures)
        assert bill.price == answer.price, seed
        terms.update({term for term, _ in bill.items})
        try:
            assert cheaper(asked, answer.price, 20_000).found is None, seed
        except TooMany:
            continue
        counts += 1
    assert counts > 15, counts
    assert terms["substitute"] >= 4 and terms["unchanged"] >= 1, terms

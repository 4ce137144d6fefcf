"""The program's optimum against an outside solver (OR-Tools CP-SAT) on a model
written from docs/model.md alone, and against a bill in plain Python. A sample of
the shorter ones; `checks/optimum.py` takes 108 excerpts.
"""

import copy

import optimum
import pytest

# As they are, and adorned: how many, and the seed that draws them. Of each number
# of voices there are two or three, in different hands; most have a pin.
DRAWN = {True: (9, optimum.SEED), False: (6, optimum.SEED + 1)}
ONSETS = range(8, 12)


@pytest.fixture(scope="module")
def comparisons(apoyando, tmp_path_factory):
    cases = []
    for plain, drawn in DRAWN.items():
        folder = tmp_path_factory.mktemp("short")
        cases += optimum.short_excerpts.cases(apoyando, folder, *drawn, ONSETS, plain=plain)
    return list(optimum.every(apoyando, cases))


def test_the_outside_solver_finds_the_same_optimum(comparisons):
    assert len(comparisons) == sum(count for count, _ in DRAWN.values())
    for one in comparisons:
        assert one.onsets in ONSETS, one
        assert one.outside == one.best, one


def test_every_item_of_the_bill_is_found_again(comparisons):
    for one in comparisons:
        assert one.bill_of_ours == one.ours, one
        assert one.items == {}, one
        assert one.lists == [], one


def test_the_outside_fingering_costs_what_its_solver_says(comparisons):
    for one in comparisons:
        assert one.bill_of_outside == one.outside, one


def test_the_sample_is_of_many_kinds(comparisons):
    """Else agreement says little."""
    assert sum(one.sounds > one.onsets for one in comparisons) >= 8
    assert any(one.ours[0] for one in comparisons)
    assert any(one.ours[1] for one in comparisons)
    assert any(not any(one.ours[:2]) for one in comparisons)


def test_another_table_gives_another_bill(apoyando, tmp_path):
    """The comparison would see it if a value were otherwise."""
    [case] = optimum.short_excerpts.cases(apoyando, tmp_path, 1, optimum.SEED)
    piece, part = case.answer(apoyando)
    dearer = copy.deepcopy(part)
    dearer["question"]["effort_table"]["stop"] += 1
    bill = optimum.bill_of(optimum.Question(piece, part), part)
    assert bill.effort == part["price"]["effort"]
    assert optimum.bill_of(optimum.Question(piece, dearer), part).effort > bill.effort

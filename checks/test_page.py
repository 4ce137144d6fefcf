"""Pages of real music: what a reader would dislike is metered on the lines of tunes
and of two voices, in every density of fingering, and between the lines of a piece."""

import re
import subprocess

import command
import pytest


@pytest.mark.parametrize("kind", ["tunes", "excerpts"])
def test_nothing_is_wrong_with_the_page(apoyando, kind, request):
    pieces = request.getfixturevalue(kind)
    [folder] = {piece.path.parent for piece in pieces}
    typed = [command.example(apoyando, "meter"), str(folder)]
    run = subprocess.run(typed, capture_output=True, text=True)
    # 1 says that there are faults. Nothing is excused; of breaks the meter tells only where
    # others would be noticed less.
    assert run.returncode in (0, 1), run.stderr
    [count] = re.findall(r"^(\d+) pieces, ", run.stdout, re.MULTILINE)
    assert int(count) >= len(pieces) >= 100
    faults = dict(re.findall(r"^([a-z-]+): (\d+)$", run.stdout, re.MULTILINE))
    assert not faults, run.stdout

"""Pages of real music: what a reader would dislike in the notation is metered
on the lines of tunes and of two voices, in every density of fingering."""

import re
import subprocess

import command
import pytest

# Rules of the meter that look at fingers, which are not held to nothing yet.
OF_FINGERS = {"digit-misread", "digits-hop"}


@pytest.mark.parametrize("kind", ["tunes", "excerpts"])
def test_nothing_is_wrong_with_the_notation(apoyando, kind, request):
    pieces = request.getfixturevalue(kind)
    [folder] = {piece.path.parent for piece in pieces}
    typed = [command.example(apoyando, "meter"), str(folder)]
    run = subprocess.run(typed, capture_output=True, text=True)
    # 1 says that there are faults.
    assert run.returncode in (0, 1), run.stderr
    [count] = re.findall(r"^(\d+) pieces, ", run.stdout, re.MULTILINE)
    assert int(count) >= len(pieces) >= 100
    faults = dict(re.findall(r"^([a-z-]+): (\d+)$", run.stdout, re.MULTILINE))
    assert set(faults) <= OF_FINGERS, run.stdout

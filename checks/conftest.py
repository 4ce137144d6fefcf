"""What all checks share. A tool that is missing fails; nothing is skipped."""

import os
from pathlib import Path

import pytest

import musicxml_schema

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def apoyando() -> str:
    """The command under test."""
    path = os.environ.get("APOYANDO")
    if not path or not Path(path).is_file():
        pytest.fail("the command is not built; type ./test, which builds it and says where it is")
    return path


@pytest.fixture(scope="session")
def theory(apoyando) -> str:
    """The example that writes out our music theory, built beside the command."""
    path = Path(apoyando).parent / "examples" / "theory"
    if not path.is_file():
        pytest.fail("type: cargo build --workspace --examples --locked")
    return str(path)


@pytest.fixture(scope="session")
def schema():
    return musicxml_schema.schema()

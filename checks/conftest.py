"""What all checks share. A tool that is missing fails; nothing is skipped."""

import os
from pathlib import Path

import command
import material
import musicxml_schema
import pytest

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "examples" / "garden-gate"

# One seed for all that is drawn; another one must do as well.
SEED = 20260
TUNES, EXCERPTS = 200, 100


@pytest.fixture(scope="session")
def apoyando() -> str:
    """The command under test."""
    path = os.environ.get("APOYANDO")
    if not path or not Path(path).is_file():
        pytest.fail("the command is not built; type ./test, which builds it and says where it is")
    return path


@pytest.fixture(scope="session")
def theory(apoyando) -> str:
    """The example that writes out our music theory."""
    return command.example(apoyando, "theory")


@pytest.fixture(scope="session")
def schema():
    return musicxml_schema.schema()


@pytest.fixture(scope="session")
def tunes(tmp_path_factory) -> list[material.Piece]:
    return material.tunes(tmp_path_factory.mktemp("tunes"), TUNES, SEED)


@pytest.fixture(scope="session")
def excerpts(tmp_path_factory) -> list[material.Piece]:
    return material.excerpts(tmp_path_factory.mktemp("excerpts"), EXCERPTS, SEED)


@pytest.fixture(scope="session")
def corpus(tunes, excerpts) -> list[material.Piece]:
    return tunes + excerpts


@pytest.fixture(scope="session")
def fingered(apoyando, corpus) -> dict[Path, dict]:
    """What the command says about every piece of the sample."""
    return command.fingered(apoyando, [piece.path for piece in corpus])


@pytest.fixture(scope="session")
def demo_pieces() -> list[Path]:
    # Not what is remembered of their pins.
    pieces = sorted(path for path in (DEMO / "pieces").iterdir() if path.suffix != ".toml")
    assert pieces
    return pieces


@pytest.fixture(scope="session")
def written(apoyando, corpus, demo_pieces, tmp_path_factory) -> dict[Path, Path]:
    """Every piece of the sample and of the demo book, written as fingered
    MusicXML."""
    folder = tmp_path_factory.mktemp("written")
    paths = [piece.path for piece in corpus] + demo_pieces
    return {
        path: command.written(apoyando, path, folder / f"{path.stem}.musicxml") for path in paths
    }

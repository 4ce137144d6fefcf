"""Small books, each made so that the program has something to say about it."""

from pathlib import Path

BOOK = """title = "A Try"
author = "A Teacher"
sections = ["one"]

[level]
{level}
"""
HEAD = "X:1\nT:A Tune\nM:4/4\nL:1/4\nK:C clef=treble-8\n"
LOW = 'barre = "none"\npositions = ["I", "II", "III", "IV", "V"]\nextension = 0'
OPEN = 'highest-fret = 12\nbarre = "full"\nextension = 1'


def book(folder: Path, items: str, tune: str = "", level: str = OPEN, key: str = "C major"):
    """Writes a book of one section with these items; `tune` is the music of its piece."""
    for name in ("sections", "pieces", "text"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "book.toml").write_text(BOOK.format(level=level))
    section = f'title = "One"\nkey = "{key}"\n\n{items}'
    (folder / "sections" / "one.toml").write_text(section)
    if tune:
        (folder / "pieces" / "tune.abc").write_text(HEAD + tune + "\n")


def solo(more: str = "") -> str:
    return f'[[items]]\nkind = "solo"\nfile = "tune.abc"\n{more}'


def pin(more: str) -> str:
    return f"[[items.pins]]\n{more}\n"

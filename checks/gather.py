"""Gathers the whole material of the corpus run: every ABC tune of the reference
library's corpus as it lies there, the outer voices of every chorale, and an
excerpt in three voices of each.

    python checks/gather.py FOLDER

makes FOLDER/tunes, FOLDER/outer, FOLDER/three and FOLDER/passed-over.tsv, which
names what could not be gathered, with the reason. Nothing is judged here; what
can be read and played is for the program to say.
"""

import os
import sys
from multiprocessing import Pool
from pathlib import Path

import material
from music21.exceptions21 import Music21Exception

# Which bars and voices the excerpts have; another seed must do as well.
SEED = 20260


def main() -> None:
    if len(sys.argv) != 2:
        sys.exit("type: python checks/gather.py FOLDER")
    folder = Path(sys.argv[1])
    for kind in ("tunes", "outer", "three"):
        (folder / kind).mkdir(parents=True)
    tunes = material.every_tune()
    for path, number, text in tunes:
        file = folder / "tunes" / f"{path.parent.name}-{path.stem}-{number + 1:04}.abc"
        file.write_text(text, encoding="utf-8")
    print(f"{len(tunes)} tunes")
    chorales = [(folder, path) for path in material.every_chorale()]
    with Pool(os.cpu_count()) as pool:
        passed_over = [line for lines in pool.starmap(chorale, chorales) for line in lines]
    lines = ["piece\treason", *passed_over]
    (folder / "passed-over.tsv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{len(chorales)} chorales, {len(passed_over)} arrangements of them passed over")


def chorale(folder: Path, path: Path) -> list[str]:
    """Writes both arrangements; gives a line for each there is not."""
    lines = []
    for kind, made in (
        ("outer", material.outer_voices(path)),
        ("three", material.three_voices(path, SEED)),
    ):
        reason = made.reason
        if made.score is not None:
            file = folder / kind / f"{made.name}.musicxml"
            try:
                made.score.write("musicxml", fp=file)
            except Music21Exception as error:
                # Its text names objects in memory, which differ in every run.
                reason = f"the reference library cannot write it: {type(error).__name__}"
        if reason:
            lines.append(f"{kind}/{made.name}\t{reason}")
    return lines


if __name__ == "__main__":
    main()

"""How quickly the open book answers, measured in the browser, and how much memory it has.

    python checks/open_book_speed.py APOYANDO FOLDER [--edits 100] [--minutes 0] [--reading 500]

opens the book in FOLDER (a copy of it: nothing is written there), best the large one that
`cargo run --release -p apoyando --example twelve-keys -- FOLDER` makes, and tells

- how long it takes from the command to the first page as it is seen,
- how much has been sent until then, without the pictures of the music,
- for so many pins, taken at notes all over the book, how long it takes from the click to the new
  page as it is seen: median, 95th percentile and the longest; a card lies open for so many
  milliseconds before its way is taken as `--reading` says, for nobody takes one unread (0 is a
  click as soon as the card is there),
- with `--minutes`, the memory of the program while pins are taken and taken back for so long.

A benchmark, not a test: what it measures depends on the machine and on what else it does.
"""

import argparse
import random
import re
import shutil
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

from playwright.sync_api import TimeoutError, sync_playwright
from test_open_book import CHROMIUM, FLAGS

# Which notes are chosen; another seed must do as well.
SEED = 20260

# Takes any of the other ways for a note and tells after how many milliseconds its page was drawn
# anew, or as it was, with its notes anew, where nothing is printed otherwise; nothing, if there is
# no other way. `drawn`, `noted` and `wanted` are what the page itself keeps of that.
TAKE = """async ([item, note, reading, which]) => {
  const found = document.querySelector(`.note[data-item="${item}"][data-note="${note}"]`);
  if (!found) return null;
  const sheet = found.closest(".sheet");
  found.querySelector("rect").dispatchEvent(new MouseEvent("click", { bubbles: true }));
  const card = document.getElementById("card");
  const shown = () => card.querySelector(".card")?.dataset.said === found.getAttribute("aria-label");
  const frame = () => new Promise(requestAnimationFrame);
  for (let waits = 0; !shown() && waits < 600; waits++) await frame();
  const ways = [...card.querySelectorAll(".ways button[data-take^='[']")];
  if (!ways.length) return null;
  const way = ways[Math.floor(which * ways.length)];
  await new Promise((read) => setTimeout(read, reading));
  const noted = sheet.dataset.noted;
  const begin = performance.now();
  way.click();
  const image = () => sheet.querySelector("img");
  const drawn = () => sheet.dataset.drawn === sheet.dataset.wanted && sheet.dataset.noted !== noted
    && image()?.src.endsWith("turn=" + sheet.dataset.wanted) && image().complete;
  for (let waits = 0; !drawn() && waits < 600; waits++) await frame();
  await frame();
  return drawn() ? performance.now() - begin : null;
}"""

# Whether all that is in sight is drawn as the book is now.
SETTLED = """() => [...document.querySelectorAll(".sheet")].every((sheet) => {
  const box = sheet.getBoundingClientRect();
  return box.bottom <= 0 || box.top >= innerHeight
    || sheet.dataset.drawn === sheet.dataset.wanted && sheet.dataset.noted === String(turn)
      && sheet.querySelector("img")?.complete && sheet.querySelector(".targets");
})"""


def memory(pid: int) -> float:
    """Megabytes that a process has in memory."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0


def notes_of(page, number: int) -> list[list[str]]:
    """The notes of a page that is scrolled to."""
    page.evaluate(f"document.getElementById('page-{number}').scrollIntoView()")
    try:
        page.wait_for_selector(f"#page-{number} img", timeout=5000)
    except TimeoutError:
        return []
    page.wait_for_function(SETTLED)
    # Nobody chooses a note while the page is still coming.
    page.wait_for_timeout(1000)
    return page.locator(f"#page-{number} .note").evaluate_all(
        "notes => notes.map(note => [note.dataset.item, note.dataset.note])"
    )


def pins(page, count: int, reading: int, dice: random.Random):
    """Milliseconds of each pin, taken back afterwards."""
    pages = page.locator(".sheet").count()
    taken = 0
    while taken < count:
        notes = notes_of(page, dice.randint(1, pages))
        if not notes:
            continue
        before = page.evaluate("document.getElementById('undo').title")
        took = page.evaluate(TAKE, [*dice.choice(notes), reading, dice.random()])
        if took is not None:
            taken += 1
            yield took
        if page.evaluate("document.getElementById('undo').title") != before:
            page.click("#undo")
            page.wait_for_function("(was) => document.getElementById('undo').title === was", arg=before)
        page.wait_for_function(SETTLED)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("apoyando")
    asked.add_argument("folder", type=Path)
    asked.add_argument("--edits", type=int, default=100)
    asked.add_argument("--minutes", type=float, default=0.0)
    asked.add_argument("--reading", type=int, default=500)
    asked = asked.parse_args()
    with tempfile.TemporaryDirectory() as room, sync_playwright() as playwright:
        folder = Path(room) / "book"
        shutil.copytree(asked.folder, folder, ignore=shutil.ignore_patterns("out", ".apoyando"))
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = chromium.new_page(viewport={"width": 1400, "height": 1000})
        sent = {}

        def came(answer):
            if "/picture" not in answer.url and "/changes" not in answer.url:
                sent[answer.url] = len(answer.body())

        page.on("response", came)
        begin = time.perf_counter()
        program = subprocess.Popen([asked.apoyando, "open", str(folder)], stdout=subprocess.PIPE, text=True)
        try:
            address = re.search(r"http://[\d.:]+/", program.stdout.readline()).group()
            page.goto(address)
            page.wait_for_function("() => document.querySelector('#page-1 img')?.complete")
            first = time.perf_counter() - begin
            page.wait_for_load_state("load")
            weight = sum(sent.values())
            page.remove_listener("response", came)
            print(f"first page of a cold book: {first:.2f} s")
            print(f"sent before the music: {weight / 1000:.0f} kB in {len(sent)} answers")
            took = sorted(pins(page, asked.edits, asked.reading, random.Random(SEED)))
            late = took[min(len(took) - 1, round(0.95 * len(took)))]
            print(
                f"from a pin to the new page, {len(took)} pins: median {statistics.median(took):.0f} ms, "
                f"95th percentile {late:.0f} ms, longest {took[-1]:.0f} ms"
            )
            print(f"memory of the program: {memory(program.pid):.0f} MB")
            until = time.monotonic() + 60 * asked.minutes
            dice, shown, count = random.Random(SEED + 1), time.monotonic(), 0
            while time.monotonic() < until:
                for _ in pins(page, 1, asked.reading, dice):
                    count += 1
                if time.monotonic() >= shown:
                    print(f"  after {count} more pins: {memory(program.pid):.0f} MB", flush=True)
                    shown += 60
            if asked.minutes:
                print(f"memory after {count} more pins, each taken back: {memory(program.pid):.0f} MB")
        finally:
            program.kill()
            chromium.close()


if __name__ == "__main__":
    main()

"""The open book in a real browser (Chromium, driven by Playwright), and its server asked by
hand. Nothing here knows the program from within: it sees pages, files and answers."""

import http.client
import json
import os
import random
import re
import shutil
import signal
import subprocess
import threading
import time
from pathlib import Path

import pytest
from conftest import DEMO
from playwright.sync_api import sync_playwright

CHROMIUM = "/usr/bin/chromium"
# As root and in containers Chromium has no sandbox of its own; and it is to ask nobody.
FLAGS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]


class OpenBook:
    """A copy of the demo book, opened by the command."""

    def __init__(self, apoyando: str, folder: Path):
        self.apoyando, self.folder = apoyando, folder
        self.start()

    def start(self):
        self.process = subprocess.Popen(
            [self.apoyando, "open", str(self.folder)], stdout=subprocess.PIPE, text=True
        )
        line = self.process.stdout.readline()
        self.address = re.search(r"http://127\.0\.0\.1:\d+/", line).group()
        self.port = int(self.address.rsplit(":", 1)[1].rstrip("/"))

    def ask(self, method: str, path: str, body=None, **headers) -> tuple[int, bytes]:
        door = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        own = {"Origin": self.address.rstrip("/"), "Content-Type": "application/json"}
        text = None if body is None else json.dumps(body)
        given = {name.replace("_", "-"): value for name, value in headers.items()}
        sent = {k: v for k, v in ((own if method == "POST" else {}) | given).items() if v}
        door.request(method, path, text, sent)
        answer = door.getresponse()
        return answer.status, answer.read()

    def handle(self, item: int, note: int) -> dict:
        """What an edit of a note must say."""
        status, card = self.ask("GET", f"/note?item={item}&note={note}")
        assert status == 200
        text = re.search(r'data-handle="([^"]*)"', card.decode()).group(1)
        return json.loads(text.replace("&quot;", '"'))

    def kill(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def book(apoyando, tmp_path):
    folder = tmp_path / "book"
    shutil.copytree(DEMO, folder)
    opened = OpenBook(apoyando, folder)
    yield opened
    opened.kill()


@pytest.fixture(scope="module")
def browser():
    if not Path(CHROMIUM).exists():
        pytest.fail("Chromium is missing; type: apt-get install chromium")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser, book):
    window = browser.new_page(viewport={"width": 1400, "height": 1000})
    faults = []
    window.on("pageerror", lambda error: faults.append(str(error)))
    asked = []
    window.on("request", lambda request: asked.append(request.url))
    window.goto(book.address)
    window.wait_for_selector("#page-1 img")
    yield window
    assert faults == []
    # Everything is of this computer.
    own = ("", "blob:")
    assert [url for url in asked if not url.startswith(tuple(it + book.address for it in own))] == []
    window.close()


def texts(folder: Path) -> dict[str, bytes]:
    """The author's files."""
    found = [path for path in folder.rglob("*") if path.is_file()]
    own = [path for path in found if not path.relative_to(folder).parts[0].startswith((".", "out"))]
    return {str(path.relative_to(folder)): path.read_bytes() for path in own}


def sheet(page, number: int):
    page.evaluate(f"document.getElementById('page-{number}').scrollIntoView()")
    page.wait_for_selector(f"#page-{number} .note")


def page_of(page, title: str) -> int:
    link = page.locator("#contents a", has_text=title)
    return int(link.get_attribute("href").removeprefix("#page-"))


def chosen_with_other_ways(page, number: int):
    """Chooses the first note of a page that can be played otherwise."""
    for note in page.locator(f"#page-{number} .note").all():
        note.locator("rect").first.click()
        page.wait_for_function(
            "(said) => document.querySelector('#card .card')?.dataset.said === said",
            arg=note.get_attribute("aria-label"),
        )
        ways = page.locator("#card .ways button")
        if ways.count():
            return note, ways
    pytest.fail("every note of the page has one way only")


def test_a_note_is_played_otherwise_and_taken_back(page, book):
    before = texts(book.folder)
    number = page_of(page, "The Blue Pitcher")
    sheet(page, number)
    note, ways = chosen_with_other_ways(page, number)
    was = note.get_attribute("aria-label")
    assert "bar" in was and page.locator("#card .why").count() == 1
    wanted = ways.first.text_content()
    # What it moves is seen before it is taken: the note itself, and what follows it.
    ways.first.hover()
    marked = page.locator(".note.inrange").evaluate_all("notes => notes.map(note => note.dataset.note)")
    assert note.get_attribute("data-note") in marked
    assert set(marked) <= set(page.locator("#card .ways li").first.get_attribute("data-moved").split())
    ways.first.click()
    page.wait_for_function("() => !document.getElementById('undo').disabled")
    key = [note.get_attribute(f"data-{name}") for name in ("item", "note")]
    selector = f'.note[data-item="{key[0]}"][data-note="{key[1]}"]'
    page.wait_for_function(
        "([selector, was]) => document.querySelector(selector)?.getAttribute('aria-label') !== was",
        arg=[selector, was],
    )
    # What moved is shown, and the wish is kept.
    assert page.locator(".note.moved").count() >= 1
    finger = re.search(r"finger (\d)", wanted)
    if finger:
        assert finger.group() in page.locator(selector).get_attribute("aria-label")
    after = texts(book.folder)
    assert [name for name in after if after[name] != before.get(name)] == ["sections/g-major.toml"]
    # The file says the same with some lines more.
    old, new = (text["sections/g-major.toml"].decode() for text in (before, after))
    assert all(line in new for line in old.splitlines())
    # The card tells that it was decided, and by whom.
    page.wait_for_selector("#card [data-take=unpin]")
    why = page.locator("#card .why").text_content()
    assert re.match(r"Decided in the plan, for \d+ more effort\. The program alone would take ", why), why
    # What is decided is no other way.
    assert wanted not in page.locator("#card .ways button[data-take]").all_text_contents()
    page.click("#undo")
    page.wait_for_function("() => document.getElementById('undo').disabled")
    assert texts(book.folder) == before


def test_what_an_editor_writes_appears(page, book):
    number = page_of(page, "Morning Market")
    sheet(page, number)
    plan = book.folder / "book.toml"
    plan.write_text(plan.read_text().replace('"The Garden Gate"', '"The Garden Wall"', 1))
    picture = page.locator(f"#page-{number} img")
    was = picture.get_attribute("src")
    page.wait_for_function(
        "([page, was]) => document.querySelector(`#page-${page} img`).getAttribute('src') !== was",
        arg=[number, was],
    )


def test_the_keyboard_alone_is_enough(page, book):
    sheet(page, page_of(page, "Morning Market"))
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the pages"
    page.evaluate("document.querySelector('.note').focus()")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#card .card")
    first = page.locator("#card .where").text_content()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "(was) => document.querySelector('#card .where')?.textContent !== was", arg=first
    )


def test_other_sites_can_neither_read_nor_write(book):
    assert book.ask("GET", "/now")[0] == 200
    for headers in [
        {"Host": f"evil.example:{book.port}"},
        {"Origin": "http://evil.example"},
        {"Sec_Fetch_Site": "cross-site"},
    ]:
        assert book.ask("GET", "/now", **headers)[0] == 403, headers
    before = texts(book.folder)
    edit = {"said": "x", "do": "write", "file": "text/welcome.md", "text": "gone", "base": None}
    for headers in [{"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": ""}]:
        assert book.ask("POST", "/edit", edit, **headers)[0] == 403, headers
    # A form of another site cannot send this kind of text.
    assert book.ask("POST", "/edit", edit, Content_Type="text/plain")[0] == 415
    assert texts(book.folder) == before


def test_nothing_outside_the_book_is_written(book, tmp_path):
    for file in ["../out.md", "/tmp/out.md", "text/../../out.md", "out/x.pdf", ".apoyando/journal"]:
        edit = {"said": "x", "do": "write", "file": file, "text": "x", "base": None}
        assert book.ask("POST", "/edit", edit)[0] == 422, file
    assert sorted(path.name for path in tmp_path.iterdir()) == ["book"]


def test_an_edit_of_an_older_text_is_refused_with_what_stands_there(book):
    file = book.folder / "sections" / "g-major.toml"
    handle = book.handle(20, 0)
    theirs = file.read_text() + "\n# by hand\n"
    file.write_text(theirs)
    edit = {"said": "x", "do": "pin", "what": [["finger", 2]]} | handle
    status, answer = book.ask("POST", "/edit", edit)
    assert (status, json.loads(answer)["now"]) == (409, theirs)
    assert file.read_text() == theirs


KILLS = 200 if os.environ.get("CI") else 40


def test_killed_at_any_moment_the_book_is_the_old_or_the_new(book):
    """Edits go on while the program is killed; afterwards the text is one that an edit made,
    never a part of it, and the journal goes on from there."""
    dice = random.Random(20260)
    file = book.folder / "text" / "welcome.md"
    base = file.read_text()
    known = {base}

    def text(number: int) -> str:
        return base + f"\nLine {number}.\n" * (number % 700)

    number = 0
    for _ in range(KILLS):
        stop = threading.Event()

        def edits():
            nonlocal number
            while not stop.is_set():
                number += 1
                known.add(text(number))
                edit = {"said": "x", "do": "write", "file": "text/welcome.md", "text": text(number)}
                try:
                    status, answer = book.ask("GET", "/text?file=text/welcome.md")
                    edit["base"] = json.loads(answer)["base"]
                    book.ask("POST", "/edit", edit)
                    if number % 3 == 0:
                        book.ask("POST", "/undo", {})
                except (OSError, http.client.HTTPException):
                    return

        writer = threading.Thread(target=edits)
        writer.start()
        time.sleep(dice.uniform(0.0, 0.25))
        book.kill()
        stop.set()
        writer.join()
        assert file.read_text() in known
        book.start()
        assert [path for path in file.parent.iterdir() if path.name.startswith(".")] == []
    while book.ask("POST", "/undo", {})[0] == 200:
        pass
    assert file.read_text() == base


def test_remarks_stand_at_their_notes_and_bars_are_decided(page, book):
    """What the program has to say leads to the note; a position is kept over bars."""
    page.locator("#remarks summary").click()
    first = page.locator("#findings button").first
    item, note = first.get_attribute("data-item"), first.get_attribute("data-note")
    first.click()
    page.wait_for_selector(f'.note.remarked.chosen[data-item="{item}"][data-note="{note}"]')
    assert page.locator("#card .remark").text_content().strip()
    number = page_of(page, "Morning Market")
    sheet(page, number)
    page.locator(f"#page-{number} .note").first.locator("rect").first.click()
    page.wait_for_selector("#card .span")
    page.wait_for_function("() => document.querySelector('#card .where').textContent.includes('Morning')")
    page.locator("#card .span summary").click()
    page.fill("#card .span-to", "2")
    page.select_option("#card .span-position", "II")
    page.click('#card [data-span="position"]')
    page.wait_for_function("() => !document.getElementById('undo').disabled")
    text = (book.folder / "sections" / "c-major.toml").read_text()
    assert '[[items.positions]]\nbars = "1-2"\nposition = "II"' in text
    title = page.evaluate("() => document.getElementById('undo').title")
    assert "II" in title and "bars 1-2" in title

"""A teacher's day with the open book: from a new book to printed pages, in the browser alone.

`SCREENSHOTS=FOLDER` keeps pictures of what the teacher sees."""

import io
import os
import subprocess
from pathlib import Path

import pypdf
import pytest
from in_the_page import dropped, said
from test_open_book import OpenBook, browser, page_of, sheet, texts  # noqa: F401

# As they sound; the clef says that they are written an octave higher.
NOTES = {
    "P1": ["D4 2", "E4 1", "F#4 2", "E4 1", "D4 2", "A3 1", "D4 3"],
    "P2": ["D3 1", "A2 1", "A2 1", "D3 1", "A2 1", "A2 1", "A2 1", "E3 1", "E3 1", "D3 3"],
}
LONG = {"1": "quarter", "2": "half", "3": "half"}


def music_xml() -> str:
    """The Ferry, for two, in MusicXML."""
    parts = []
    for part, notes in NOTES.items():
        bars, filled = [""], 0
        for note in notes:
            pitch, length = note.split()
            step, octave = pitch[0], pitch[-1]
            alter = "<alter>1</alter>" if "#" in pitch else ""
            dot = "<dot/>" if length == "3" else ""
            if filled == 3:
                bars.append("")
                filled = 0
            filled += int(length)
            bars[-1] += (
                f"<note><pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
                f"<duration>{length}</duration><voice>1</voice><type>{LONG[length]}</type>{dot}</note>"
            )
        first = (
            "<attributes><divisions>1</divisions><key><fifths>2</fifths></key>"
            "<time><beats>3</beats><beat-type>4</beat-type></time>"
            "<clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef></attributes>"
        )
        measures = "".join(
            f'<measure number="{number}">{first if number == 1 else ""}{bar}</measure>'
            for number, bar in enumerate(bars, 1)
        )
        parts.append(f'<part id="{part}">{measures}</part>')
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        "<work><work-title>The Ferry</work-title></work><part-list>"
        '<score-part id="P1"><part-name>Student</part-name></score-part>'
        '<score-part id="P2"><part-name>Teacher</part-name></score-part></part-list>'
        + "".join(parts)
        + "</score-partwise>"
    )


class Pictures:
    """Pictures of what is seen, numbered, where a folder for them is named."""

    def __init__(self, window):
        self.window, self.number = window, 0
        self.folder = os.environ.get("SCREENSHOTS")

    def take(self, name: str):
        self.number += 1
        if self.folder:
            Path(self.folder).mkdir(parents=True, exist_ok=True)
            self.window.wait_for_timeout(250)
            self.window.screenshot(path=f"{self.folder}/{self.number:02d}-{name}.png")


def other_ways(window, number: int, wanted: str, skip: int = 0):
    """Chooses a note of a page that has another way of a kind; gives the note and the way."""
    for note in window.locator(f"#page-{number} .note").all()[skip:]:
        note.locator("rect").first.click()
        window.wait_for_function(
            "(said) => document.querySelector('#card .card')?.dataset.said === said",
            arg=note.get_attribute("aria-label"),
        )
        ways = window.locator(f"#card .ways [data-take*='{wanted}']")
        if ways.count():
            return note, ways.first
    pytest.fail(f"no note of page {number} has another {wanted}")


def take(window, note, way) -> str:
    """Takes a way for a note and waits until the page shows it; what is said of it."""
    key = [note.get_attribute(f"data-{name}") for name in ("item", "note")]
    selector = f'.note[data-item="{key[0]}"][data-note="{key[1]}"]'
    was = note.get_attribute("aria-label")
    way.click()
    window.wait_for_function(
        "([selector, was]) => document.querySelector(selector)?.getAttribute('aria-label') !== was",
        arg=[selector, was],
    )
    window.wait_for_function("() => /played otherwise/.test(document.getElementById('say').textContent)")
    assert window.locator(".note.moved").count() >= 1
    return window.locator(selector).get_attribute("aria-label")


def step_through(window, button: str):
    while not window.locator(button).is_disabled():
        with window.expect_response(lambda answer: answer.url.endswith(button.replace("#", "/"))) as answer:
            window.click(button)
        window.wait_for_function("(now) => turn >= now", arg=answer.value.json()["turn"])


def test_a_day_from_a_new_book_to_its_pages(apoyando, browser, tmp_path):  # noqa: F811
    folder = tmp_path / "my-book"
    subprocess.run([apoyando, "new", str(folder)], check=True, capture_output=True)
    before = texts(folder)
    book = OpenBook(apoyando, folder)
    window = browser.new_page(viewport={"width": 1400, "height": 950}, accept_downloads=True)
    faults = []
    window.on("pageerror", lambda error: faults.append(str(error)))
    pictures = Pictures(window)
    try:
        window.goto(book.address)
        window.wait_for_selector("#page-1 img")
        pictures.take("a-new-book")

        # A section with a scale and a progression.
        window.locator("#add summary").click()
        window.wait_for_function("() => document.getElementById('item-section').options.length > 0")
        window.select_option("#section-key", "D major")
        window.select_option("#section-position", "II")
        window.locator("#new-section button").click()
        said(window, "D major is in the book")
        for kind, named in (("scale", "scale"), ("progression", "chord progression")):
            window.select_option("#item-section", "d-major")
            window.select_option("#item-kind", kind)
            window.locator("#new-exercise button").click()
            said(window, f"The {named} is at the end")
        pictures.take("a-section")

        # A duet is dropped and seen before it is added.
        dropped(window, "ferry.musicxml", music_xml().encode())
        window.wait_for_selector("#piece-shown img")
        assert window.locator("#piece-kind").input_value() == "duet"
        pictures.take("a-duet-dropped")
        window.select_option("#piece-section", "d-major")
        window.locator("#new-piece button[type=submit]").click()
        said(window, "The Ferry is at the end of D major")
        window.wait_for_function(
            "() => [...document.querySelectorAll('#contents a')].some((a) => a.textContent === 'The Ferry')"
        )
        window.locator("#add summary").click()

        # A finger is pinned, and a second fingering corrected by another way.
        number = page_of(window, "The Ferry")
        sheet(window, number)
        note, way = other_ways(window, number, '"finger"')
        wanted = way.text_content()
        pictures.take("why-and-what-else")
        assert wanted in take(window, note, way)
        pictures.take("pinned")
        second, way = other_ways(window, number, '"string"', skip=2)
        place = way.text_content()
        assert place in take(window, second, way)
        pictures.take("another-way")

        # It is heard.
        window.click("#play")
        window.wait_for_selector(".note.sounding")
        pictures.take("heard")
        window.keyboard.press("Escape")
        window.wait_for_function("() => !document.querySelector('.note.sounding')")

        # A word of advice; then all is undone, to the last byte, and done again.
        made = texts(folder)
        step_through(window, "#undo")
        assert texts(folder) == before
        pictures.take("all-undone")
        step_through(window, "#redo")
        assert texts(folder) == made

        # The pages are printed and read by another program.
        window.wait_for_function(
            "() => [...document.querySelectorAll('#contents a')].some((a) => a.textContent === 'The Ferry')"
        )
        window.click("#along-open")
        window.wait_for_selector("#editions button")
        with window.expect_download() as download:
            window.click("#editions button:first-child")
        pictures.take("taken-along")
        pdf = pypdf.PdfReader(io.BytesIO(Path(download.value.path()).read_bytes()))
        assert len(pdf.pages) == window.locator("#pages .sheet").count()
        text = "\n".join(page.extract_text() for page in pdf.pages)
        for wanted in ("First Lessons", "D major", "The Ferry"):
            assert wanted in text, wanted
        # So does the command line.
        subprocess.run([apoyando, "build", str(folder)], check=True, capture_output=True)
        built = pypdf.PdfReader(folder / "out" / "book.pdf")
        assert "\n".join(page.extract_text() for page in built.pages) == text
        assert faults == []
    finally:
        window.close()
        book.kill()

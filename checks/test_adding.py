"""A teacher adds to the open book in the browser: a section, exercises, a piece from a file and
one that is typed; and takes it all back."""

from in_the_page import dropped, said
from test_open_book import book, browser, page, texts  # noqa: F401

DUET = """X:1
T:The Ferry
C:Traditional
M:3/4
L:1/4
Q:1/4=84
K:D
V:1 name="Student" clef=treble-8
d2 e|f2 e|d2 A|d3|]
V:2 name="Teacher" clef=treble-8
D A, A,|D A, A,|A, E E|D3|]
"""


def ready(page):  # noqa: F811
    page.locator("#add summary").click()
    page.wait_for_function("() => document.getElementById('item-section').options.length > 0")


def test_a_section_is_made_with_an_exercise_and_a_duet_and_taken_back(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    page.select_option("#section-key", "D major")
    page.locator("#new-section button").click()
    said(page, "D major is in the book")
    assert 'sections = ["c-major", "a-minor", "g-major", "d-major"]' in " ".join(
        (book.folder / "book.toml").read_text().split()
    )
    for kind, named in (("scale", "scale"), ("progression", "chord progression")):
        page.select_option("#item-section", "d-major")
        page.select_option("#item-kind", kind)
        page.locator("#new-exercise button").click()
        said(page, f"The {named} is at the end")
    # A file is dropped; the music is seen before it is added.
    dropped(page, "ferry.abc", DUET.encode())
    page.wait_for_selector("#piece-shown img")
    assert page.locator("#piece-kind").input_value() == "duet"
    page.select_option("#piece-section", "d-major")
    page.locator("#new-piece button").click()
    said(page, "The Ferry is at the end of D major")
    page.wait_for_function(
        "() => [...document.querySelectorAll('#contents a')].some((a) => a.textContent === 'The Ferry')"
    )
    section = (book.folder / "sections" / "d-major.toml").read_text()
    assert section.count("[[items]]") == 3 and 'file = "the-ferry.abc"' in section
    # It is fingered as anything else is.
    listed = page.locator("#contents a", has_text="The Ferry").get_attribute("href")
    page.evaluate(f"document.querySelector('{listed}').scrollIntoView()")
    page.wait_for_selector(f"{listed} .note")
    note = page.locator(f"{listed} .note").nth(3).get_attribute("aria-label")
    assert "finger" in note or "open" in note
    # All of it is taken back, step by step, to the last byte. A new file stays, empty.
    said_of = "() => document.getElementById('undo').title"
    while step := page.evaluate(said_of):
        page.click("#undo")
        page.wait_for_function("(was) => document.getElementById('undo').title !== was", arg=step)
    after = {name: text for name, text in texts(book.folder).items() if text}
    assert after == before


def test_music_is_engraved_while_it_is_typed(page):  # noqa: F811
    ready(page)
    page.fill("#piece-text", "X:1\nT:Slow\nM:4/4\nL:1/4\nK:G clef=treble-8\nGABc|")
    page.wait_for_selector("#piece-shown img")
    assert page.locator("#piece-title").get_attribute("placeholder") == "Slow"
    first = page.locator("#piece-shown img").first.get_attribute("src")
    page.locator("#piece-text").press_sequentially("d2 B2|")
    page.wait_for_function("(was) => document.querySelector('#piece-shown img')?.src !== was", arg=first)
    page.fill("#piece-text", "no music")
    page.wait_for_function("() => !document.querySelector('#piece-shown img')")
    assert page.locator("#piece-remarks").text_content().strip()


def test_what_cannot_be_is_refused_in_words(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    page.select_option("#section-key", "C major")
    page.locator("#new-section button").click()
    said(page, "c-major.toml was changed")
    page.select_option("#item-kind", "progression")
    page.locator("#new-piece button").click()
    said(page, "There is no music yet")
    assert texts(book.folder) == before


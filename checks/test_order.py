"""The order of the open book, what an exercise is, and its texts: changed by buttons and forms in
the browser, without a word of the plan being typed; everything taken back to the last byte."""

import re

import pytest
from in_the_page import said
from test_day import step_through
from test_open_book import book, browser, page, texts  # noqa: F401


def ready(page):  # noqa: F811
    page.locator("#order summary").click()
    page.wait_for_selector("#shelf .entry")


def hold(page, section: str, item: int | None = None):  # noqa: F811
    own = f'[data-item="{item}"]' if item is not None else ":not([data-item])"
    entry = page.locator(f'#shelf .entry[data-section="{section}"]{own}')
    if entry.get_attribute("aria-pressed") != "true":
        entry.click()
    return entry.text_content()


def does(page, what: str):  # noqa: F811
    page.locator(f'#shelf [data-does="{what}"]').click()


def titles(page, section: str) -> list[str]:  # noqa: F811
    return page.locator(f'#shelf .entry[data-section="{section}"][data-item]').all_text_contents()


def section(book, name: str) -> str:  # noqa: F811
    return (book.folder / "sections" / f"{name}.toml").read_text()


def undo_all(page):  # noqa: F811
    step_through(page, "#undo")


def lines(text: str) -> list[str]:
    return sorted(text.splitlines())


def test_items_are_moved_and_taken_out_and_every_line_is_kept(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    was = titles(page, "g-major")
    hold(page, "g-major", 0)
    assert page.locator('#shelf [data-does="earlier"]').is_disabled()
    does(page, "later")
    said(page, "stands later in G major")
    page.wait_for_function(
        "(first) => document.querySelector('#shelf .entry[data-section=\"g-major\"][data-item=\"0\"]').textContent === first",
        arg=was[1],
    )
    assert titles(page, "g-major") == [was[1], was[0], *was[2:]]
    # What is held goes with it, and so does the keyboard.
    assert page.evaluate("document.activeElement.dataset.does") == "later"
    assert lines(section(book, "g-major")) == lines(before["sections/g-major.toml"].decode())
    page.keyboard.press("Enter")
    page.wait_for_selector('#shelf .entry[data-item="2"][aria-pressed="true"]')
    # Out of the book: its file stays, and is offered.
    hold(page, "g-major", 6)
    does(page, "out")
    said(page, "blue-pitcher.musicxml stays in the folder")
    assert (book.folder / "pieces" / "blue-pitcher.musicxml").exists()
    assert "blue-pitcher" not in section(book, "g-major")
    page.wait_for_selector("#beside li:has-text('blue-pitcher.musicxml')")
    undo_all(page)
    assert texts(book.folder) == before


def test_an_item_goes_to_another_section_in_one_step(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    name = hold(page, "g-major", 5)
    page.select_option('#shelf [data-does="section"]', "a-minor")
    does(page, "there")
    said(page, f"{name} is at the end of A minor")
    # Its pins and its players' levels went with it, line by line.
    old = before["sections/g-major.toml"].decode()
    gone = [line for line in lines(old)]
    for line in section(book, "g-major").splitlines():
        gone.remove(line)
    new = lines(section(book, "a-minor"))
    for line in before["sections/a-minor.toml"].decode().splitlines():
        new.remove(line)
    assert [line for line in new if line] == [line for line in gone if line]
    assert "The thumb takes the low strings" in section(book, "a-minor")
    page.wait_for_function(
        "(name) => [...document.querySelectorAll('#shelf .entry[data-section=\"a-minor\"][data-item]')].at(-1).textContent === name",
        arg=name,
    )
    page.click("#undo")
    page.wait_for_function("() => document.getElementById('undo').disabled")
    assert texts(book.folder) == before
    page.click("#redo")
    page.wait_for_function("() => document.getElementById('redo').disabled")
    assert "swing-at-noon.abc" in section(book, "a-minor")


def test_sections_change_places_and_are_put_aside(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    hold(page, "g-major")
    does(page, "earlier")
    said(page, "G major is earlier in the book")
    plan = (book.folder / "book.toml").read_text()
    assert 'sections = ["c-major", "g-major", "a-minor"]' in plan
    page.wait_for_selector('#shelf .entry[data-section="g-major"][aria-pressed="true"]')
    does(page, "out")
    said(page, "G major is out of the book")
    assert 'sections = ["c-major", "a-minor"]' in (book.folder / "book.toml").read_text()
    assert (book.folder / "sections" / "g-major.toml").exists()
    page.get_by_role("button", name="Put the section g-major into the book").click()
    said(page, "g-major is the last section")
    undo_all(page)
    assert texts(book.folder) == before


def test_what_an_exercise_is_is_changed_by_a_form(page, book):  # noqa: F811
    before = texts(book.folder)
    ready(page)
    hold(page, "g-major", 4)
    does(page, "change")
    form = page.locator("#change")
    filled = {
        box.get_attribute("data-key"): box.input_value()
        for box in form.locator("[data-key]:not([type=checkbox])").all()
    }
    assert (filled["kind"], filled["degrees"], filled["pattern"]) == ("progression", "I IV V I", "p i m a")
    form.locator('[data-key="degrees"]').fill("I ii V7 I")
    form.locator('[data-key="goal"]').fill("72")
    form.locator('[data-key="aim"]').fill("Fingers that stay down")
    form.get_by_role("button", name="Change it", exact=True).click()
    said(page, "is changed")
    old = before["sections/g-major.toml"].decode()
    new = section(book, "g-major")
    assert 'degrees = "I ii V7 I"\npattern = "p i m a"\naim = "Fingers that stay down"\ngoal = 72\n' in new
    put = new.replace('degrees = "I ii V7 I"', 'degrees = "I IV V I"')
    put = put.replace('aim = "Fingers that stay down"\ngoal = 72\n', "")
    assert put == old
    # A scale becomes an arpeggio, and a section another position.
    hold(page, "g-major", 1)
    does(page, "change")
    page.select_option('#change [data-key="kind"]', "arpeggio")
    page.locator("#change").get_by_role("button", name="Change it", exact=True).click()
    said(page, "is changed")
    page.wait_for_function("() => !document.getElementById('change')")
    assert section(book, "g-major").count('kind = "arpeggio"') == 2
    hold(page, "g-major")
    does(page, "change")
    page.fill('#change [data-key="title"]', "G major in II")
    page.locator("#change").get_by_role("button", name="Change it", exact=True).click()
    said(page, "is changed")
    page.wait_for_function(
        "() => [...document.querySelectorAll('#contents b')].some((it) => it.textContent.includes('G major in II'))"
    )
    undo_all(page)
    assert texts(book.folder) == before


def test_the_order_is_changed_by_the_keyboard_alone(page, book):  # noqa: F811
    page.locator("#order summary").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#shelf .entry")
    for _ in range(3):
        page.keyboard.press("Tab")
    name = page.evaluate("document.activeElement.textContent")
    assert page.evaluate("document.activeElement.dataset.item") == "1"
    page.keyboard.press("Enter")
    page.wait_for_selector("#shelf .tools")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Earlier"
    page.keyboard.press("Enter")
    said(page, "stands earlier")
    page.wait_for_function(
        "(name) => document.querySelector('#shelf .entry[data-item=\"0\"]').textContent === name", arg=name
    )
    # Now it is the first; the keyboard is still with it.
    assert page.evaluate("document.getElementById('order').contains(document.activeElement)")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Shift+Tab")


TIP = "Let the last note ring."


def test_a_text_is_written_beside_its_page(page, book):  # noqa: F811
    before = texts(book.folder)
    page.locator("#prose summary").click()
    page.wait_for_function("() => document.getElementById('prose-text').value.length > 0")
    page.select_option("#prose-file", label="G major: introduction")
    page.wait_for_function("() => document.getElementById('prose-state').textContent.startsWith('As it is')")
    page.wait_for_function("(was) => document.getElementById('prose-text').value === was", arg=before["text/g-major.md"].decode())
    # The page stands beside the text, both in sight.
    boxes = [page.locator(it).bounding_box() for it in ("#pages", "#prose-text")]
    assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"] and boxes[1]["width"] > 400
    page.evaluate("() => { const it = document.getElementById('prose-text'); it.focus(); it.setSelectionRange(it.value.length, it.value.length); }")
    page.get_by_role("button", name="Tip box").click()
    page.keyboard.type(" ")
    page.fill("#prose-text", page.locator("#prose-text").input_value().replace("What the student should know.", TIP).rstrip() + "\n")
    page.wait_for_function("() => document.getElementById('prose-state').textContent.startsWith('Kept')")
    text = (book.folder / "text" / "g-major.md").read_text()
    assert text.startswith(before["text/g-major.md"].decode().rstrip("\n")) and f"> [!TIP]\n> {TIP}" in text
    # Another window wrote there while this one did: both are shown.
    page.evaluate("() => { window.kept = keepProse; keepProse = () => keeping; }")
    page.fill("#prose-text", text + "Mine.\n")
    (book.folder / "text" / "g-major.md").write_text(text + "Theirs.\n")
    page.evaluate("() => { keepProse = window.kept; keepProse(); }")
    page.wait_for_selector("#prose-both:visible")
    assert page.locator("#prose-theirs").text_content().endswith("Theirs.\n")
    assert page.locator("#prose-mine").text_content().endswith("Mine.\n")
    assert (book.folder / "text" / "g-major.md").read_text() == text + "Theirs.\n"
    page.click("#prose-keep")
    page.wait_for_function("() => document.getElementById('prose-state').textContent.startsWith('Kept')")
    assert (book.folder / "text" / "g-major.md").read_text() == text + "Mine.\n"


def test_a_section_without_words_gets_some(page, book):  # noqa: F811
    (book.folder / "sections" / "g-major.toml").write_text(
        section(book, "g-major").replace('intro = "g-major.md"\n', "")
    )
    (book.folder / "text" / "g-major.md").unlink()
    before = texts(book.folder)
    page.wait_for_timeout(900)
    ready(page)
    hold(page, "g-major")
    does(page, "write")
    page.wait_for_function("() => document.getElementById('prose-file').value === 'section:g-major'")
    page.wait_for_function("() => document.activeElement.id === 'prose-text' && !proseText.readOnly")
    page.keyboard.type("The hand lies in II.")
    page.wait_for_function("() => document.getElementById('prose-state').textContent.startsWith('Kept')")
    assert (book.folder / "text" / "g-major.md").read_text() == "The hand lies in II."
    assert 'intro = "g-major.md"\n' in section(book, "g-major")
    page.click("#undo")
    page.wait_for_function("() => document.getElementById('undo').disabled")
    assert texts(book.folder) == before


def test_a_position_is_seen_and_taken_over_bars(page, book):  # noqa: F811
    """Which bars the hand would stay there is shown on the page before it is taken."""
    from test_open_book import page_of, sheet

    number = page_of(page, "Mill Wheel") if page.locator("#contents a", has_text="Mill Wheel").count() else page_of(page, "Evening Bell")
    sheet(page, number)
    for note in page.locator(f"#page-{number} .note").all():
        note.locator("rect").first.click()
        page.wait_for_function(
            "(said) => document.querySelector('#card .card')?.dataset.said === said",
            arg=note.get_attribute("aria-label"),
        )
        if page.locator("#card .range").count():
            break
    else:
        pytest.fail("no note of the page can be played in another position")
    way = page.locator("#card .ways li:has(.range)").first
    first = way.locator(".range-first")
    bar = int(first.input_value())
    way.locator(".range-last").fill(str(bar + 1))
    way.locator(".range-last").focus()
    shown = {int(it.get_attribute("data-bar")) for it in page.locator(".note.inrange").all()}
    assert shown == {bar, bar + 1}
    position = re.search(r"the hand in (\w+)", way.text_content()).group(1)
    way.locator("[data-take]").click()
    page.wait_for_function("() => !document.getElementById('undo').disabled")
    assert f"in bars {bar}-{bar + 1}" in page.evaluate("document.getElementById('undo').title")
    written = "".join(section(book, name) for name in ("c-major", "a-minor", "g-major"))
    assert f'bars = "{bar}-{bar + 1}"\nposition = "{position}"' in written
    page.wait_for_function("() => /played otherwise/.test(document.getElementById('say').textContent)")


def test_what_was_decided_about_bars_is_seen_and_taken_back(page, book):  # noqa: F811
    """Bars are set, seen on the page, decided about, and left to the program again, by the
    keyboard where a teacher would type."""
    from test_open_book import page_of, sheet

    before = texts(book.folder)
    number = page_of(page, "Morning Market")
    sheet(page, number)
    page.locator(f"#page-{number} .note").first.locator("rect").first.click()
    page.wait_for_function("() => document.querySelector('#card .where')?.textContent.includes('Morning')")
    page.locator("#card .span summary").click()
    page.fill("#card .span-to", "3")
    shown = {int(it.get_attribute("data-bar")) for it in page.locator(".note.inrange").all()}
    assert shown == {1, 2, 3}
    page.click('#card [data-span="no-barre"]')
    taken_back = page.get_by_role("button", name="Take back “no barre, bars 1 to 3”")
    taken_back.wait_for()
    assert 'no-barre = ["1-3"]' in section(book, "c-major")
    taken_back.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("() => !document.querySelector('#card .decided')")
    assert texts(book.folder) == before

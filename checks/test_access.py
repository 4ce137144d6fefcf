"""The open book for everyone: judged by axe-core (W3C's WCAG 2 as far as a program can judge it),
and walked through with the keyboard alone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from in_the_page import on
from test_open_book import book, browser, page, sheet  # noqa: F401

PANELS = ("#order", "#add", "#words", "#remarks", "#take-away", "#prose", "#along")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1024, 1400])
def test_axe_finds_nothing(browser, book, scheme, width):  # noqa: F811
    # axe is a script that our pages would not let in.
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True
    )
    window = context.new_page()
    window.goto(book.address)
    window.wait_for_selector("#page-1 img")
    sheet(window, 9)
    window.locator("#page-9 .note").first.locator("rect").first.click()
    window.wait_for_selector("#card .card")
    window.wait_for_function("() => !document.getElementById('hand').hidden")
    for panel in PANELS:
        window.locator(f"{panel} summary").click()
    window.wait_for_function("() => document.getElementById('file').options.length > 0")
    window.wait_for_function("() => document.getElementById('prose-text').value.length > 0")
    # What can be done with an exercise, and the form of what it is.
    window.locator("#shelf .entry[data-item]").first.click()
    window.locator('#shelf [data-does="change"]').click()
    window.wait_for_selector("#change")
    window.evaluate("() => conflict('What stands there now')")
    # Something that was made lies there.
    window.wait_for_function("() => document.getElementById('along-item').options.length > 0")
    window.locator("#of-all [data-what=scores]").click()
    window.wait_for_selector("#made [data-state=ready] a")
    found = Axe().run(window).response["violations"]
    told = [(it["id"], it["help"], [node["target"] for node in it["nodes"]][:5]) for it in found]
    context.close()
    assert told == []


def test_the_keyboard_is_enough(page):  # noqa: F811
    sheet(page, 9)
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.className") == "skip"
    on(page, ".note")
    said = page.evaluate("() => document.activeElement.getAttribute('aria-label')")
    chosen = "(said) => document.querySelector('#card .card')?.dataset.said === said"
    page.keyboard.press("ArrowRight")
    now = page.evaluate("() => document.activeElement.getAttribute('aria-label')")
    assert now != said
    page.wait_for_function(chosen, arg=now)
    page.keyboard.press("ArrowLeft")
    page.wait_for_function(chosen, arg=said)
    # Another way is taken, heard, and taken back.
    on(page, "[data-take]")
    page.keyboard.press("Enter")
    page.wait_for_function("() => !document.getElementById('undo').disabled")
    on(page, "#play")
    page.keyboard.press("Space")
    page.wait_for_selector(".note.sounding")
    page.keyboard.press("Escape")
    page.wait_for_function("() => !document.querySelector('.note.sounding')")
    on(page, "#undo")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.getElementById('undo').disabled")
    # A panel is opened and its form reached.
    on(page, "#add summary")
    page.keyboard.press("Enter")
    on(page, "#section-key")
    page.keyboard.type("E minor")
    assert page.locator("#section-key").input_value() == "E minor"

"""What is done in the page of the open book in more than one check: waiting for what it says,
going on by the keyboard, dropping a file of notes."""

import base64

import pytest

DROP = """([name, text]) => {
    const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const held = new DataTransfer();
    held.items.add(new File([bytes], name));
    document.getElementById("new-piece").dispatchEvent(
        new DragEvent("drop", { dataTransfer: held, bubbles: true, cancelable: true }));
}"""


def said(page, words: str):
    """Waits until the page says some words."""
    page.wait_for_function(
        "(words) => document.getElementById('say').textContent.includes(words)", arg=words
    )


def on(page, selector: str, most: int = 200):
    """Goes on with the tabulator until something has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("(it) => document.activeElement.matches(it)", selector):
            return
    pytest.fail(f"the keyboard does not come to {selector}")


def dropped(page, name: str, bytes_: bytes):
    """Drops a file on the form of a piece."""
    page.evaluate(DROP, [name, base64.b64encode(bytes_).decode()])

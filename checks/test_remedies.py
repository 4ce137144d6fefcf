"""What the program has to say about a book can be put right by a button, at the note and in the
list: for each kind of remedy the remark is gone when it is taken, and back when it is undone."""

import subprocess
from contextlib import contextmanager

import pytest
import small_books as small
from small_books import pin, solo
from test_open_book import OpenBook, browser, texts  # noqa: F401


def exercise(kind: str, position: str) -> str:
    return f'[[items]]\nkind = "{kind}"\nposition = "{position}"\n'


NO_BARRE = 'highest-fret = 5\nbarre = "none"\nextension = 0'
F_CHORD = "[F,CFAcf]4|]"
TWO_PINS = pin("bar = 1\nfinger = 2") + pin("bar = 1\nfinger = 3")
RIGHT_PINS = pin('bar = 1\npitch = "C4"\nright = "a"') + pin('bar = 1\npitch = "E5"\nright = "p"')
LIKE = "C D E F|G A B c|C D E F|G A B c|]"
RINGS = "[E,B]4|[^C^E^G]4|]"
CHORDS = exercise("progression", "I") + 'degrees = "I IV V7 I"\n'
OPEN_AND_OVER = small.OPEN + "\nsubstitution = true"


def case(says, button, wrote, items, tune="C D E F|]", **more):
    return pytest.param(says, button, wrote, dict(items=items, tune=tune, **more), id=button)


CASES = [
    case("over 6 strings at fret 1", "Allow any barre in this piece", 'allow = { barre = "full" }', solo(), F_CHORD, level=NO_BARRE),
    case("needs fret 5", "Allow frets up to 5 in this piece", "allow = { highest-fret = 5 }", solo(), "a4|]", level="highest-fret = 3"),
    case("position III is needed", "Allow position III in this piece", 'allow = { positions = ["III"] }', solo(), "a4|]", level='positions = ["I"]\nextension = 0'),
    case("needs finger 4", "Allow finger 4 in this piece", "allow = { fingers = [4] }", solo(), F_CHORD, level='fingers = [0, 1, 2, 3]\npositions = ["I"]'),
    case("out of its own", "Allow an extension of one fret in this piece", "allow = { extension = 1 }", solo(), "[F,a]4|]", level="extension = 0"),
    case("has not taught it", "Allow a finger that takes a note over in this piece", "substitution = true", solo(pin("bar = 1\nvoice = 2\nsecond-finger = 4")), "e d c d & C4|]"),
    case("is not taken over", "Take back “second finger 4”", None, solo(pin("bar = 1\nsecond-finger = 4")), "e4|]", level=OPEN_AND_OVER),
    case("cannot be played with string ①", "Take back “string ①”", None, solo(pin("bar = 1\nstring = 1")), "C4|]"),
    case("exclude each other", "Take back “finger 2”", None, solo(TWO_PINS), "C4|]"),
    case("with no barre, as pinned", "Take back “no barre, bar 1”", None, solo('no-barre = ["1"]\n'), F_CHORD),
    case("does not lie in the order p i m a", "Take back “right finger a”", None, solo(RIGHT_PINS), "[Ce]4|]"),
    case("played otherwise in bar 3", "Pin it in bar 3 too", "bar = 3\nfinger = 4", solo(pin("bar = 1\nfinger = 4")), LIKE),
    case("played otherwise in bar 3", "Let pins hold in like bars, in the whole book", "like-bars = true", solo(pin("bar = 1\nfinger = 4")), LIKE),
    case("there is no bar 99", "Take the pin out", None, solo(pin("bar = 99\nfinger = 4"))),
    case("does not say which", "It means E4, bar 1, beat 1", 'pitch = "E4"', solo(pin("bar = 1\nfinger = 3")), "[CE]4|]"),
    case("there is no bar 99", "Take the break out", None, solo("line-breaks = [2, 99]\n"), "C D E F|G A B c|]"),
    case("stretched", "Take the break out", None, solo("line-breaks = [2]\n"), "C4|G A B c|G A B c|G A B c|]"),
    case("no digit is printed", "Print fingering at every note", 'density = "every-note"', solo('density = "none"\n[[items.nudges]]\nbar = 1\ndigit = [1, 0]\n')),
    case("no digit is printed", "Let the sign stand where it falls", None, solo('density = "none"\n[[items.nudges]]\nbar = 1\ndigit = [1, 0]\n')),
    case("the open ⑥", "Print this advice for the student", "Bar 2, beat 1: damp ⑥", solo(), RINGS),
    case("the open ⑥", "Let it stand", "[[items.seen]]", solo(), RINGS),
    case("a duet has two parts", "Make it a solo", 'kind = "solo"', solo().replace("solo", "duet")),
    case("has no tonic octave in III", "Write it in II", 'position = "II"', '[[items]]\nkind = "scale"\nposition = "III"\n', level='positions = ["I", "II", "III"]\nextension = 0', key="F# major"),
    case("lies outside III", "Allow an extension of one fret in this exercise", "allow = { extension = 1 }", exercise("scale", "III"), level=small.LOW, key="F major"),
    case("has no shape", "Allow finger 4 in this exercise", "allow = { fingers = [4] }", CHORDS, level=small.LOW + "\nfingers = [0, 1, 2, 3]", key="Bb major"),
    case("stands in first inversion", "Allow any barre in this exercise", 'allow = { barre = "full" }', CHORDS, level=small.LOW + "\nhighest-fret = 4", key="F major"),
    case("there is no file", "Use this file", 'file = "tune.abc" # the bell', solo().replace('"tune.abc"', '"tone.abc" # the bell')),
]


@contextmanager
def opened(apoyando, folder, browser):  # noqa: F811
    """The program, the open book with its remarks unfolded, and what goes wrong in its scripts."""
    book = OpenBook(apoyando, folder)
    window = browser.new_page(viewport={"width": 1280, "height": 900})
    try:
        faults = []
        window.on("pageerror", lambda error: faults.append(str(error)))
        window.goto(book.address)
        window.wait_for_function("() => document.querySelector('#findings').children.length > 0")
        window.locator("#remarks summary").click()
        yield book, window, faults
    finally:
        window.close()
        book.kill()


def gone(window, says: str):
    window.wait_for_function(
        "(says) => ![...document.querySelectorAll('#findings li:not(:has(li))')].some((li) => li.textContent.includes(says))",
        arg=says,
    )


@pytest.mark.parametrize("says, button, wrote, given", CASES)
def test_a_remark_is_put_right_and_taken_back(apoyando, browser, tmp_path, says, button, wrote, given):  # noqa: F811
    folder = tmp_path / "book"
    small.book(folder, **given)
    before = texts(folder)
    with opened(apoyando, folder, browser) as (_, window, faults):
        remark = window.locator("#findings li:not(:has(li))", has_text=says).first
        remark.get_by_role("button", name=button, exact=True).click()
        gone(window, says)
        after = texts(folder)
        changed = [name for name in before if before[name] != after[name]]
        assert len(changed) == 1 and before.keys() == after.keys(), changed
        new = after[changed[0]].decode()
        assert wrote is None or wrote in new, new
        # All else is as the author wrote it: what is new was put in, or what is gone taken out.
        old = before[changed[0]].decode()
        common = new if wrote is None else old
        other = old if wrote is None else new
        kept = [line for line in common.splitlines() if line.split(" = ")[0] in other]
        assert kept, new
        window.click("#undo")
        window.wait_for_selector(f"#findings li:not(:has(li)):has-text('{says}')")
        assert texts(folder) == before
        assert faults == []


def test_the_card_of_a_note_has_the_same_button(apoyando, browser, tmp_path):  # noqa: F811
    """The remedy is taken at the note, by the keyboard alone, and the hand plays the barre."""
    folder = tmp_path / "book"
    small.book(folder, solo(), F_CHORD, level=NO_BARRE)
    with opened(apoyando, folder, browser) as (_, window, faults):
        window.locator("#findings button[data-note]").click()
        window.wait_for_selector(".note.remarked.chosen")
        window.wait_for_selector("#card .remark .remedy")
        window.evaluate("document.querySelector('#card .remedy').focus()")
        assert window.evaluate("document.activeElement.textContent").startswith("Allow any barre")
        window.keyboard.press("Enter")
        window.wait_for_function("() => !document.querySelector('#card .remark')")
        window.wait_for_function("() => !document.querySelector('.note.remarked')")
        # The keyboard stays in the card.
        assert window.evaluate("document.getElementById('card').contains(document.activeElement)")
        assert faults == []


FOLLOWED = [
    pytest.param(
        pin("bar = 2\nbeat = 3\nfinger = 4"),
        "follows its note",
        "It means B4, bar 3, beat 3",
        "bar = 3\nbeat = 3\nfinger = 4",
        id="a note",
    ),
    # What is beside the old word stays.
    pytest.param(
        '[[items.positions]]\nbars = "2" # so that it sings\nposition = "II"\n',
        "on bar 2 follows its music to bar 3",
        "It means bar 3",
        'bars = "3" # so that it sings',
        id="bars",
    ),
]


@pytest.mark.parametrize("pinned, says, button, wrote", FOLLOWED)
def test_a_pin_that_followed_its_music_is_written_where_that_is(apoyando, browser, tmp_path, pinned, says, button, wrote):  # noqa: F811
    """A bar was put before a pinned one: the program says where the pin went, and writes it."""
    folder = tmp_path / "book"
    small.book(folder, solo(pinned), "C D E F|G A B c|]")
    subprocess.run([apoyando, "build", str(folder), "--edition", "main"], check=True, capture_output=True)
    tune = folder / "pieces" / "tune.abc"
    tune.write_text(tune.read_text().replace("C D E F|", "E E E E|C D E F|"))
    with opened(apoyando, folder, browser) as (_, window, faults):
        remark = window.locator("#findings li:not(:has(li))", has_text=says)
        remark.get_by_role("button", name=button, exact=True).click()
        gone(window, says)
        assert wrote in (folder / "sections" / "one.toml").read_text()
        assert faults == []


def test_what_the_pages_cannot_print_is_said(apoyando, browser, tmp_path):  # noqa: F811
    """A letter that the typefaces of the book do not have."""
    folder = tmp_path / "book"
    small.book(folder, solo('title = "\u7af9"\n'), "C D E F|]")
    with opened(apoyando, folder, browser) as (_, window, faults):
        said = window.locator("#findings li", has_text="the typeface has no")
        assert "U+7AF9" in said.first.inner_text()
        assert faults == []


def test_what_changed_meanwhile_is_not_put_right_unseen(apoyando, browser, tmp_path):  # noqa: F811
    """A remedy is meant for the text that its button was made for."""
    folder = tmp_path / "book"
    small.book(folder, solo(pin("bar = 99\nfinger = 4")), "C D E F|]")
    with opened(apoyando, folder, browser) as (book, window, _):
        edit = window.locator("#findings .remedy").first.get_attribute("data-edit")
        section = folder / "sections" / "one.toml"
        theirs = "# Mine.\n" + section.read_text()
        section.write_text(theirs)
        import json

        status, answer = book.ask("POST", "/edit", json.loads(edit))
        assert (status, json.loads(answer)["now"]) == (409, theirs)
        assert section.read_text() == theirs

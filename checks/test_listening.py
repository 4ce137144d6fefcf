"""The open book is heard: in a real browser, and as files of what is set there."""

import io
import json

import mido
import soundfile
from test_open_book import book, browser, page, page_of, sheet  # noqa: F401

LOUD = """() => {
    const ear = window.ear || (window.ear = audio.createAnalyser());
    if (run && run.out && window.earOf !== run) { run.out.connect(ear); window.earOf = run; }
    const samples = new Float32Array(ear.fftSize);
    ear.getFloatTimeDomainData(samples);
    return Math.sqrt(samples.reduce((sum, it) => sum + it * it, 0) / samples.length);
}"""


def chosen(page, title: str, rank: int = 0):  # noqa: F811
    """Chooses a note of a piece; gives its key."""
    number = page_of(page, title)
    sheet(page, number)
    note = page.locator(f"#page-{number} .note").nth(rank)
    note.locator("rect").first.click()
    page.wait_for_function(
        "(title) => document.getElementById('tune').textContent === title", arg=title
    )
    return note.get_attribute("data-item"), note.get_attribute("data-note")


def loudest(page, seconds: float = 1.0) -> float:  # noqa: F811
    """The greatest loudness heard within a time."""
    heard = []
    for _ in range(int(seconds * 20)):
        heard.append(page.evaluate(LOUD))
        page.wait_for_timeout(50)
    return max(heard)


def sounding(page) -> list[str]:  # noqa: F811
    return page.eval_on_selector_all(
        ".note.sounding", "all => all.map((note) => note.getAttribute('aria-label'))"
    )


def test_music_is_heard_from_the_chosen_note(page):  # noqa: F811
    assert page.locator("#play").is_disabled(), "nothing is chosen yet"
    chosen(page, "Two Lanterns", 4)
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    assert "bar 2, beat 1" in " ".join(sounding(page)), "it begins at the chosen note"
    assert loudest(page) > 0.003
    first = sounding(page)
    page.wait_for_function(
        "(first) => [...document.querySelectorAll('.note.sounding')].some("
        "(note) => !first.includes(note.getAttribute('aria-label')))",
        arg=first,
    )
    # The fingerboard tells the same hand.
    assert page.locator("#hand svg circle").count() > 0
    page.click("#play")
    page.wait_for_function("() => !document.querySelector('.note.sounding')")
    assert page.locator("#play").text_content() == "Play from here"


def test_a_player_who_is_silent_is_not_heard(page):  # noqa: F811
    chosen(page, "Two Lanterns")
    for box in page.locator("#seats input").all():
        box.uncheck()
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    assert loudest(page) < 0.0001, "the notes are shown, and nobody plays"
    page.click("#play")
    page.locator("#seats input").first.check()
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    assert loudest(page) > 0.003


def test_the_melody_of_a_solo_is_heard_without_its_basses(page):  # noqa: F811
    chosen(page, "Morning Market")
    names = page.locator("#seats label").all_text_contents()
    assert [name.strip() for name in names] == ["Melody", "Basses"]


def test_bars_are_played_again_and_again_and_slower(page):  # noqa: F811
    chosen(page, "Two Lanterns")
    for box, value in (("#from-bar", "2"), ("#to-bar", "2")):
        page.fill(box, value)
    page.check("#again")
    page.check("#beats")
    page.locator("#tempo").fill("150")
    assert page.locator("#tempo-said").text_content() == "150 %"
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    begun = page.evaluate("() => run.begin")
    # A bar of four quarters at 88, half as fast again, comes back after 1.82 s.
    page.wait_for_function("(begun) => run.begin > begun", arg=begun, timeout=6000)
    again = page.evaluate("() => run.begin") - begun
    assert abs(again - 4 * 60 / 88 / 1.5) < 0.001, again
    assert all("bar 2," in said for said in sounding(page))


def test_files_are_made_of_what_is_set(page, book):  # noqa: F811
    chosen(page, "Two Lanterns")
    page.locator("#seats input").nth(1).uncheck()
    page.locator("#tempo").fill("50")
    links = page.eval_on_selector_all("#take-away a", "all => all.map((link) => link.href)")
    assert len(links) == 3
    kinds = {}
    for link in links:
        status, body = book.ask("GET", link.removeprefix(book.address.rstrip("/")))
        assert status == 200
        kinds[link.split("ending=")[1].split("&")[0]] = body
    midi = mido.MidiFile(file=io.BytesIO(kinds["mid"]))
    heard = json.loads(book.ask("GET", links[0].replace(book.address, "/").replace(
        "/music", "/listen").split("&")[0])[1])
    own = [strike for strike in heard["strikes"] if strike["part"] == 0]
    struck = [it for track in midi.tracks for it in track if it.type == "note_on"]
    assert len(struck) == len(own) < len(heard["strikes"])
    tempos = [it.tempo for it in midi.tracks[0] if it.type == "set_tempo"]
    assert tempos[0] == round(60e6 / 44), "half of 88"
    packed, rate = soundfile.read(io.BytesIO(kinds["flac"]))
    plain, _ = soundfile.read(io.BytesIO(kinds["wav"]))
    assert rate == 48_000 and packed.shape == plain.shape
    assert abs(len(plain) / rate - 2 * heard["bars"][-1]["to"]) < 8


def test_nothing_else_is_served_as_sound(book):  # noqa: F811
    for path in ("/sound/9-0-1-free-middle", "/sound/..%2Fbook.toml", "/music?item=999&ending=mid"):
        assert book.ask("GET", path)[0] == 404, path
    assert book.ask("GET", "/music?item=5&ending=exe")[0] == 422

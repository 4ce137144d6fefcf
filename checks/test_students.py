"""The page for students, opened from disk in a real browser without a network."""

import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest
from conftest import DEMO
from test_listening import loudest, sounding
from test_open_book import browser  # noqa: F401

# What HTML closes by itself.
VOID = {"meta", "link", "br", "hr", "input", "img"}


@pytest.fixture(scope="module")
def folder(apoyando, tmp_path_factory) -> Path:
    """The pages of the demo book."""
    book = tmp_path_factory.mktemp("students") / "book"
    shutil.copytree(DEMO, book, ignore=shutil.ignore_patterns("out"))
    subprocess.run([apoyando, "build", str(book), "--edition", "main"], check=True,
                   capture_output=True)
    return book / "out" / "students"


def opened(browser, path: Path, **how):  # noqa: F811
    """A window with a page, without a network; and what went wrong in it."""
    window = browser.new_context(offline=True, **how).new_page()
    faults = []

    def only_own(route):
        url = route.request.url
        if not url.startswith(("file:", "data:", "blob:")):
            faults.append("asks for " + url)
            route.abort()
        else:
            route.continue_()

    window.route("**/*", only_own)
    window.on("request", lambda request: request.url == path.as_uri() or faults.append(
        "asks for " + request.url[:80]) if not request.url.startswith(("data:", "blob:")) else None)
    window.on("pageerror", lambda error: faults.append(str(error)))
    window.on("console", lambda said: said.type == "error" and faults.append(said.text))
    window.goto(path.as_uri())
    return window, faults


@pytest.fixture
def page(browser, folder):  # noqa: F811
    window, faults = opened(browser, folder / "c-major.html",
                            viewport={"width": 1200, "height": 900})
    yield window
    assert faults == []
    window.context.close()


def item(page, title: str):
    return page.locator("section.item", has=page.locator("h2", has_text=title))


class Tree(HTMLParser):
    """Whether tags are closed in order, names are given once, and headings skip no level."""

    def __init__(self):
        super().__init__()
        self.open, self.names, self.levels, self.asks = [], set(), [], []

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        assert len(given) == len(attributes), f"an attribute twice: {attributes}"
        if "id" in given:
            assert given["id"] not in self.names, given["id"]
            self.names.add(given["id"])
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        for name in ("src", "href", "action", "poster", "data", "srcset", "xlink:href"):
            if not given.get(name, "#").startswith(("#", "data:")):
                self.asks.append((tag, given[name]))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.handle_starttag(tag, attributes)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, f"</{tag}> within {self.open}"
        self.open.pop()


def test_pages_are_small_whole_and_in_order(folder):
    pages = sorted(folder.glob("*.html"))
    assert [path.stem for path in pages] == ["a-minor", "c-major", "g-major"]
    for path in pages:
        text = path.read_text(encoding="utf-8")
        assert len(text.encode()) < 4_000_000
        assert text.startswith("<!doctype html>\n<html lang=\"en\">")
        tree = Tree()
        tree.feed(text)
        assert tree.open == []
        assert tree.asks == [], "nothing is fetched"
        assert tree.levels[0] == 1 and tree.levels.count(1) == 1
        steps = [after - before for before, after in zip(tree.levels, tree.levels[1:])]
        assert max(steps) <= 1, tree.levels
        assert "default-src 'none'" in text


def test_the_page_says_what_the_book_says(page):
    assert page.locator("h1").text_content() == "C major"
    titles = page.locator("section.item h2").all_text_contents()
    assert len(titles) == 7
    assert titles[0].startswith("1") and titles[-1] == "Morning Market"
    strain = page.locator(".strain")
    assert strain.locator("h2").text_content() == "Playing without strain"
    assert strain.locator(".caution").is_visible()
    assert "If anything hurts, goes numb or tingles, stop." in strain.text_content()
    assert "Press\na string only as hard as it needs to sound" in strain.text_content()


def test_music_is_heard_from_a_note_and_shown(page):
    own = item(page, "Morning Market")
    note = own.locator(".note[aria-label*='bar 3, beat 1']").first
    note.scroll_into_view_if_needed()
    note.locator("rect").first.click()
    assert "Morning Market" == page.locator("#tune").text_content()
    assert page.locator("#chosen").text_content() == note.get_attribute("aria-label")
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    assert "bar 3, beat 1" in " ".join(sounding(page)), "it begins at the chosen note"
    assert loudest(page) > 0.003
    first = sounding(page)
    page.wait_for_function(
        "(first) => [...document.querySelectorAll('.note.sounding')].some("
        "(note) => !first.includes(note.getAttribute('aria-label')))",
        arg=first,
    )
    assert page.locator("#hand svg circle").count() > 0
    assert "string" in page.locator("#hand svg").get_attribute("aria-label")
    page.keyboard.press("Escape")
    page.wait_for_function("() => !document.querySelector('.note.sounding')")


def test_an_item_is_heard_from_its_beginning(page):
    own = item(page, "Morning Market")
    page.get_by_role("button", name="Play Morning Market").click()
    page.wait_for_selector(".note.sounding")
    assert any("bar 1, beat 1" in said for said in sounding(page))
    assert own.locator(".hear").text_content() == "Stop"
    own.locator(".hear").click()
    assert own.locator(".hear").text_content() == "Play"
    own.locator(".note[aria-label*='bar 5']").first.locator("rect").first.click()
    page.fill("#from-bar", "5")
    page.check("#again")
    page.click("#begin")
    page.wait_for_selector(".note.sounding")
    assert any("bar 1, beat 1" in said for said in sounding(page)), "all of it, whatever is set"


def test_every_sound_of_every_item_is_there(page):
    missing = page.evaluate(
        "() => packed.items.flatMap((it) => it.strikes).filter((it) => !packed.sounds[it.sound]).length"
    )
    assert missing == 0
    # Each can be decoded by the browser, and is of a string: loud, then less.
    lengths = page.evaluate("""async () => {
        const audio = new AudioContext();
        const all = [];
        for (const name of Object.keys(packed.sounds)) {
            const sound = await audio.decodeAudioData(await source.sound(name));
            const data = sound.getChannelData(0);
            const loud = (from, to) => data.slice(from * sound.sampleRate, to * sound.sampleRate)
                .reduce((most, it) => Math.max(most, Math.abs(it)), 0);
            all.push([name, sound.duration, loud(0, 0.2), loud(sound.duration - 0.1, sound.duration)]);
        }
        return all;
    }""")
    assert len(lengths) > 20
    for name, seconds, begin, end in lengths:
        assert 0.3 < seconds < 2.51, (name, seconds)
        assert begin > 0.02 and end < 0.2 * begin, (name, begin, end)


def test_bars_come_again_at_another_tempo_and_the_basses_are_silent(page):
    own = item(page, "Morning Market")
    own.locator(".note").first.locator("rect").first.click()
    for box, value in (("#from-bar", "2"), ("#to-bar", "2")):
        page.fill(box, value)
    page.check("#again")
    page.locator("#tempo").fill("150")
    assert page.locator("#tempo-said").text_content() == "150 %"
    assert [name.strip() for name in page.locator("#seats label").all_text_contents()] == [
        "Melody", "Basses"]
    page.click("#play")
    page.wait_for_selector(".note.sounding")
    begun, length = page.evaluate("() => [run.begin, (run.to - run.from) / 1.5]")
    page.wait_for_function("(begun) => run.begin > begun + 0.01", arg=begun, timeout=9000)
    assert abs(page.evaluate("() => run.begin") - begun - length) < 0.001
    assert all("bar 2," in said for said in sounding(page))
    page.click("#play")
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


def test_a_slower_tempo_leaves_the_pitch(page):
    """The same sound at either tempo: only when it is struck is another."""
    page.evaluate("""() => {
        const kept = [];
        const own = AudioBufferSourceNode.prototype.start;
        AudioBufferSourceNode.prototype.start = function (at) {
            kept.push([at, this.playbackRate.value, this.detune.value]);
            return own.call(this, at);
        };
        window.kept = kept;
    }""")
    apart = []
    for value in ("100", "50"):
        page.evaluate("() => { window.kept.length = 0; }")
        page.locator("#tempo").fill(value)
        page.locator("section.item .hear").first.click()
        page.wait_for_function("() => window.kept.length >= 2")
        page.keyboard.press("Escape")
        struck = page.evaluate("() => window.kept.slice(0, 2)")
        assert all(rate == 1 and detune == 0 for _, rate, detune in struck)
        apart.append(struck[1][0] - struck[0][0])
    assert abs(apart[1] / apart[0] - 2) < 0.01, apart


def test_a_bar_is_counted_before(page):
    page.check("#count")
    page.locator("section.item .hear").first.click()
    page.wait_for_function("() => run && run.wanted && run.begin")
    ahead, bar = page.evaluate(
        "() => [run.begin - audio.currentTime, heard.bars[0].to - heard.bars[0].from]")
    assert ahead > bar * 0.6
    assert sounding(page) == []
    page.keyboard.press("Escape")


def test_keys_alone_lead_through_the_page(page):
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.matches('.note')"):
            break
    at = "() => document.activeElement.getAttribute('aria-label')"
    assert "bar 1, beat 1" in page.evaluate(at)
    walked = [page.evaluate(at)]
    for _ in range(4):
        page.keyboard.press("ArrowRight")
        walked.append(page.evaluate(at))
    assert len(set(walked)) == 5
    page.keyboard.press("ArrowLeft")
    assert page.evaluate(at) == walked[3]
    assert page.evaluate("() => chosenNote.note") == int(
        page.evaluate("() => document.activeElement.dataset.note"))
    page.keyboard.press("Enter")
    page.wait_for_selector(".note.sounding")
    assert walked[3] in sounding(page)
    page.keyboard.press("Enter")
    page.wait_for_function("() => !run")
    page.keyboard.press("Home")
    assert page.evaluate(at) == walked[0]
    # From player to player in a duet.
    duet = item(page, "Two Lanterns")
    duet.locator(".note").first.focus()
    part = "() => document.activeElement.dataset.part"
    assert page.evaluate(part) == "0"
    page.keyboard.press("ArrowDown")
    assert page.evaluate(part) == "1"
    assert "bar 1, beat 1" in page.evaluate(at)
    page.keyboard.press("ArrowUp")
    assert page.evaluate(part) == "0"


def luminance(colour: str) -> float:
    values = [float(it) / 255 for it in re.findall(r"[\d.]+", colour)[:3]]
    red, green, blue = (it / 12.92 if it <= 0.04045 else ((it + 0.055) / 1.055) ** 2.4
                        for it in values)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_and_nothing_is_too_wide(browser, folder, scheme):  # noqa: F811
    """WCAG 2.2, 1.4.3 and 1.4.10."""
    for width in (360, 1200):
        window, faults = opened(
            browser, folder / "a-minor.html", color_scheme=scheme, has_touch=width == 360,
            viewport={"width": width, "height": 780}, reduced_motion="reduce")
        seen = window.evaluate("""() => {
            const ground = (node) => {
                for (let at = node; at; at = at.parentElement) {
                    const colour = getComputedStyle(at).backgroundColor;
                    if (!colour.startsWith('rgba(0, 0, 0, 0')) return colour;
                }
                return 'rgb(255, 255, 255)';
            };
            return [...document.querySelectorAll('h1,h2,p,dt,dd,li,summary,label,legend,button,figcaption,.ink')]
                .filter((it) => it.getClientRects().length && !it.disabled)
                .map((it) => [it.tagName, getComputedStyle(it).color, ground(it)]);
        }""")
        assert len(seen) > 40
        for tag, ink, ground in seen:
            light, dark = sorted([luminance(ink), luminance(ground)], reverse=True)
            assert (light + 0.05) / (dark + 0.05) >= 4.5, (tag, ink, ground)
        assert window.evaluate("() => document.documentElement.scrollWidth") <= width
        # What is set by hand is large enough for a finger.
        for button in window.locator("button:visible").all():
            assert button.bounding_box()["height"] >= 24
        assert faults == []
        window.context.close()


def test_a_finger_beside_a_note_means_the_note(browser, folder):  # noqa: F811
    window, faults = opened(browser, folder / "c-major.html", has_touch=True, is_mobile=True,
                            viewport={"width": 390, "height": 844})
    note = window.locator(".note").nth(2)
    note.scroll_into_view_if_needed()
    box = note.locator("rect").first.bounding_box()
    window.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] + 4)
    assert "chosen" in note.get_attribute("class")
    window.locator("#play").tap()
    window.wait_for_selector(".note.sounding")
    assert faults == []
    window.context.close()

"""What is taken along from the open book, in a real browser and by hand: each kind of file is
opened by a reader of others. PDF: pypdf. MusicXML: the W3C schema and music21. MIDI: mido. WAV
and FLAC: libsndfile through soundfile. Archives: zipfile."""

import http.client
import io
import json
import subprocess
import zipfile

import command
import mido
import music21
import musicxml_schema
import pypdf
import pytest
import soundfile
from conftest import DEMO
from in_the_page import dropped, on, said
from test_open_book import OpenBook, book, browser, page, page_of, sheet  # noqa: F401

KINDS = "#of-item button"


def along(book) -> list[dict]:  # noqa: F811
    """All that is in the making or made."""
    return json.loads(book.ask("GET", "/along")[1])


def events(book):  # noqa: F811
    """What is told of that, as it is told: the server's events, read by hand."""
    door = http.client.HTTPConnection("127.0.0.1", book.port, timeout=120)
    door.request("GET", "/changes")
    answer = door.getresponse()
    kind = ""
    while line := answer.readline():
        field, _, value = line.decode().rstrip("\n").partition(": ")
        if field == "event":
            kind = value
        elif field == "data" and kind == "along":
            yield json.loads(value)
        elif not field:
            kind = ""


def ready(book, **order) -> tuple[dict, bytes]:  # noqa: F811
    """Has something made and fetches it."""
    status, told = book.ask("POST", "/along", order)
    assert status == 202, told
    number = json.loads(told)["id"]
    for all_told in events(book):
        own = next(it for it in all_told if it["id"] == number)
        if own["state"] not in ("waiting", "making"):
            break
    assert own["state"] == "ready", own
    status, body = book.ask("GET", f"/along/{number}/file")
    assert (status, len(body)) == (200, own["bytes"])
    return own, body


def item(book, title: str) -> int:  # noqa: F811
    items = json.loads(book.ask("GET", "/along/choices")[1])["items"]
    return [it["title"] for it in items].index(title)


def notes(score) -> int:
    return len(list(score.flatten().notes))


@pytest.fixture
def panel(page):  # noqa: F811
    """The page with its panel open."""
    page.click("#along-open")
    page.wait_for_function("() => document.getElementById('along-item').options.length > 0")
    return page


def saved(panel, selector: str) -> tuple[str, bytes]:
    """What a button of the panel gives."""
    with panel.expect_download() as download:
        panel.click(selector)
    return download.value.suggested_filename, download.value.path().read_bytes()


def test_the_book_is_had_in_every_edition(panel, book):  # noqa: F811
    buttons = panel.locator("#editions button")
    assert buttons.count() == 5
    lengths = {}
    for rank in range(5):
        name, body = saved(panel, f"#editions button:nth-child({rank + 1})")
        pdf = pypdf.PdfReader(io.BytesIO(body))
        text = " ".join(page.extract_text() for page in pdf.pages)
        assert "The Garden Gate" in text and pdf.metadata.title == "The Garden Gate"
        lengths[name] = (len(pdf.pages), text)
    assert set(lengths) == {"book.pdf"} | {
        f"book-{it}.pdf" for it in ("tablature", "large-print", "left-handed", "student")
    }
    # As many pages as are shown; large print has more; each says what it is.
    assert lengths["book.pdf"][0] == panel.locator(".sheet").count()
    assert lengths["book-large-print.pdf"][0] > lengths["book.pdf"][0]
    assert "for left-handed players" in lengths["book-left-handed.pdf"][1]


def test_a_piece_is_had_as_notes_and_as_sound(panel, book, schema, tmp_path):  # noqa: F811
    panel.select_option("#along-item", label="C major: Two Lanterns")
    kinds = {}
    for rank in range(1, 6):
        name, body = saved(panel, f"{KINDS}:nth-child({rank})")
        kinds[name.rsplit(".", 1)[1]] = body
    (tmp_path / "piece.musicxml").write_bytes(kinds["musicxml"])
    assert musicxml_schema.faults(schema, tmp_path / "piece.musicxml") == []
    score = music21.converter.parse(kinds["musicxml"].decode(), format="musicxml")
    assert len(score.parts) == 2 and notes(score) > 20
    midi = mido.MidiFile(file=io.BytesIO(kinds["mid"]))
    struck = [it for track in midi.tracks for it in track if it.type == "note_on" and it.velocity]
    assert len(struck) == notes(score.expandRepeats().stripTies())
    plain, rate = soundfile.read(io.BytesIO(kinds["wav"]))
    packed, _ = soundfile.read(io.BytesIO(kinds["flac"]))
    assert rate == 48_000 and (plain == packed).all() and abs(plain).max() > 0.05
    assert midi.length <= len(plain) / rate < midi.length + 8
    # The practice set: three tempos, each with the student and without.
    bundle = zipfile.ZipFile(io.BytesIO(kinds["zip"]))
    assert bundle.testzip() is None
    lengths = {}
    for name in bundle.namelist():
        samples, _ = soundfile.read(io.BytesIO(bundle.read(name)))
        lengths[name.rsplit("/", 1)[1]] = samples
    paces = ("slow-60", "medium-80", "full-100")
    assert set(lengths) == {f"{it}{who}.flac" for it in paces for who in ("", "-without-student")}
    assert (lengths["full-100.flac"] == packed).all()
    slow, full = (len(lengths[f"{it}.flac"]) / rate for it in ("slow-60", "full-100"))
    assert abs(slow - full / 0.6) < 8 * 0.7
    assert len(lengths["full-100-without-student.flac"]) <= len(packed)
    assert not (lengths["full-100-without-student.flac"][:rate] == packed[:rate]).all()


def test_the_same_again_is_the_same_to_the_last_byte(book):  # noqa: F811
    solo = item(book, "Morning Market")
    for order in ({"what": "practice-set", "item": solo}, {"what": "scores"}):
        first, body = ready(book, **order)
        # What is there is not made twice, unless it was put away.
        assert ready(book, **order)[0]["id"] == first["id"]
        assert book.ask("POST", f"/along/{first['id']}/away")[0] == 204
        again, other = ready(book, **order)
        assert again["id"] != first["id"] and body == other


def test_all_of_the_book_is_had_in_one(book):  # noqa: F811
    told, body = ready(book, what="scores")
    bundle = zipfile.ZipFile(io.BytesIO(body))
    items = json.loads(book.ask("GET", "/along/choices")[1])["items"]
    assert told["file"] == "scores.zip" and len(bundle.namelist()) == len(items)
    for name in bundle.namelist():
        assert notes(music21.converter.parse(bundle.read(name).decode(), format="musicxml"))
    _, body = ready(book, what="students")
    bundle = zipfile.ZipFile(io.BytesIO(body))
    assert sorted(bundle.namelist()) == ["a-minor.html", "c-major.html", "g-major.html"]
    assert all(b"<html" in bundle.read(name)[:200] for name in bundle.namelist())


EDITIONS = "".join(
    f'\n[[editions]]\nname = "edition-{letter}"\nnote = "edition {letter}"\ntablature = true\n'
    f"staff-height = {height}\n"
    for letter, height in zip("abcdefg", (6.4, 6.6, 6.8, 7.0, 7.2, 7.4, 7.6))
)


@pytest.fixture
def large(apoyando, tmp_path):
    """A large book with editions, opened by the command."""
    folder = tmp_path / "large"
    subprocess.run([command.example(apoyando, "twelve-keys"), folder], check=True)
    plan = folder / "book.toml"
    plan.write_text(plan.read_text() + EDITIONS)
    opened = OpenBook(apoyando, folder)
    yield opened
    opened.kill()


def test_the_page_answers_while_an_edition_is_set(large):
    """By the order of events: between two steps of an edition the server answers questions and
    makes edits. Were anything held while pages are set, it could answer only afterwards."""
    status, told = large.ask("POST", "/along", {"what": "edition", "edition": "edition-a"})
    number = json.loads(told)["id"]
    assert status == 202
    answered, stages, edited = set(), [], False
    for all_told in events(large):
        own = next(it for it in all_told if it["id"] == number)
        if own["state"] not in ("waiting", "making"):
            break
        said = own["stage"]["said"]
        stages.append((said, own["stage"]["done"], own["stage"]["of"]))
        assert large.ask("GET", "/now")[0] == 200
        if said.startswith("Measuring") and not edited:
            # An edit is made and its page set, too.
            base = json.loads(large.ask("GET", "/text?file=book.toml")[1])
            edit = {"said": "x", "do": "write", "file": "book.toml", "base": base["base"]}
            edit["text"] = base["text"] + "\n# by hand\n"
            assert large.ask("POST", "/edit", edit)[0] == 200
            edited = along(large)[0]["state"] == "making"
        if along(large)[0]["state"] == "making":
            answered.add(said)
    assert own["state"] == "ready", own
    assert edited
    # What is longest is setting the pages: the answer came while they were being set.
    assert {"Engraving", "Setting the pages"} <= answered, (answered, stages)
    for word in ("Engraving", "Measuring"):
        done = [done for said, done, _ in stages if said.startswith(word)]
        assert done == sorted(done) and len(done) > 1, stages
    pdf = pypdf.PdfReader(io.BytesIO(large.ask("GET", f"/along/{number}/file")[1]))
    assert "edition a" in pdf.pages[0].extract_text()


def test_what_is_cancelled_leaves_nothing(large):
    order = {"what": "edition", "edition": "edition-b"}
    number = json.loads(large.ask("POST", "/along", order)[1])["id"]
    cancelled = False
    for all_told in events(large):
        own = [it for it in all_told if it["id"] == number]
        if own and own[0]["state"] == "making" and not cancelled:
            assert large.ask("GET", f"/along/{number}/file")[0] == 409
            assert large.ask("POST", f"/along/{number}/away", {})[0] == 204
            cancelled = True
        if cancelled and not own:
            break
    assert large.ask("GET", f"/along/{number}/file")[0] == 404
    # What is made next is made to its end, and nothing else turns up.
    told, _ = ready(large, what="score", item=0)
    assert [it["id"] for it in along(large)] == [told["id"]]
    assert not (large.folder / "out").exists()


def test_no_more_than_a_few_are_made_at_once(large):
    for letter in "abcdef":
        order = {"what": "edition", "edition": f"edition-{letter}"}
        assert large.ask("POST", "/along", order)[0] == 202
    # The same again is not another one; one more is too many.
    order = {"what": "edition", "edition": "edition-f"}
    assert large.ask("POST", "/along", order)[0] == 202
    status, told = large.ask("POST", "/along", {"what": "edition", "edition": "edition-g"})
    assert status == 429 and "Wait for one" in json.loads(told)["message"]
    lying = along(large)
    assert len(lying) == 6
    assert sum(it["state"] == "making" for it in lying) <= 2
    for it in lying:
        large.ask("POST", f"/along/{it['id']}/away", {})
    assert along(large) == []


def test_it_is_seen_and_cancelled_by_keyboard_alone(browser, large):  # noqa: F811
    window = browser.new_page(viewport={"width": 1400, "height": 1000})
    downloads = []
    window.on("download", lambda download: downloads.append(download.suggested_filename))
    window.goto(large.address)
    window.wait_for_selector("#page-1 img")
    on(window, "#along-open")
    window.keyboard.press("Enter")
    window.wait_for_function("() => document.getElementById('editions').children.length > 0")
    on(window, "#editions button:nth-child(2)")
    window.keyboard.press("Enter")
    # Each step has its number, and the bar says the same.
    window.wait_for_function(
        """() => {
            const bar = document.querySelector('#made progress:not([hidden])');
            const said = document.querySelector('#made p')?.textContent || '';
            return bar && bar.value > 0 && said.endsWith(`${bar.value}\\u00a0of\\u00a0${bar.max}`);
        }"""
    )
    assert "1 in the making" in window.locator("#along-open").text_content()
    on(window, "#made button")
    name = window.evaluate("() => document.activeElement.getAttribute('aria-label')")
    assert name == "Cancel: The book, edition a, PDF"
    window.keyboard.press("Enter")
    window.wait_for_function("() => document.getElementById('made').children.length === 0")
    assert window.evaluate("() => document.activeElement.textContent") == "Take it along"
    assert window.locator("#along-open").text_content() == "Take it along"
    # A small thing is made, saved and put away.
    on(window, "#of-all [data-what=scores]")
    with window.expect_download() as download:
        window.keyboard.press("Enter")
    assert download.value.suggested_filename == "scores.zip"
    on(window, "#made a")
    assert window.evaluate("() => document.activeElement.getAttribute('aria-label')") == (
        "Save scores.zip"
    )
    on(window, "#made button")
    window.keyboard.press("Enter")
    window.wait_for_function("() => document.getElementById('counter').hidden")
    assert downloads == ["scores.zip"]
    window.close()


def test_what_cannot_be_had_is_refused_in_words(book):  # noqa: F811
    for order, status, words in [
        ({"what": "edition", "edition": "gold"}, 404, "no edition “gold”"),
        ({"what": "edition", "edition": "../book"}, 404, "no edition"),
        ({"what": "score", "item": 999}, 404, "Choose it again"),
        ({"what": "practice-set", "item": 999}, 404, "Choose it again"),
        ({"what": "recording", "item": 0, "ending": "exe"}, 422, "not as exe"),
    ]:
        got, told = book.ask("POST", "/along", order)
        assert (got, words in json.loads(told)["message"]) == (status, True), (order, told)
    assert book.ask("POST", "/along", {"what": "the-moon"})[0] == 422
    for method, path in (("GET", "/along/77/file"), ("POST", "/along/77/away")):
        assert book.ask(method, path, {} if method == "POST" else None)[0] == 404
    # No other site may ask for anything, or take it.
    told, _ = ready(book, what="scores")
    evil = {"Origin": "http://evil.example"}
    assert book.ask("POST", "/along", {"what": "scores"}, **evil)[0] == 403
    assert book.ask("GET", f"/along/{told['id']}/file", **evil)[0] == 403
    assert book.ask("POST", f"/along/{told['id']}/away", {}, **evil)[0] == 403
    assert [it["id"] for it in along(book)] == [told["id"]]


CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles>'
    '<rootfile full-path="score.xml"/></rootfiles></container>'
)


def mxl(score: bytes, name: str = "score.xml") -> bytes:
    """Compressed MusicXML, as zipfile writes it."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", CONTAINER)
        archive.writestr(name, score)
    return packed.getvalue()


SOLO = (DEMO / "pieces" / "morning-market.musicxml").read_bytes()


@pytest.mark.parametrize(
    ("name", "bytes_"),
    [
        ("packed.mxl", mxl(SOLO)),
        ("plain.musicxml", SOLO),
        ("wide.xml", SOLO.decode().replace('encoding="UTF-8"', 'encoding="UTF-16"').encode("utf-16")),
    ],
)
def test_a_file_of_notes_becomes_a_piece(page, book, name, bytes_):  # noqa: F811
    page.locator("#add summary").click()
    page.wait_for_function("() => document.getElementById('piece-section').options.length > 0")
    dropped(page, name, bytes_)
    page.wait_for_selector("#piece-shown img")
    assert page.locator("#piece-from").text_content() == name
    page.select_option("#piece-section", "g-major")
    page.fill("#piece-title", "From a File")
    page.locator("#new-piece > button").click()
    said(page, "From a File is at the end of G major")
    page.wait_for_function(
        "() => [...document.querySelectorAll('#contents a')].some((a) => a.textContent === 'From a File')"
    )
    # It is kept as text that others read, too.
    kept = music21.converter.parse(book.folder / "pieces" / "from-a-file.musicxml")
    assert notes(kept) == notes(music21.converter.parse(SOLO.decode(), format="musicxml"))
    number = page_of(page, "From a File")
    sheet(page, number)
    shown = page.locator(f"#page-{number} .note").last.get_attribute("data-item")
    assert json.loads(book.ask("GET", f"/listen?item={shown}")[1])["title"] == "From a File"


def test_no_file_of_notes_is_trusted(page, book):  # noqa: F811
    page.locator("#add summary").click()
    whole = mxl(SOLO)
    bomb = mxl(b"<score-partwise>" + b" " * 80_000_000 + b"</score-partwise>")
    assert len(bomb) < 200_000
    for name, bytes_, words in [
        ("broken.mxl", whole[:400], "the archive cannot be read"),
        ("bomb.mxl", bomb, "larger than 4000000 bytes"),
        ("none.mxl", mxl(SOLO, "other.xml"), "names score.xml, which is not in it"),
        ("letters.musicxml", b"\x00\xff\xfe\x01" * 50, "letters.musicxml"),
        ("piece.pdf", b"%PDF-1.7", "read from .abc, .musicxml, .xml or .mxl"),
        ("large.mxl", b"PK" + bytes(4_000_001), "more than 4 MB"),
    ]:
        dropped(page, name, bytes_)
        said(page, words)
        assert page.locator("#piece-text").input_value() == "", name
    # Asked by hand it is no other.
    def by_hand(bytes_: bytes) -> int:
        door = http.client.HTTPConnection("127.0.0.1", book.port, timeout=60)
        own = {"Origin": book.address.rstrip("/"), "Content-Type": "application/octet-stream"}
        door.request("POST", "/dropped?name=bomb.mxl", bytes_, own)
        return door.getresponse().status

    assert by_hand(bomb) == 422
    assert by_hand(b"PK" + bytes(4_000_001)) == 422
    assert by_hand(whole) == 200
    assert along(book) == []


def test_the_page_and_the_command_make_the_same(apoyando, book):  # noqa: F811
    """To the last byte; and the command records every exercise and piece."""
    typed = [apoyando, "build", str(book.folder), "--sound", "--edition", "main"]
    typed += ["--edition", "large-print"]
    assert subprocess.run(typed, capture_output=True).returncode == 0
    out = book.folder / "out"
    for edition in ("", "large-print"):
        told, body = ready(book, what="edition", edition=edition)
        assert (out / told["file"]).read_bytes() == body, edition
    bundle = zipfile.ZipFile(io.BytesIO(ready(book, what="scores")[1]))
    for name in bundle.namelist():
        assert (out / "musicxml" / name).read_bytes() == bundle.read(name), name
    recorded = sorted(path.name for path in (out / "sound").iterdir())
    stems = [name.removesuffix(".musicxml") for name in bundle.namelist()]
    assert recorded == sorted(f"{stem}.{it}" for stem in stems for it in ("flac", "mid"))
    duet = item(book, "Two Lanterns")
    for ending in ("flac", "mid"):
        told, body = ready(book, what="recording", item=duet, ending=ending)
        assert (out / "sound" / told["file"]).read_bytes() == body
    for stem in stems:
        samples, rate = soundfile.read(out / "sound" / f"{stem}.flac")
        assert len(samples) / rate >= mido.MidiFile(out / "sound" / f"{stem}.mid").length

"""What is taken along from the open book, in a real browser and by hand: each kind of file is
opened by a reader of others. PDF: pypdf. MusicXML: the W3C schema and music21. MIDI: mido. WAV
and FLAC: libsndfile through soundfile. Archives: zipfile."""

import http.client
import io
import json
import zipfile

import mido
import music21
import musicxml_schema
import pypdf
import pytest
import soundfile
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
    panel.select_option("#along-item", label="Two Lanterns")
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
        assert ready(book, **order)[1] == ready(book, **order)[1]


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

"""The demo book as other readers of PDF see it: pypdf, and the tools of
Debian's poppler-utils."""

import collections
import re
import shutil
import struct
import subprocess
import tomllib
import unicodedata
import xml.etree.ElementTree
from pathlib import Path

import pypdf
import pytest
from conftest import DEMO
from pypdf.generic import DictionaryObject


def tool(name: str) -> str:
    path = shutil.which(name)
    if path is None:
        pytest.fail(f"{name} is missing; type: apt-get install -y poppler-utils")
    return path


PLAN = tomllib.loads((DEMO / "book.toml").read_text(encoding="utf-8"))
EDITIONS = ["book", *(f"book-{edition['name']}" for edition in PLAN["editions"])]


def built(stem: str) -> Path:
    path = DEMO / "out" / f"{stem}.pdf"
    if not path.is_file():
        pytest.fail(f"the demo book is not built; type: apoyando build {DEMO}")
    return path


@pytest.fixture(scope="session", params=EDITIONS)
def book(request) -> Path:
    """Every check below is made of every edition."""
    return built(request.param)


@pytest.fixture(scope="session")
def plan() -> dict:
    return PLAN


@pytest.fixture(scope="session")
def reader(book) -> pypdf.PdfReader:
    return pypdf.PdfReader(str(book), strict=True)


@pytest.fixture(scope="session")
def info(book) -> dict[str, str]:
    run = subprocess.run([tool("pdfinfo"), str(book)], capture_output=True, text=True, check=True)
    # ISO 32000-1, table 321: Suspects is a boolean. This reader complains of it
    # when it is false, in every document that has it.
    complaints = [line for line in run.stderr.splitlines() if "Suspects" not in line]
    assert complaints == []
    return dict(
        re.split(r":\s+", line, maxsplit=1) for line in run.stdout.splitlines() if ": " in line
    )


def plain(text: str) -> str:
    """Text without regard to line breaks and ligatures."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


@pytest.fixture(scope="session")
def pages(reader) -> list[str]:
    return [plain(page.extract_text()) for page in reader.pages]


def objects(reader):
    """Every dictionary reachable from the trailer, once."""
    seen, waiting = set(), [reader.trailer]
    while waiting:
        item = waiting.pop()
        if isinstance(item, pypdf.generic.IndirectObject):
            if item.idnum in seen:
                continue
            seen.add(item.idnum)
            item = item.get_object()
        if isinstance(item, DictionaryObject):
            yield item
            waiting.extend(item.raw_get(key) for key in item)
        elif isinstance(item, list):
            waiting.extend(item)


def test_readers_agree_on_pages_and_title(reader, info, plan):
    assert int(info["Pages"]) == len(reader.pages)
    # A title page, the contents, and at least a page for every section.
    assert len(reader.pages) >= 2 + len(plan["sections"])
    assert info["Title"] == plan["title"] == reader.metadata.title


def test_the_document_is_tagged(reader, info):
    """ISO 32000-1, 14.8: a tagged document says so and has a structure tree."""
    assert info["Tagged"] == "yes"
    catalogue = reader.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"] is True or catalogue["/MarkInfo"]["/Marked"].value
    assert catalogue["/Lang"]
    kinds, alternatives = set(), 0
    for item in objects(reader):
        if item.get("/Type") == "/StructElem" or "/S" in item and "/P" in item and "/K" in item:
            kinds.add(item.get("/S"))
            alternatives += "/Alt" in item
    assert {"/H1", "/P", "/Figure"} <= kinds, kinds
    # Music is a picture to a reader who does not see it; each says what it is.
    assert alternatives > 10


def test_fonts_are_embedded_and_subset(book, reader):
    """ISO 32000-1, 9.6.4: a subset's name begins with six capitals and a plus
    sign. Asked twice, of two readers."""
    run = subprocess.run([tool("pdffonts"), str(book)], capture_output=True, text=True, check=True)
    header, rule, *lines = run.stdout.splitlines()
    starts = [match.start() for match in re.finditer(r"(?:^| )-+", rule)]
    assert header.split()[3:6] == ["emb", "sub", "uni"]
    assert lines
    for line in lines:
        embedded, subset = line[starts[3] :].split()[:2]
        assert (embedded, subset) == ("yes", "yes"), line
    descriptors = [item for item in objects(reader) if item.get("/Type") == "/FontDescriptor"]
    assert descriptors
    for descriptor in descriptors:
        assert any(f"/FontFile{kind}" in descriptor for kind in ("", "2", "3")), descriptor
        assert re.match(r"/[A-Z]{6}\+", descriptor["/FontName"]), descriptor["/FontName"]


def test_the_music_font_is_there(book):
    run = subprocess.run([tool("pdffonts"), str(book)], capture_output=True, text=True, check=True)
    assert "Bravura" in run.stdout


def test_there_are_no_raster_images(book, reader):
    run = subprocess.run(
        [tool("pdfimages"), "-list", str(book)], capture_output=True, text=True, check=True
    )
    assert len(run.stdout.splitlines()) == 2, run.stdout
    assert [item for item in objects(reader) if item.get("/Subtype") == "/Image"] == []


def test_pages_are_of_the_paper(reader, info):
    width, height = (float(n) for n in re.findall(r"[\d.]+", info["Page size"])[:2])
    for page in reader.pages:
        box = page.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((width, height), abs=0.01)


def test_titles_are_in_the_text(pages, plan):
    everything = " ".join(pages)
    assert plain(plan["title"]) in pages[0]
    assert plain(plan["author"]) in pages[0]
    for piece in sorted(p for p in (DEMO / "pieces").iterdir() if p.suffix != ".toml"):
        title = re.search(r"(?m)^T:\s*(.*)$|<work-title>(.*?)<", piece.read_text(encoding="utf-8"))
        assert plain(title[1] or title[2]) in everything, piece.name


def test_pages_are_numbered_in_order(pages):
    """The number on a page is the number of the page; the title page, its back and white
    pages have none."""
    assert pages[1].startswith("Credits and rights")
    for number, text in enumerate(pages, start=1):
        numbered = re.search(rf"(^|\D){number}$", text) or re.match(rf"{number}(\D|$)", text)
        assert numbered or number <= 2 or text == "", (number, text)


def test_the_contents_lead_to_their_pages(reader, pages):
    """Each title in the contents stands on the page that is named there."""
    [contents] = [number for number, text in enumerate(pages) if text.startswith("Contents")]
    lines = reader.pages[contents].extract_text().splitlines()
    # The heading may stand beside the first of them.
    lines = [line.strip().removeprefix("Contents").strip() for line in lines]
    entries = [re.fullmatch(r"(?:\d+ )?(.+?)[ .]+ (\d+)", line) for line in lines]
    entries = [entry for entry in entries if entry]
    assert len(entries) > 3
    for entry in entries:
        assert plain(entry[1]) in pages[int(entry[2]) - 1], entry[0]


def bookmarks(reader):
    """Titles of the outline with their pages."""

    def leaves(outline):
        for entry in outline:
            if isinstance(entry, list):
                yield from leaves(entry)
            else:
                yield entry.title, reader.get_destination_page_number(entry)

    return list(leaves(reader.outline))


def test_bookmarks_lead_to_their_pages(reader, plan):
    """The outline has every section, in order of the pages."""
    entries = bookmarks(reader)
    numbers = [number for _, number in entries]
    assert len(entries) >= len(plan["sections"])
    assert numbers == sorted(numbers)


def test_all_editions_have_the_same_exercises_and_pieces():
    """One source: numbers and titles are the same in every edition. What exercises leave
    out is for the teacher, so that the student's part does not tell it."""
    titles = {
        stem: [title for title, _ in bookmarks(pypdf.PdfReader(str(built(stem)), strict=True))]
        for stem in EDITIONS
    }
    assert len(titles) == 5
    whole = titles["book"]
    assert len(whole) > 25 and "Shapes left out" in whole
    titles["book-student"].insert(whole.index("Shapes left out"), "Shapes left out")
    assert all(other == whole for other in titles.values())


def test_editions_say_what_they_are():
    """The note of an edition stands on its title page, and on no other's."""
    first = {stem: plain(pypdf.PdfReader(str(built(stem))).pages[0].extract_text()) for stem in EDITIONS}
    for edition in PLAN["editions"]:
        own = f"book-{edition['name']}"
        assert [stem for stem, text in first.items() if edition["note"] in text] == [own]


def test_words_are_large_in_large_print():
    """Running text is 16 points at least, half as large again as in the book itself;
    from memory, what guidelines for large print ask for."""

    def usual_size(stem: str) -> float:
        sizes = collections.Counter()

        def visit(text, matrix, _position, font, size):
            if font and "Libertinus" in str(font.get("/BaseFont")):
                sizes[round(size * abs(matrix[3]), 1)] += len(text)

        for page in pypdf.PdfReader(str(built(stem))).pages[5:9]:
            page.extract_text(visitor_text=visit)
        return sizes.most_common(1)[0][0]

    assert usual_size("book") == pytest.approx(10.5, abs=0.1)
    assert usual_size("book-large-print") >= 15.9


def test_lines_of_words_are_not_long():
    """Common practice: a line of running words has 75 characters at most, on the pages before
    the lessons."""

    def lines(stem: str):
        command = [tool("pdftotext"), "-bbox-layout", "-f", "4", "-l", "6", str(built(stem)), "-"]
        run = subprocess.run(command, capture_output=True, text=True, check=True)
        for line in xml.etree.ElementTree.fromstring(run.stdout).iterfind(".//{*}line"):
            words = [word.text for word in line.iterfind("{*}word")]
            # Names of notes and figures are no running words.
            if sum(len(word) > 3 for word in words) >= 5:
                yield " ".join(words)

    for stem in EDITIONS:
        of_words = list(lines(stem))
        assert len(of_words) > 40
        assert max(map(len, of_words)) <= 75, (stem, max(of_words, key=len))


def test_every_item_has_a_picture():
    """SVG and PNG of every exercise and piece, as many as there are MusicXML files."""
    out = DEMO / "out"
    names = sorted(path.stem for path in (out / "musicxml").glob("*.musicxml"))
    assert len(names) > 20
    for ending in ("svg", "png"):
        assert sorted(path.stem for path in (out / "pictures").glob(f"*.{ending}")) == names
    for name in names:
        svg = xml.etree.ElementTree.parse(out / "pictures" / f"{name}.svg").getroot()
        assert svg.tag == "{http://www.w3.org/2000/svg}svg"
        assert svg.find("{http://www.w3.org/2000/svg}title").text
        png = (out / "pictures" / f"{name}.png").read_bytes()
        # PNG 1.2, 5.2 and 11.2.2: signature, then IHDR with width and height.
        assert png[:8] == b"\x89PNG\r\n\x1a\n"
        width, height = struct.unpack(">II", png[16:24])
        # Both have the proportions of the drawing, the PNG with a space of white around.
        w, h = float(svg.get("width")) / 8, float(svg.get("height")) / 8
        assert width / height == pytest.approx((w + 2) / (h + 2), rel=0.01)

"""The report: one page that stands alone, well formed, with nothing of the user's run as markup."""

import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest
from tests.support.rich_build import ODD, rich_build
from tests.support.small_builds import small_build

from swapwright.assess import Assessment, assess, assess_documents
from swapwright.dossier.report import report_html, report_page, write_report
from swapwright.dossier.terminal import assessment_text
from swapwright.library.demos import demos
from swapwright.model.documents import read_documents
from swapwright.model.faults import Faulty
from swapwright.model.words import Stage

AS_OF = date(2026, 9, 25)
# Elements without an end tag: HTML Living Standard, section 13.1.2 "Elements", void elements.
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source",
        "track", "wbr"}  # fmt: skip
# Content models: a paragraph holds phrasing content only (same standard, 4.4.1).
BLOCKS = {"p", "ul", "ol", "li", "div", "section", "article", "table", "details", "h1", "h2", "h3"}


@dataclass
class Page(HTMLParser):
    """What a page holds: its tags in order, and what is not balanced."""

    tags: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    text: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) < len(names):
            self.wrong.append(f"<{tag}> with an attribute twice: {names}")
        if tag in BLOCKS and "p" in self.open:
            self.wrong.append(f"<{tag}> within a paragraph")
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.wrong.append(f"</{tag}> at line {self.getpos()[0]}, open: {self.open[-3:]}")
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if not {"style", "script"} & set(self.open):
            self.text.append(data)

    @classmethod
    def of(cls, html: str) -> "Page":
        page = cls()
        page.feed(html)
        page.close()
        return page


def assessed(name: str) -> Assessment:
    if name in demos():
        files = [each for each in demos()[name].iterdir() if each.name.endswith(".yaml")]
        return assess_documents(read_documents((f.name, f.read_bytes()) for f in files), AS_OF)
    if name == "bare":
        return assess(small_build(), AS_OF)
    return assess(
        rich_build(Stage.FINISHED if name == "rich finished" else Stage.FIRST_START), AS_OF
    )


PAGES = ("rich", "rich finished", "bare", "van", "two-seater")


@pytest.fixture(scope="module")
def pages() -> dict[str, tuple[str, Page]]:
    made = {name: report_html(assessed(name)) for name in PAGES}
    return {name: (html, Page.of(html)) for name, html in made.items()}


@pytest.mark.parametrize("name", PAGES)
def test_every_tag_is_closed_in_its_order(name: str, pages: dict[str, tuple[str, Page]]) -> None:
    html, page = pages[name]
    assert html.startswith("<!doctype html>") or html.lstrip().startswith("<!doctype html>")
    assert page.wrong == [] and page.open == []


@pytest.mark.parametrize("name", PAGES)
def test_the_page_fetches_nothing(name: str, pages: dict[str, tuple[str, Page]]) -> None:
    html, page = pages[name]
    assert not {"link", "img", "iframe", "object", "embed", "base"} & {tag for tag, _ in page.tags}
    for tag, attributes in page.tags:
        assert "src" not in attributes and "srcset" not in attributes, tag
        assert (attributes.get("href") or "#").startswith("#"), tag
        assert not any(each.startswith("on") for each in attributes), tag
    assert not re.search(r"https?:|//[a-z]|@import|url\(", html.partition("<body>")[0])


@pytest.mark.parametrize("name", PAGES)
def test_headings_language_and_places_of_a_page(
    name: str, pages: dict[str, tuple[str, Page]]
) -> None:
    html, page = pages[name]
    counts = Counter(tag for tag, _ in page.tags)
    assert counts["h1"] == counts["main"] == 1 and counts["h2"] >= 8
    assert html.partition("</head>")[0].count("<title>") == 1
    assert dict(page.tags)["html"] == {"lang": "en"}
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("name", PAGES)
def test_links_lead_somewhere_and_ids_are_unique(
    name: str, pages: dict[str, tuple[str, Page]]
) -> None:
    _, page = pages[name]
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    links = [str(a["href"])[1:] for tag, a in page.tags if tag == "a"]
    assert len(links) >= 8 and set(links) <= set(ids)
    assert [each for each, count in Counter(ids).items() if count > 1] == []


def test_what_the_user_wrote_is_text_not_markup(pages: dict[str, tuple[str, Page]]) -> None:
    html, page = pages["rich"]
    assert "<script>alert" not in html and "&lt;script&gt;alert" in html
    assert [tag for tag, _ in page.tags].count("script") == 1
    assert "".join(page.text).count(ODD) >= 5  # and reads as it was written


def test_drawings_have_words_of_their_own(pages: dict[str, tuple[str, Page]]) -> None:
    _, page = pages["rich"]
    drawings = [a for tag, a in page.tags if tag == "svg"]
    assert all(a.get("role") == "img" or a.get("aria-hidden") == "true" for a in drawings)
    assert "joined, fitted" in "".join(page.text)


def test_every_crossing_has_its_row(pages: dict[str, tuple[str, Page]]) -> None:
    assessment = assessed("rich")
    ids = {a.get("id") for tag, a in pages["rich"][1].tags if tag == "div"}
    assert {f"row-{row.id}" for row in assessment.crossings} <= ids


def test_every_finding_but_later_questions_stands_on_the_page(
    pages: dict[str, tuple[str, Page]],
) -> None:
    for name in ("rich", "van"):
        text = "".join(pages[name][1].text)
        for finding in assessed(name).findings:
            if finding.accepted is None and not finding.quiet:
                assert re.search(rf"{re.escape(finding.id)}(?![\w.-])", text), finding.id


def test_questions_for_later_are_counted_as_the_terminal_counts_them(
    pages: dict[str, tuple[str, Page]],
) -> None:
    for name in ("rich", "van"):
        told = re.search(r"Questions for later gates: (\d+)", "".join(pages[name][1].text))
        quiet = sum(each.quiet for each in assessed(name).findings)
        assert told is not None and int(told[1]) == quiet > 0
        assert f"{quiet} questions wait" in assessment_text(assessed(name))


def test_sections_say_so_when_there_is_nothing(pages: dict[str, tuple[str, Page]]) -> None:
    text = "".join(pages["bare"][1].text)
    for words in ("None is recorded.", "Nothing stands out.", "No parts are chosen yet."):
        assert words in text
    assert "calls the car safe or legal" in text and "licensed practice come first" in text


def test_what_to_buy_is_counted_and_summed() -> None:
    page = report_page(assessed("rich"))
    bought = {each.what: (each.count, str(each.price)) for each in page.shopping.purchases}
    assert bought["pump"] == (1, "30.00 EUR") or bought["pump"] == (1, "30 EUR")
    hose = next(held for what, held in bought.items() if what.startswith("coolant hose"))
    assert hose[0] == 1  # the bottom hose; the top one is fitted and the line is in hand
    assert len(page.shopping.totals) == 1 and page.shopping.totals[0].amount == 30 + 12.5
    assert page.shopping.unpriced == sum(each.price is None for each in page.shopping.purchases)


def test_parked_ends_are_told_while_they_are_parked() -> None:
    ports = {"tach": {"family": "tach"}}
    build = {
        "fates": [{"port": "motor.tach", "fate": "parked"}],
        "joins": {"wire": {"ends": ["car.tach", "motor.tach"], "from": "finished"}},
    }
    told = {
        stage: report_page(
            assess(small_build(ports, ports, build=build, stage=stage), AS_OF)
        ).parked
        for stage in Stage
    }
    assert [port for port, _, _ in told[Stage.FIRST_START]] == ["motor.tach"]
    assert told[Stage.FINISHED] == ()


def test_a_step_without_a_day_says_so(pages: dict[str, tuple[str, Page]]) -> None:
    text = " ".join("".join(pages["rich"][1].text).split())
    assert ", no day given:" in text and "planned unknown" not in text


def test_the_page_is_written_or_refused_in_words(tmp_path: Path) -> None:
    assessment = assess(small_build(), AS_OF)
    written = write_report(assessment, tmp_path / "page.html")
    assert written.read_text("utf-8") == report_html(assessment)
    with pytest.raises(Faulty, match="a file to write to"):
        write_report(assessment, tmp_path / "none" / "page.html")
    with pytest.raises(Faulty, match="a file to write to"):
        write_report(assessment, tmp_path)


@pytest.mark.parametrize("name", ["van", "two-seater", "bare"])
def test_text_on_the_page_reads_well(name: str, pages: dict[str, tuple[str, Page]]) -> None:
    for piece in pages[name][1].text:
        words = " ".join(piece.split())
        assert not re.search(r"\b([a-z]{2,}) \1\b(?!-)", words), words
        assert not re.search(r"\.\.(?!\.)|\?\.|;;| ,|\bNone\b(?! is)|\bobject at\b", words), words
        assert not re.search(r"(?<!\d )\ba (?=[aeio]\w)(?!one|once)", words), words

"""Any sheet on a terminal, as a page and as pictures: small invented sheets, some hostile."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from jinja2 import UndefinedError
from msgspec.structs import replace

from suitability.answers.moves_charts import past_years_chart
from suitability.answers.sheet import (
    Cell,
    Column,
    Fact,
    Facts,
    Level,
    Mark,
    On,
    Section,
    Sheet,
    Text,
    build_table,
)
from suitability.output.drawing import KINDS, kind_of
from suitability.output.figures import sheet_figures
from suitability.output.page import Layout, page_environment, render_page
from suitability.output.terminal import render_terminal

from . import moves_examples
from .drawn import Page, opened

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

    from suitability.answers.sheet import Block

HOSTILE = (
    "<script>alert(1)</script>",
    "</script><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)',
    "' autofocus onfocus='alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "</style><style>*{display:none}",
    "]]><!--",
    "[bold]loud[/bold]",
    "&lt;b&gt; &amp;",
    "${7*7} `x` \\u003cb\\u003e",
)


def a_sheet(*sections: Section, text: str = "plain", **changes: Any) -> Sheet:
    """A sheet in which every text of its head is the same one."""
    made = Sheet(
        title=text,
        headline=text,
        about=Facts(rows=(Fact(text, text), Fact("", text))),
        sections=sections,
        closing=(text,),
        credit=text,
        invented=text,
    )
    return replace(made, **changes)


def a_section(*blocks: Block, name: str = "part", title: str = "A part", **more: Any) -> Section:
    return Section(name=name, title=title, blocks=blocks, **more)


def every_block(text: str) -> list[Block]:
    """One block of each kind, every text of it the same."""
    columns: list[Column[str]] = [
        Column.of(text, lambda row: Cell(row, mark=Mark.ALL_YEAR)),
        Column.of(text, lambda row: row, number=True, wraps=True),
    ]
    chart = past_years_chart(moves_examples.moving(), "drawn", text)
    year = replace(chart.spec.years[0], label=text, told=text)  # type: ignore[attr-defined]  # of its kind
    spec = replace(
        chart.spec,
        years=(year,),
        finding=text,
        one_night=text,
        title_across=text,
        own_dates=(text, text),
        causes=tuple((letter, text) for letter in "hwdt?"),
        days=tuple(replace(day, text=text) for day in chart.spec.days),  # type: ignore[attr-defined]  # of its kind
    )
    return [
        build_table("table", columns, [text], title=text, notes=(text,)),
        build_table("folded", columns, [text], title=text, folded=True, stacked=False),
        Facts(title=text, rows=(Fact(text, text, short=text),)),
        Text(sentences=(text, text), mark=Mark.STRONG),
        replace(chart, spec=spec, notes=(text,)),
    ]


def whole(text: str) -> Sheet:
    """Every kind of block in two parts that a page folds."""
    parts = tuple(
        a_section(*blocks, name=f"part-{number}", title=text, label=text, folded=True)
        for number, blocks in enumerate((every_block(text)[:4], every_block(text)[4:]))
    )
    return a_sheet(
        a_section(name="all", title=text, parts=parts),
        a_section(Text(sentences=(text,)), name="more", title=text),
        text=text,
    )


# Terminal ----------------------------------------------------------------------------------------


def test_order_on_a_terminal() -> None:
    """The answer, warning, sections, place and record, closing, warning."""
    sheet = a_sheet(
        a_section(Text(sentences=("of the part",)), parts=(a_section(title="Inner", name="in"),)),
        headline="The answer.",
        about=Facts(rows=(Fact("Place", "here"),)),
        closing=("First.", "Last."),
        invented="Made up.",
    )
    assert render_terminal(sheet, width=60, colour=False).splitlines() == [
        "The answer.", "Made up.", "", "A part", "of the part", "", "Inner",
        "Place  here", "", "First.", "Last.", "Made up.",
    ]  # fmt: skip


def test_detail_is_shown_to_those_who_ask() -> None:
    """With all that lies within it."""
    within = a_section(Text(sentences=("deeper",)), name="within")
    sheet = a_sheet(a_section(level=Level.DETAIL, title="More", parts=(within,)))
    assert "deeper" in render_terminal(sheet, width=60, colour=False)
    brief = render_terminal(sheet, width=60, colour=False, details=False)
    assert "More" not in brief
    assert "deeper" not in brief


def test_what_stands_on_one_surface_alone() -> None:
    """Sections, blocks and columns."""

    def told(where: On) -> Callable[[str], str]:
        return lambda row: f"{row} {where.value}"

    columns: list[Column[str]] = [
        Column.of(f"head {where.value}", told(where), on=where) for where in On
    ]
    sheet = a_sheet(
        a_section(build_table("t", columns, ["cell"])),
        *(a_section(title=f"section {where.value}", name=where.value, on=where) for where in On),
        a_section(*(Text(sentences=(f"block {where.value}",), on=where) for where in On)),
    )
    terminal, page = render_terminal(sheet, width=99, colour=False), Page(render_page(sheet)).text
    for what in ("head", "cell", "section", "block"):
        assert f"{what} all" in terminal
        assert f"{what} all" in page
        assert f"{what} terminal" in terminal
        assert f"{what} terminal" not in page
        assert f"{what} page" not in terminal
        assert f"{what} page" in page


def test_tables_on_a_terminal_show_what_there_is_room_for() -> None:
    """Short and long forms, repeated names, wide columns, gaps and cuts."""
    columns: list[Column[tuple[str, str]]] = [
        Column.of(
            "Name", lambda row: Cell(f"long {row[0]}", short=row[0]), repeats=True, long_from=90
        ),
        Column.of("Second title", lambda row: row[1], short="Second\ntitle", number=True),
        Column.of("Wide", lambda _: "w", from_width=85),
        Column.of("Cut", lambda _: "0123456789", widest=6),
    ]
    rows = [("a", "1"), ("a", "22"), ("b", "3")]
    table = build_table("t", columns, rows, title="Title", notes=("Note.",), dense_below=90)

    def shown(width: int) -> list[str]:
        return render_terminal(
            a_sheet(a_section(table, title="")), width=width, colour=False
        ).splitlines()[3:-6]

    assert shown(60) == [
        "Title",
        "     Second",
        "Name  title Cut",
        "------------------",
        "a         1 01234…",
        "         22 01234…",
        "b         3 01234…",
        "Note.",
    ]
    assert shown(80) == shown(60)
    assert shown(85)[2] == "Name  title Wide Cut"
    assert shown(90)[4] == "long a       1  w     01234567…"


def test_words_break_at_blanks_and_hyphens_and_within_only_at_last() -> None:
    """Where columns give way: a word stays whole as long as any column has room to give."""
    words = ("outdoor-all-year", "closed-greenhouse far", "provisional and more", "x -5.0")
    cells = [Column.of(word, lambda _, word=word: word, wraps=True) for word in words]  # type: ignore[misc]

    def shown(*columns: Column[str]) -> list[str]:
        table = build_table("t", columns, [""], title="")
        sheet = a_sheet(a_section(table, title=""))
        return render_terminal(sheet, width=80, colour=False).splitlines()[3:-6]

    def pieces(lines: list[str]) -> list[str]:
        return [piece for line in lines for piece in line.split()]

    told = shown(*cells, *cells)
    for whole in ("outdoor-", "all-year", "closed-", "greenhouse", "provisional", "-5.0"):
        assert pieces(told).count(whole) == 4, whole  # twice in the head, twice below
    assert "outdoor-all-year" not in pieces(told)
    assert max(map(len, told)) <= 80
    crowded = shown(*cells, *cells, *cells, *cells)
    assert "provisional" not in pieces(crowded)
    assert max(map(len, crowded)) <= 80
    roomy = shown(*cells)
    assert pieces(roomy).count("outdoor-all-year") == 2


def test_what_a_narrow_terminal_has_no_room_for_stands_below() -> None:
    """Texts under their rows with their heads; numbers in a second table with the same first."""
    name: Column[str] = Column.of("Name", lambda _: "x" * 30)
    why: Column[str] = Column.of("Why", lambda _: "w" * 30)
    late: Column[str] = Column.of("So", lambda row: row, short="So\nlate")

    def number(at: int) -> Column[str]:
        return Column.of(f"{at}", lambda _: f"{at}" * 4, number=True)

    numbers = [number(at) for at in range(1, 9)]

    def shown(*columns: Column[str], width: int, rows: tuple[str, ...] = ("b", "")) -> list[str]:
        table = build_table("t", columns, rows, title="Title")
        sheet = a_sheet(a_section(table, title=""))
        return render_terminal(sheet, width=width, colour=False).splitlines()[3:-6]

    assert shown(name, why, late, width=60)[3:] == [
        *("x" * 30, f"  Why: {'w' * 30}; So late: b"),
        *("x" * 30, f"  Why: {'w' * 30}"),
    ]
    assert shown(name, *numbers, width=60, rows=("",)) == [
        *("Title", "Name                               1     2     3     4"),
        *("-" * 54, "x" * 30 + "  1111  2222  3333  4444", ""),
        *("Name                               5     6     7     8",),
        *("-" * 54, "x" * 30 + "  5555  6666  7777  8888"),
    ]
    assert shown(name, *numbers, width=80, rows=("",))[3].endswith("7777  8888")


def test_marks_are_colours_on_a_terminal_that_has_them() -> None:
    """And nothing else: the words are the same."""
    columns: list[Column[Mark]] = [
        Column.of("Verdict", lambda mark: Cell(mark.name.lower(), mark=mark))
    ]
    sheet = a_sheet(a_section(build_table("t", columns, list(Mark))))
    coloured = render_terminal(sheet, width=60, colour=True)
    codes = {re.search(r"((?:\x1b\[[\d;]+m)*)" + mark.name.lower(), coloured)[1] for mark in Mark}  # type: ignore[index]  # found
    assert len(codes) == len(Mark)
    plain = re.sub(r"\x1b\[[\d;]*m", "", coloured)
    expected = render_terminal(sheet, width=60, colour=False)
    assert [line.rstrip() for line in plain.splitlines()] == expected.splitlines()


@pytest.mark.parametrize("text", HOSTILE)
def test_no_markup_is_read_on_a_terminal(text: str) -> None:
    """Square brackets and all else are printed as they are."""
    printed = render_terminal(whole(text), width=200, colour=False)
    assert printed.count(text) > 8
    assert "\x1b" not in printed


# Page --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text_on_a_page(text: str) -> None:
    """In text, attributes, lists, data and labels: the same elements, and every text is read."""
    plain, page = Page(render_page(whole("plain"))), Page(render_page(whole(text)))
    ours = [(tag, sorted(attrs)) for tag, attrs in page.elements if tag != "code"]
    assert ours == [(tag, sorted(attrs)) for tag, attrs in plain.elements]
    assert len(page.scripts) == len(plain.scripts) == 3
    assert page.scripts[1:] == plain.scripts[1:]
    assert page.styles == plain.styles
    read, said = (" ".join(one.replace("`", "").split()) for one in (page.text, text))
    assert read.count(said) >= plain.text.count("plain") > 20
    labels = [attrs["aria-label"] or "" for _, attrs in page.elements if "aria-label" in attrs]
    assert sum(text in label for label in labels) == 3
    (chart,) = opened(page.data["charts"], page.data["parts"])
    harmless = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    assert {trace["name"] for trace in chart["data"]["traces"]} == {harmless}
    assert chart["data"]["years"][0]["told"] == harmless  # the script puts it into a hover text


def test_what_is_to_be_typed_is_code_on_a_page() -> None:
    """Wherever a text is read, and nothing else in it is markup; not in labels and the title."""
    page = render_page(whole("try `a --b <c>` first"))
    assert page.count("try <code>a <span>--b</span> &lt;c&gt;</code> first") > 20
    for attribute in re.findall(r'="[^"]*', page):
        assert "<code>" not in attribute
    assert "<title>try `a --b &lt;c&gt;` first</title>" in page
    assert [word for word in Page(page).words if "`" in word] == ["try `a --b <c>` first"]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_adds_no_markup_to_pictures(text: str) -> None:
    """Plotly reads markup in titles, credits and labels below the rows."""
    (named,) = sheet_figures(whole(text))
    layout = named.figure["layout"]
    told = [note["text"] for note in layout["annotations"]]
    told += [*layout["yaxis"]["ticktext"], layout["xaxis"]["title"]["text"]]
    told += [trace["name"] for trace in named.figure["data"]]
    for shown in (layout["title"]["text"], layout["title"]["subtitle"]["text"], *told):
        assert "<" not in shown.replace("<br>", "")


def test_a_name_that_nobody_gave_is_an_error() -> None:
    """No template prints an empty place for it."""
    with pytest.raises(UndefinedError):
        page_environment().from_string("{{ nobody }}").render()
    with pytest.raises(UndefinedError):
        page_environment().from_string("{{ sheet.nothing }}").render(sheet=a_sheet())
    with pytest.raises(UndefinedError):
        page_environment().get_template("page.html").render(sheet=a_sheet())


def test_headings_go_down_one_level_at_a_time() -> None:
    """One of the first; sections without a title add none."""
    inner = a_section(
        Facts(title="Facts", rows=()), name="inner", parts=(a_section(name="deep", title="Deep"),)
    )
    sheet = a_sheet(
        a_section(name="a", title="A", parts=(inner,)),
        a_section(name="b", title="", parts=(a_section(name="c", title="C"),)),
    )
    page = Page(render_page(sheet))
    levels = [tag for tag in page.tags() if re.fullmatch(r"h\d", tag)]
    assert levels == ["h1", "h2", "h3", "h4", "h4", "h2"]


def test_a_page_without_charts_has_no_script() -> None:
    """And its policy allows none."""
    page = render_page(a_sheet(a_section(Text(sentences=("a",)))))
    assert "<script" not in page
    assert "noscript" not in page
    assert "script-src &#39;none&#39;" in page


def test_contents_list_what_has_a_title() -> None:
    """By its short name; one section needs no list."""
    named = a_section(name="one", title="A long title", label="Short")
    page = Page(render_page(a_sheet(named, a_section(name="two", title="Two"))))
    links = [attrs["href"] for tag, attrs in page.elements if tag == "a"]
    assert links == ["#answer", "#one", "#two"]
    assert "Short" in page.text
    assert "nav" not in Page(render_page(a_sheet(named))).tags()


def test_a_key_that_all_charts_share_stands_once() -> None:
    """Above them; where keys differ, each chart has its own."""
    one = past_years_chart(moves_examples.moving(), "one", "One.")
    two = past_years_chart(moves_examples.staying(), "two", "Two.")

    def keys(*charts: Any) -> int:
        parts = tuple(a_section(chart, name=f"of-{chart.name}") for chart in charts)
        return render_page(a_sheet(a_section(parts=parts, title="All"))).count('<ul class="key">')

    assert keys(one, two) == 1
    assert keys(one, replace(two, key=two.key[:3])) == 2
    assert keys(one) == 1


def test_every_kind_draws_in_plain_values_and_has_its_files() -> None:
    """What a page holds is JSON; its script is known by the kind's name."""
    from suitability.output.embedding import asset

    chart = past_years_chart(moves_examples.moving(), "one", "One.")
    assert kind_of(chart.spec).spec is type(chart.spec)
    assert len({kind.name for kind in KINDS.values()}) == len(KINDS)
    for kind in KINDS.values():
        if kind.script:
            assert f'chartKinds["{kind.name}"]' in asset(kind.script)
        if kind.style:
            assert set(re.findall(r"@([\w-]+)@", asset(kind.style))) <= set(kind.colours)


@pytest.mark.parametrize("packed", [False, True])
def test_a_packed_page_draws_the_same(packed: bool, open_page: Callable[..., Chrome]) -> None:  # noqa: FBT001
    """The data may travel compressed as the script does; the policy allows only its own."""
    from selenium.webdriver.support.ui import WebDriverWait

    page = render_page(whole("plain"), Layout(packed=packed))
    assert ('application/zlib" id="figures"' in page) is packed
    browser = open_page(page, height=4000)
    browser.execute_script("location.hash = '#part-1'")
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script("return document.querySelector('#drawn .main-svg')")
    )
    assert not browser.execute_script("return document.querySelector('#part-0').open")
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]

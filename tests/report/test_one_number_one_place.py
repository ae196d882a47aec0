"""Every number on a page has a name, and one quantity has one value wherever it stands: pages, tables, cards, workbooks."""

import re
import shutil
from pathlib import Path

import pandas as pd
import pytest

from maintkit import open_quarter, quarterly_review, what_to_mend, write_review
from maintkit.report.sheets import write_csv
from tests.first_contact.thin import books
from tests.report.one_number import DATA, two_values, unnamed

NAMES = {  # columns that name things
    "desks": ("desk",),
    "positions": ("position", "bay", "zone"),
    "modules": ("serial", "module_type", "board_era"),
    "part_types": ("part_type",),
    "tickets": ("ticket", "symptom"),
    "repairs": ("part_type",),
}


@pytest.fixture(scope="module", params=["demo", "thin book"])
def review(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("review") / "review"
    if request.param == "demo":
        made = request.getfixturevalue("demo_review")
        shutil.copytree(request.getfixturevalue("demo_folder"), folder)
        mending = request.getfixturevalue("demo_mending")
    else:
        made = quarterly_review(open_quarter(thin_book(tmp_path_factory.mktemp("thin")), "2026Q3"))
        write_review(made, folder)
        mending = what_to_mend(made.quarter)
    # asked for beside the review
    write_csv(folder / "tables" / "what-to-mend.csv", mending.table)
    return made, folder


def thin_book(folder):
    return books.write(
        folder,
        desks=books.desks(),
        tickets=books.tickets(outcome="fault found"),
        repairs=books.repairs(books.tickets()),
    )


@pytest.fixture
def demo(review, request):
    if "demo" not in request.node.callspec.id:
        pytest.skip("what is planted stands in the demo's review")
    return review


def words_of(quarter) -> set[str]:
    """The names in the records: slots, serials, parts, complaints, and slots with their desk."""
    named = {
        str(value)
        for table, columns in NAMES.items()
        for column in columns
        for value in quarter.table(table)[column].dropna().unique()
        if column not in ("position", "bay")
    }
    slots = quarter.table("tickets")[["desk", "position"]].drop_duplicates().dropna()
    places = pd.concat([slots, quarter.slots[["desk", "position"]].dropna()])
    bays = {
        f"{word} {bay}"
        for bay in quarter.table("positions")["bay"].dropna().unique()
        for word in ("bay", "bays")
    }
    slots = {f"{row.desk} {row.position}" for row in places.itertuples()}
    return named | slots | bays | {Path(quarter.records.source).name}


@pytest.mark.parametrize("page", ["report.html", "evidence.html"])
def test_no_number_in_the_words_of_a_page_is_without_a_name(review, page):
    made, folder = review
    text = (folder / page).read_text(encoding="utf-8")
    assert unnamed(text, words_of(made.quarter), cells=page == "report.html") == []


def test_no_quantity_has_two_values(review):
    made, folder = review
    quarter = made.quarter
    assert two_values(folder, quarter.label, quarter.next_label) == []


def changed(folder: Path, target: Path, file: str, change) -> Path:
    """A copy of the review in which one file was changed."""
    shutil.copytree(folder, target)
    path = target / file
    if path.suffix == ".csv":
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
        change(frame)
        frame.to_csv(path, index=False)
    else:
        path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    return target


def set_cell(column, value, **where):
    def change(frame):
        own = pd.Series(True, index=frame.index)
        for name, wanted in where.items():
            own &= frame[name] == wanted
        assert own.any()
        frame.loc[own, column] = value

    return change


PLANTED = {
    "parts to order for the plan": (
        "tables/order-parts.csv",
        set_cell("planned", "508", part_type="electrolytic 10u coupling monitor"),
        "parts the plan takes electrolytic 10u coupling monitor",
    ),
    "all work against siblings": (
        "tables/held-against-siblings.csv",
        set_cell("ratio", "1.24", group="all work", days="30"),
        "faults after all work against siblings all work 30",
    ),
    "faults of a desk": (
        "tables/what-happened.csv",
        set_cell("faults", "17", desk="Heron"),
        "faults of a desk in the quarter Heron",
    ),
    "replacements of unknown cause": (
        "tables/sound-records.csv",
        set_cell("count", "297", what="parts replaced on a fault whose cause is said to be unknown"),
        "replacements of unknown cause",
    ),
    "spares counted twice": (
        "tables/last-of-them.csv",
        set_cell("in_donors", "23", part_type="gain-control ic"),
        "held by donors gain-control ic",
    ),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_second_value_is_found(demo, tmp_path, name):
    made, folder = demo
    file, change, said = PLANTED[name]
    wrong = two_values(
        changed(folder, tmp_path / "r", file, change), made.quarter.label, made.quarter.next_label
    )
    assert any(line.startswith(said) for line in wrong), wrong


def test_a_second_value_on_a_page_is_found(demo, tmp_path):
    made, folder = demo

    def change(page):
        of = next(at for at in DATA.finditer(page) if at.group(2) == "what_happened.faults")
        return page.replace(of.group(0), of.group(0).replace(f'value="{of.group(1)}"', 'value="999"'), 1)

    wrong = two_values(
        changed(folder, tmp_path / "r", "report.html", change), made.quarter.label, made.quarter.next_label
    )
    assert any(line.startswith("what_happened.faults: ") for line in wrong)


@pytest.mark.parametrize("bare", ["17 faults", "1.15 times", "297 of the repairs", "€2,650"])
@pytest.mark.parametrize(
    "page, place", [("report.html", '<p class="lead">'), ("evidence.html", '<ul class="caveats"><li>')]
)
def test_a_bare_number_is_found(demo, bare, page, place):
    made, folder = demo
    text = (folder / page).read_text(encoding="utf-8")
    assert place in text
    planted = text.replace(place, f"{place}{bare}. ", 1)
    number = re.search(r"[\d.,]*\d", bare).group()
    told = unnamed(planted, words_of(made.quarter), cells=page == "report.html")
    assert any(number in found for found in told)


def test_no_module_is_swap_spare_and_to_strip(review):
    """What the plan makes ready or pulls is not stripped, and what is kept whole is not let go."""
    made, folder = review
    shelf = folder / "tables" / "keep-or-strip.csv"
    decided = (
        pd.read_csv(shelf, dtype=str) if shelf.exists() else pd.DataFrame({"serial": [], "decision": []})
    )
    gone = set(decided.loc[decided["decision"].str.contains("strip|let go|release", na=False), "serial"])
    plan = made.findings["pull-next"].facts
    wanted = {serial for batch in plan.batches for serial in batch.serials} | {
        one.serial for one in plan.first
    }
    assert not gone & wanted
    assert decided["serial"].is_unique

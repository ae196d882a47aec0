"""The usual dirt, planted in known places: rows an intake must turn away, and contradictions it must keep and list."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True)
class BadRow:
    """A row that must be turned away: a copy of a good one (``like``, by key) with one cell that breaks a rule."""

    table: str
    like: int
    key: dict
    column: str
    found: str


BAD_ROWS = (
    BadRow("tickets", 301, {}, "ticket", "T0301"),
    BadRow("tickets", 520, {"ticket": "T9002"}, "raised_on", "2021-02-31"),
    BadRow("tickets", 780, {"ticket": "T9003"}, "raised_on", "2062-03-04"),
    BadRow("tickets", 905, {"ticket": "T9004"}, "desk", "Herron"),
    BadRow("tickets", 1100, {"ticket": "T9005"}, "impact", "sesion stopped"),
    BadRow("repairs", 610, {"repair": "R9001"}, "done_on", "2019-02-31"),
    BadRow("repairs", 745, {"repair": "R9002"}, "quantity", "-2"),
    BadRow("repairs", 980, {"repair": "R9003"}, "action", "swaped"),
    BadRow("repairs", 1203, {"repair": "R9004", "desk": "Heron", "ticket": ""}, "serial", ""),
    BadRow("fitments", 700, {"fitted_on": "2019-11-20"}, "removed_on", "2018-11-25"),
    BadRow("readings", 400, {"measured_on": "2018-02-30"}, "measured_on", "2018-02-30"),
    BadRow("readings", 812, {"ref": "C177"}, "value", "9,8"),
)
EARLY_TICKET, LATE_WORK, STRANGE_WORK = "T9006", "R9005", "R9006"
UNKNOWN_SERIAL = "LMO-999"


def soil(book: dict[str, list[dict]]):
    """Put the dirt into a clean record book, in place."""
    contradict_dates(book)
    contradict_counts(book)
    contradict_fitments(book)
    pad_keys(book)
    for bad in sorted(BAD_ROWS, key=lambda bad: -bad.like):
        rows = book[bad.table]
        rows.insert(bad.like + 1, {**rows[bad.like], **bad.key, bad.column: bad.found})


def first_row(rows: list[dict], after: int, **wanted) -> dict:
    """The first row from a place on whose cells are as wanted (True: filled in)."""
    return next(
        row
        for row in rows[after:]
        if all(bool(row[name]) if value is True else row[name] == value for name, value in wanted.items())
    )


def contradict_dates(book: dict):
    """Work before its ticket, a ticket closed before it was raised, a ticket from before the records."""
    repair = first_row(book["repairs"], 900, action="replace", ticket=True, serial=True, planned="no")
    ticket = first_row(book["tickets"], 0, ticket=repair["ticket"])
    repair["done_on"] = shifted(ticket["raised_on"], -4)
    closed = first_row(book["tickets"], 640, outcome="no fault found", closed_on=True)
    closed["closed_on"] = shifted(closed["raised_on"], -10)
    early = first_row(book["tickets"], 0, desk="Curlew", outcome="no fault found")
    book["tickets"].insert(
        0,
        {
            **early,
            "ticket": EARLY_TICKET,
            "raised_on": "2014-08-20",
            "restored_on": "2014-08-20",
            "closed_on": "2014-08-21",
        },
    )


def contradict_counts(book: dict):
    """More faders than a module has, work on a scrapped module, work on a serial nobody knows, units mixed up."""
    first_row(book["repairs"], 500, part_type="fader", planned="no")["quantity"] = "3"
    scrap = first_row(book["repairs"], 0, action="scrap")
    test = first_row(book["repairs"], 700, action="test")
    late = {
        **test,
        "repair": LATE_WORK,
        "serial": scrap["serial"],
        "ticket": "",
        "done_on": shifted(scrap["done_on"], 200),
    }
    strange = {**test, "repair": STRANGE_WORK, "serial": UNKNOWN_SERIAL, "ticket": ""}
    book["repairs"] += [late, strange]
    off_by_thousand = first_row(book["readings"], 200, measure="capacitance")
    off_by_thousand["value"] = f"{float(off_by_thousand['value']) * 1000:g}"
    first_row(book["readings"], 600, measure="capacitance")["unit"] = "nF"


def contradict_fitments(book: dict):
    """A module of a type put down as fitted where another one sat the whole time."""
    stranger = next(
        row["serial"]
        for row in book["modules"]
        if row["origin"] == "donor"
        and not row["made_on"]
        and row["module_type"] == "monitor path"
        and int(row["serial"][4:]) > 92
    )
    book["fitments"].append(
        {
            "serial": stranger,
            "desk": "Heron",
            "position": "11",
            "fitted_on": "2015-05-04",
            "removed_on": "2015-05-22",
        }
    )


def pad_keys(book: dict):
    """Blanks around keys, which trimming takes off again."""
    for place in (101, 402, 803):
        book["tickets"][place]["desk"] = " " + book["tickets"][place]["desk"]
        row = first_row(book["repairs"], place, serial=True)
        row["serial"] += "  "
    book["modules"][7]["serial"] += " "


def shifted(day: str, days: int) -> str:
    """An ISO day moved by some days."""
    return str(date.fromisoformat(day) + timedelta(days=days))

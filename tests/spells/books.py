"""A small record book to begin from: one desk, on day and night, one module, forty capacitors and two switches."""

from datetime import date

from maintkit.spells import gather_evidence
from tests.conftest import small_facility

YEAR = 365 * 24
LEAP_YEAR = 366 * 24  # 2020
RECORD_END = date(2022, 12, 31)
ENTRY, END = YEAR, YEAR + LEAP_YEAR + 2 * YEAR  # module clock on 2020-01-01 and at the end of 2022


def book(**changed):
    """The book as tables of rows; a table given replaces the book's own."""
    tables = {
        "desks": [{"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2020-01-01"}],
        "positions": [{"desk": "Tern", "position": slot, "zone": "edge"} for slot in ("1", "2", "3")],
        "modules": [{"serial": "M1", "family": "f", "module_type": "channel", "made_on": "2019-01-01"}],
        "fitments": [{"serial": "M1", "desk": "Tern", "position": "1", "fitted_on": "2019-01-01"}],
        "part_types": [
            {"part_type": "cap", "kind": "electrolytic"},
            {"part_type": "switch", "kind": "switch"},
        ],
        "parts_list": [
            {"family": "f", "module_type": "channel", "part_type": "cap", "quantity": 40},
            {"family": "f", "module_type": "channel", "part_type": "switch", "quantity": 2},
        ],
    }
    return small_facility(**(tables | changed))


def replaced(repair, done_on, part_type="cap", **changed):
    """A repair that replaces one part whose failure is confirmed."""
    return {
        "repair": repair,
        "done_on": done_on,
        "serial": "M1",
        "action": "replace",
        "part_type": part_type,
        "cause": "confirmed",
        "as_found": "failed",
        "planned": "no",
    } | changed


def heard(ticket, raised_on, position="1", **changed):
    """A ticket about a slot of the desk, in which a fault was found."""
    return {
        "ticket": ticket,
        "raised_on": raised_on,
        "desk": "Tern",
        "position": position,
        "outcome": "fault found",
    } | changed


def rows(frame, *columns):
    """The columns of a frame as a list of tuples, dates as ISO text."""
    shown = frame[list(columns)].copy()
    for name in shown.select_dtypes("datetime"):
        shown[name] = shown[name].dt.strftime("%Y-%m-%d").astype(object).where(shown[name].notna(), None)
    return list(shown.itertuples(index=False, name=None))


def gathered(tickets=(), repairs=(), cause_rule="usual", return_days=30, **tables):
    """The evidence of the book with these tickets and repairs, up to the end of the records."""
    return gather_evidence(
        book(tickets=list(tickets), repairs=list(repairs), **tables),
        record_end=RECORD_END,
        cause_rule=cause_rule,
        return_days=return_days,
    )


def caps(evidence, *columns):
    """The columns of the spells of the capacitors."""
    spells = evidence.part_spells
    return rows(spells[spells["part_type"] == "cap"], *columns)

"""A book in which two reports of three are never settled: what came is laid beside the forecast with what these may prove."""

from datetime import date, timedelta

import pytest

from maintkit import open_quarter
from maintkit.questions import model_fit, past_forecasts
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books

QUARTERS = [f"{year}-{month:02}" for year in (2024, 2025, 2026) for month in (1, 4, 7, 10)][:11]
SLOTS = 24


@pytest.fixture(scope="module")
def quarter(tmp_path_factory):
    tickets = []
    for number, month in enumerate(QUARTERS):
        for at in range(18):
            day, slot = (
                date.fromisoformat(f"{month}-02") + timedelta(5 * at),
                1 + (7 * number + 5 * at) % SLOTS,
            )
            row = dict(ticket=f"T{number}-{at}", raised_on=str(day), desk="Alder", position=str(slot))
            outcome = "" if at % 3 else "fault found"
            tickets.append(row | dict(symptom=f"complaint {number} {at}", outcome=outcome))
    desks = [dict(desk="Alder", family="m", records_from="2024-01-01")]
    positions = [dict(desk="Alder", position=str(slot)) for slot in range(1, SLOTS + 1)]
    folder = tmp_path_factory.mktemp("unsettled") / "book"
    return open_quarter(books.write(folder, desks=desks, positions=positions, tickets=tickets), "2026Q3")


def test_reports_never_settled_count_in_what_came_as_they_do_in_the_forecast(quarter):
    found = past_forecasts.facts(quarter)
    assert found.totals["faults"].tolist() == [6] * 6
    assert found.with_open == pytest.approx(6 * 18, rel=0.05)
    assert found.low < found.with_open < found.high
    came = found.totals["faults"] + found.totals["open_expected_faults"]
    assert found.with_open == pytest.approx(came.sum())
    within = (found.totals["faults_low"] <= came) & (came <= found.totals["faults_high"])
    assert found.totals["within"].tolist() == within.tolist()
    # the 36 alone would be fewer than the limits allow
    assert found.faults < found.chance_low and found.verdict != "fewer came"
    assert (found.is_outside, found.off, found.within) == (False, (), 6)
    said = plain_text(told("forecast_and_fact", found)["title"])
    assert f"36 came, about {found.with_open:.0f} with what reports still open may prove: " in said


def test_what_was_seen_of_a_desk_and_a_quarter_is_what_is_counted(quarter):
    table = model_fit.facts(quarter).table.set_index(["by", "group"])
    assert table.loc[("desk", "Alder"), "seen"] == 6 * len(QUARTERS)
    assert set(table.loc["quarter", "seen"]) == {6}
    assert not table["beyond"].any()

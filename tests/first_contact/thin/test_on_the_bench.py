"""What waits at the bench: modules that came out of a slot or are said to lie there, and none that sits in its slot with a report open."""

import pytest

from maintkit import open_quarter
from maintkit.quarter.resources import bench_queue, still_open
from maintkit.quarter.rows import records
from maintkit.questions import bench_now, what_is_it
from maintkit.questions.plan import Waiting
from maintkit.report.report_page import OnTheBench
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books

# M03, of which the last report tells, was swapped for M20; M16 is said to lie on the bench, M17 in the store
STORED = {"M16": "bench", "M17": "bench 2 cupboard, tested on the bench", "M03": ""}


@pytest.fixture(scope="module")
def quarter(tmp_path_factory):
    tickets = books.tickets()
    work = books.repairs(tickets)[:-2]  # the reports of Alder 5 and Alder 3 in September are open
    more = dict(repair="R40", done_on="2026-09-20", serial="M16", action="replace", planned="no")
    modules = [
        dict(serial=f"M{slot:02}", family="m", module_type="input", desk="Alder", position=slot, lies="")
        for slot in range(1, 13)
    ]
    modules[2] |= dict(serial="M20")
    modules += [
        dict(serial=serial, family="m", module_type="input", desk="", position="", lies=lies)
        for serial, lies in STORED.items()
    ]
    fitments = [dict(serial="M20", desk="Alder", position=3, fitted_on="2026-09-26", old_serial="M03")]
    folder = books.write(
        tmp_path_factory.mktemp("bench") / "book",
        desks=books.desks(family="m"),
        tickets=tickets,
        repairs=[{"serial": "", **row} for row in work] + [dict.fromkeys(work[0], "") | more],
        modules=modules,
        fitments=fitments,
    )
    return open_quarter(folder, "2026Q3")


def test_a_report_of_a_module_in_its_slot_is_no_module_at_the_bench(quarter):
    queue = bench_queue(quarter).set_index("serial")
    assert queue["at_bench"].to_dict() == {"M05": False, "M16": True, "M03": True}
    assert (queue["bench_minutes"] > 0).all()  # they all take hours
    assert what_is_it.facts(quarter, "Alder", "7", "crackle").queue == 2


def test_the_bench_and_the_page_tell_the_two_apart(quarter):
    assert [(one.what, one.serials) for one in bench_now.facts(quarter).waiting] == [
        ("bench time", ("M16", "M03"))
    ]
    waiting = records(Waiting, bench_queue(quarter))
    at_bench = tuple(one for one in waiting if one.at_bench)
    reports = tuple(one for one in waiting if not one.at_bench)
    said = plain_text(told("part_waiting", OnTheBench(at_bench, reports, 3.0))["title"])
    assert said == (
        "Still to mend: M16 (last work: replace), M03 (Alder 3, distorted). Reports still open: M05 (Alder 5, crackle). "
        "3 bench hours are kept."
    )


def test_page_and_bench_name_one_number_of_open_reports(quarter):
    bench, waiting = bench_now.facts(quarter), records(Waiting, bench_queue(quarter))
    at_bench = tuple(one for one in waiting if one.at_bench)
    reports = tuple(one for one in waiting if not one.at_bench)
    number = int(still_open(quarter.evidence.faults).sum())
    assert bench.open == number == 2  # that of the module on the bench, too
    said = plain_text(told("part_waiting", OnTheBench(at_bench, reports, 3.0, number))["title"])
    assert "Reports still open: M05 (Alder 5, crackle) and 1 more. " in said
    said = plain_text(told("part_waiting", OnTheBench(at_bench, (), 3.0, number))["title"])
    assert said.endswith("Reports still open: 2. 3 bench hours are kept.")
    said = plain_text(told("bench_now", bench)["open"])
    assert f'maintkit note work ticket="{bench.oldest_ticket}" action=' in said

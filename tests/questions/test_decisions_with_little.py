"""Small and degenerate record books: each decision says a sentence that is true of them."""

import pytest

from maintkit.decide.spares_donors import Keeping
from maintkit.questions.campaign import pulled_capacitors, recap_money
from maintkit.questions.heat import cooler_air, off_at_night
from maintkit.questions.held import comes_back, held_against_siblings
from maintkit.questions.keep import keep_or_strip, one_more_spare
from maintkit.questions.plan import pull_next
from maintkit.questions.plan_means import means_ahead
from maintkit.questions.recap import recap_campaign, recap_cost, when_to_recap
from maintkit.questions.stock import donor_parts, last_of_them, order_parts

SERIALS = [f"C{number}" for number in range(1, 7)]


def tables(failures=(), modules=4, **more):
    """One desk whose modules hold 20 capacitors and a chip each; failures as (serial, part type, day)."""
    repairs = [{"repair": f"R{number}", "done_on": on, "serial": serial, "action": "replace", "part_type": part,
                "cause": "confirmed", "planned": "no"}
               for number, (serial, part, on) in enumerate(failures, 1)]
    return {
        "desks": [{"desk": "Curlew", "family": "saltmarsh", "coupling": "dc", "records_from": "2014-01-01",
                   "powered_hours_per_week": 168}],
        "modules": [{"serial": serial, "family": "saltmarsh", "module_type": "channel", "made_on": "2001-03-01"}
                    for serial in SERIALS[:modules]],
        "positions": [{"desk": "Curlew", "position": str(number), "air_c": 35.0} for number in range(1, modules + 1)],
        "fitments": [{"serial": serial, "desk": "Curlew", "position": str(number), "fitted_on": "2001-04-01"}
                     for number, serial in enumerate(SERIALS[:modules], 1)],
        "part_types": [{"part_type": "cap", "kind": "electrolytic", "unit_cost": 0.5, "lead_time_days": 14,
                        "obtainable": "yes"},
                       {"part_type": "chip", "kind": "ic", "obtainable": "no"}],
        "parts_list": [{"family": "saltmarsh", "module_type": "channel", "part_type": part, "quantity": number}
                       for part, number in (("cap", 20), ("chip", 1))],
        "repairs": repairs, **more}


def worn(count=12):
    """Capacitors of one module after another that failed, the more the later."""
    return [(SERIALS[number % 4], "cap", f"{2024 - int((count - number) ** 0.5)}-0{number % 9 + 1}-15")
            for number in range(count)]


def test_nothing_failed_gives_a_sentence_each(opened):
    book = opened(**tables())
    assert pull_next(book).title == (
        "0 faults of known modules on record: it takes 5 to say which overhaul saves most. Keep logging.")
    assert when_to_recap(book).title == ("Planned re-capping does not pay by these records: in saltmarsh too few "
                                         "failures to say (0 failures).")
    assert recap_cost(book).title.startswith("No cost curve is drawn. Planned re-capping does not pay")
    assert recap_campaign(book).title.startswith("No re-cap campaign is laid out. Planned re-capping does not pay")
    assert order_parts(book).title == (
        "2 kinds of part are on record but none was ever counted: a stock table would let the order be reckoned.")
    assert last_of_them(book).title == (
        "1 kind of part no longer made, none of which was used on record: no end can be told.")
    assert comes_back(book).title == ("Nothing on record came back 3 times for one symptom within two years, was "
                                      "cleaned as often, or came back worse (0 faults, 0 pieces of work).")
    assert cooler_air(book).title.startswith("0 faults on record at slots of known air temperature: it takes 5")


def test_one_module_alone(opened):
    book = opened(**tables([("C1", "cap", f"20{year}-05-01") for year in range(16, 23)], modules=1))
    for question in (pull_next, when_to_recap, recap_campaign, held_against_siblings, keep_or_strip, one_more_spare,
                     cooler_air, off_at_night, recap_money,
                     pulled_capacitors, order_parts, last_of_them, comes_back):
        assert question(book).title.endswith(".")


def test_four_failures_give_no_re_cap_verdict(opened):
    table = when_to_recap(opened(**tables(worn(4)))).table
    assert table["verdict"].tolist() == ["too few failures to say"]
    assert table["interval_years"].isna().all()


def test_no_hours_no_bookings_no_spares(opened):
    book = opened(**tables(worn()))
    means = means_ahead(book)
    assert (means.always_free, means.spares, len(means.openings)) == (("Curlew",), {}, 0)
    caveats = " ".join(pull_next(book, bench_hours=0).caveats)
    assert "No bookings are on record for Curlew: taken to be free at any time; a bookings table would say." in caveats
    assert "No whole spare is on the shelf, so a module must be back in its slot before its gap ends." in caveats
    assert pull_next(book, bench_hours=0).title.startswith("Pull no module for overhaul in 2024Q4.")


def test_only_gaps_still_to_come_are_worked_in(opened):
    bookings = [{"desk": "Curlew", "free_from": "2024-09-20", "free_to": "2024-10-02"},
                {"desk": "Curlew", "free_from": "2024-08-01", "free_to": "2024-08-09"},
                {"desk": "Curlew", "free_from": "2025-03-01", "free_to": "2025-03-09"}]
    book = opened(**tables(worn(), bookings=bookings))
    assert means_ahead(book).openings[["free_from", "free_to"]].values.tolist() == [[0, 1]]
    assert len(means_ahead(book, days=-1).openings) == 2


def test_an_unknown_cost_is_said_and_not_made_up(opened):
    parts = [{"part_type": "cap", "kind": "electrolytic", "obtainable": "yes", "lead_time_days": 300}]
    book = opened(**tables(worn(), stock=[{"part_type": "cap", "on_hand": 0, "counted_on": "2024-09-01"}],
                           part_types=[*parts, {"part_type": "chip", "kind": "ic", "obtainable": "no"}]))
    assert "cost not known, for part_types names no unit_cost" in order_parts(book).title
    assert when_to_recap(book).title.endswith(".")


def test_a_donor_nobody_needs_is_let_go(opened):
    modules = tables()["modules"] + [{"serial": "D1", "family": "saltmarsh", "module_type": "channel"}]
    book = opened(**tables(modules=4) | {"modules": modules})
    assert keep_or_strip(book).title == ("1 module in no desk, but no pull and no use of a scarce part is on record, "
                                         "so none shows a worth yet.")
    used = opened(**tables([("C1", "chip", f"20{year}-05-01") for year in range(16, 24)]) | {"modules": modules})
    assert keep_or_strip(used).table["decision"].tolist() == ["strip"]
    assert keep_or_strip(used, keeping=Keeping(least_days=1e6)).table["decision"].tolist() == ["release"]


def test_a_number_for_the_modules_own_era_stands_before_that_for_every_era(opened):
    import pandas as pd

    lists = [{"family": "saltmarsh", "module_type": "channel", "part_type": "chip", "quantity": number,
              "board_era": era} for number, era in ((2, None), (5, "B"))]
    donors = pd.DataFrame({"serial": ["D1", "D2"], "family": "saltmarsh", "module_type": "channel",
                           "board_era": ["A", "B"]})
    assert donor_parts(opened(**tables() | {"parts_list": lists}), donors) == {"D1": {"chip": 2}, "D2": {"chip": 5}}


def test_few_pulls_give_no_number_of_spares(opened):
    tickets = [{"ticket": f"T{number}", "raised_on": f"2024-0{number}-02", "desk": "Curlew", "position": "1",
                "symptom": "hum", "outcome": "no fault found",
                "closed_on": f"2024-0{number}-05"} for number in (3, 5)]
    assert one_more_spare(opened(**tables(tickets=tickets))).title == (
        "Only 2 pulls on record: it takes 5 to say what a spare is worth.")


@pytest.mark.parametrize("hours", [100, 168])
def test_a_desk_not_powered_longer_has_nothing_to_switch_off(opened, hours):
    desks = [{"desk": "Curlew", "family": "saltmarsh", "coupling": "dc", "records_from": "2014-01-01",
              "powered_hours_per_week": 60}]
    assert off_at_night(opened(**tables() | {"desks": desks}), hours_a_week=hours).title == (
        f"No desk is powered more than {hours} hours a week, so there is nothing to switch off.")


def test_returns_count_among_the_times_a_symptom_came_back(opened):
    days = ("2023-02-01", "2024-05-01", "2024-05-20")
    tickets = [{"ticket": f"T{number}", "raised_on": on, "desk": "Curlew", "position": "1", "symptom": "hum",
                "outcome": "fault found", "impact": impact}
               for number, (on, impact) in enumerate(zip(days, ("nuisance", "nuisance", "stopped session"),
                                                         strict=True))]
    repairs = [{"repair": f"R{number}", "done_on": on, "serial": "C1", "ticket": f"T{number}", "action": "re-solder",
                "cause": "confirmed", "planned": "no"}
               for number, on in enumerate(days)]
    finding = comes_back(opened(**tables(tickets=tickets) | {"repairs": repairs}))
    assert finding.table[["serial", "pattern", "times"]].values.tolist() == [["C1", "same symptom again", 3],
                                                                             ["C1", "came back worse", 1]]
    assert finding.title.startswith("1 module came back 3 times or more for one symptom within two years, 0 controls "
                                    "were cleaned as often, and 1 return ")

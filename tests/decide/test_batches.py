"""Parts fitted together that fail faster than others of their age."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.batches import _found, bad_batches, batches_table
from maintkit.decide.expectation import watched_modules
from maintkit.decide.hazards import part_hazards
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.priority import BY_MODULE, next_quarter
from maintkit.questions.bad_batches import facts

YEAR, DAY = 8766.0, 86_400 * 10**9  # hours, nanoseconds
BEGUN = pd.Timestamp("2016-01-01")
MODULES, PARTS, SHAPE, SCALE = 40, 40, 3.0, 30.0  # powered years
RECAP, YEARS, OLD = 4.0, 8.0, 15.0  # years into the records; the first parts are so old when these begin
BAD = 20  # modules whose new parts fail so much faster
TIMES = 60.0


def spells(make, times, generator):
    """Old parts up to a re-cap after four of eight years, then new ones; a part that fails is replaced by a good one."""
    rows = []
    for module in range(MODULES):
        about = {"serial": f"M{module:03d}", "position": str(module)}
        for _ in range(PARTS):
            begin, until, age, faster = 0.0, RECAP, OLD, 1.0
            while begin < YEARS:
                needed = (age / SCALE) ** SHAPE + generator.exponential() / faster
                fails = begin + SCALE * needed ** (1 / SHAPE) - age
                ends = min(fails, until)
                came = BEGUN + pd.Timedelta((begin - age) * YEAR if begin == 0 else begin * YEAR, "h")
                rows.append(
                    about
                    | {"entry": age * YEAR, "exit": (age + ends - begin) * YEAR, "event": fails < until}
                    | {"from_on": BEGUN + pd.Timedelta(begin * YEAR, "h"), "fitted_on": came.floor("D")}
                    | {"to_on": BEGUN + pd.Timedelta(ends * YEAR, "h"), "still_fitted": ends == YEARS}
                )
                is_recap = fails >= until and until == RECAP
                faster = times if is_recap and module < BAD else 1.0
                begin, age, until = ends, 0.0, YEARS if ends >= RECAP else RECAP
    frame = pd.DataFrame(rows)
    return make.spells(rows).assign(fitted_on=frame["fitted_on"])


def found(make, times):
    parts = spells(make, times, np.random.default_rng(3))
    groups, stays = PartGroups(parts), make.stays(parts, YEARS)
    hazards = part_hazards(groups)
    faults = make.seen(make.faults(parts)).by_module
    watched = watched_modules(stays, faults[[*BY_MODULE, "faults"]], {hazard.of for hazard in hazards})
    return parts, hazards[0], *bad_batches(groups, hazards, watched, stays)


@pytest.fixture(scope="module")
def poor(make):
    return found(make, TIMES)


def test_a_bad_lot_is_found_and_the_curve_is_that_of_good_parts(poor):
    _, plain, groups, (hazard,) = poor
    batches = groups.batches["longshore", "cap"]
    assert len(batches.key) == MODULES
    failed = batches.seen > 0
    assert failed[:BAD].sum() >= 10 and failed[BAD:].sum() <= 2
    assert batches.faster[:BAD][failed[:BAD]].min() > 4 * np.median(batches.faster[BAD:])
    assert 15 < np.median(batches.faster[failed]) < 180  # true: 60
    assert np.exp(plain.parameters[0]) < 2.2 < np.exp(hazard.parameters[0]) < 3.9  # true: 3


def test_the_table_of_batches_names_the_modules_of_the_bad_ones_and_when_they_came(poor):
    table = batches_table(poor[2].batches)
    assert len(table) == MODULES and set(table["parts"]) == {PARTS}
    surely = table[table["chance"] > 0.9]
    assert len(surely) >= 8 and sum(serial < f"M{BAD:03d}" for serial in surely["serial"]) >= len(surely) - 1
    assert surely["failures"].sum() > 20 * surely["expected"].sum()
    assert set(table["fitted_on"]) == {(BEGUN + pd.Timedelta(RECAP * YEAR, "h")).floor("D")}
    assert len(batches_table({})) == 0 and list(batches_table({})) == list(table)


def test_what_is_told_of_batches_is_of_the_likely_ones(poor):
    roster = pd.DataFrame({"serial": ["M000"], "desk": ["Heron"], "position": ["1"]})
    quarter = SimpleNamespace(
        forecast=SimpleNamespace(batches=poor[2].batches),
        evidence=SimpleNamespace(roster=roster, part_spells=poor[0]),
    )
    told = facts(quarter)
    (one,) = told.found
    assert one.still_in == one.modules
    first = poor[0]["serial"] == one.modules[0]  # re-capped since
    quarter.evidence.part_spells = poor[0].assign(still_fitted=poor[0]["still_fitted"] & ~first)
    assert facts(quarter).found[0].still_in == one.modules[1:]
    likely = told.table[told.table["chance"] >= 0.9]
    assert (one.part_type, one.parts, one.failures) == (
        "cap",
        PARTS * len(likely),
        likely["failures"].sum(),
    )
    assert one.modules == tuple(sorted(likely["serial"])) and one.expected < one.failures / 10
    quarter.forecast.batches = {}
    assert facts(quarter).found == () and facts(quarter).counts == {"batches": 0, "failures": 0}


def test_draws_have_the_mean_that_is_told(poor):
    batches = poor[2].batches["longshore", "cap"]
    draws = batches.draws(np.random.default_rng(1), 20_000)
    assert draws.mean(axis=0) == pytest.approx(np.ones(MODULES), abs=0.06)


def test_no_batch_is_called_bad_where_none_is(make):
    *_, groups, _ = found(make, 1.0)
    assert groups.batches == {}


def test_the_forecast_expects_more_of_modules_with_poor_parts(make, poor):
    parts = poor[0]
    slots = parts.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    faults = make.seen(make.faults(parts))
    ahead = next_quarter(parts, make.stays(parts, YEARS), faults, slots).slots
    expected = ahead.set_index(ahead["position"].astype(int))["expected_faults"].sort_index()
    age = YEARS - RECAP
    due = PARTS * (((age + 0.25) / SCALE) ** SHAPE - (age / SCALE) ** SHAPE)
    assert expected.loc[: BAD - 1].sum() == pytest.approx(BAD * TIMES * due, rel=0.4)
    assert expected.loc[BAD:].sum() < 0.4 * expected.loc[: BAD - 1].sum()


def test_the_parts_in_a_module_when_it_is_first_fitted_are_no_batch(make):
    rows = [
        {
            "serial": serial,
            "position": serial,
            "exit": age,
            "event": event,
            "from_on": BEGUN,
            "weight": weight,
        }
        | {"entry": 0.0, "to_on": BEGUN + pd.Timedelta(age, "h"), "still_fitted": not event}
        for serial in "abc"
        for age, event, weight in [(100.0 * at, True, 1.0) for at in range(1, 9)] + [(YEAR, False, 14.0)]
    ]
    parts = make.spells(rows).assign(fitted_on=BEGUN)
    groups = PartGroups(parts)
    first_fitted, fitted_before = (np.full(3, day) for day in (BEGUN.value // DAY, BEGUN.value // DAY - 30))
    hazards = part_hazards(groups)
    assert not _found(groups, hazards, first_fitted)
    (batches,) = _found(groups, hazards, fitted_before).values()
    assert batches.parts.tolist() == [22.0] * 3

"""What a review proposes, row by row, for the technician to mark, and what came of what was proposed before."""

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.kits import faults_ahead
from maintkit.quarter.marked import ORDER, RE_FORM, READY, RECAP, earlier
from maintkit.quarter.programme import batch_spares, programme, stock_re_formed
from maintkit.quarter.quarter import Quarter, quarter_days
from maintkit.quarter.recaps import prices_of
from maintkit.quarter.resources import READY_DAYS, day_of
from maintkit.records.tables import TABLE

YEARS_EXPECTED = 2  # of which a decision tells the faults expected, left alone


def proposed(quarter: Quarter, orders=None):
    """The rows of ``decisions.csv``: a row per module to re-cap, spare to make ready, part to re-form and part to order;
    marks left empty.

    ``orders`` is the table of parts to order, or None. Minutes saved and faults expected (left alone) are over two years;
    cost is in the money of unit_cost where the bench hour has a price, else of the parts alone.
    """
    import pandas as pd

    columns = [column.name for column in TABLE["decisions"].columns]
    rows = [*_jobs(quarter), *_orders(quarter, orders)]
    rows = [{"review": quarter.label, **row} for row in rows]
    return pd.DataFrame(rows, columns=columns, dtype=object)


def _jobs(quarter: Quarter):
    if not quarter.forecast.enough:
        return
    own, hour = programme(quarter), prices_of(quarter).bench_hour or 0.0
    plan = own.plan
    for row, release, saved in zip(plan.chosen, plan.release, plan.worth, strict=True):
        module = own.modules.loc[row]
        yield {
            "decision": f"{quarter.next_label}-{RECAP}-{module['serial']}",
            "what": RECAP,
            "serial": module["serial"],
            "desk": module["desk"],
            "position": module["position"],
            "cost": round(_known(module["parts_cost"]) + hour * module["bench_minutes"] / 60, 2),
            "minutes_saved_expected": round(float(saved), 1),
            # in two years, left alone
            "faults_expected": round(4 * YEARS_EXPECTED * faults_ahead(quarter, module["serial"]), 3),
            "due_on": day_of(quarter, release),
        }
    for batch, serials in zip(plan.batches.itertuples(), batch_spares(quarter, own), strict=True):
        for serial in serials:
            yield {
                "decision": f"{quarter.next_label}-{READY}-{serial}".replace(" ", "-"),
                "what": READY,
                "serial": serial,
                "cost": round(hour * own.means.ready_minutes / 60, 2),
                "due_on": day_of(quarter, batch.ready_by - 1 - READY_DAYS),
            }
    for one in stock_re_formed(quarter, own):
        yield {
            "decision": f"{quarter.next_label}-{RE_FORM}-{one.part_type}".replace(" ", "-"),
            "what": f"{RE_FORM} {one.number}",
            "part_type": one.part_type,
            "cost": round(hour * one.hours, 2),
            "due_on": one.by,
        }


def _orders(quarter: Quarter, orders):
    if orders is None or not len(orders):
        return
    for row in orders[orders["order"] > 0].itertuples():
        yield {
            "decision": f"{quarter.next_label}-{ORDER}-{row.part_type}".replace(" ", "-"),
            "what": f"{ORDER} {row.order:.0f}",
            "part_type": row.part_type,
            "cost": None if row.order_cost != row.order_cost else round(float(row.order_cost), 2),
        }


def _known(cost) -> float:
    return float(cost) if cost == cost and cost is not None else 0.0


def outcome(quarter: Quarter):
    """What came of what earlier reviews proposed: a row per decision, in order of review.

    ``review, decision, what, serial, part_type, agreed, done_on, is_done`` (marked so here or where a later review proposed it again,
    or a re-cap of the module is on record since), ``is_last`` (False where a later row proposed the same work again before it was done), ``marked`` (what was last marked of
    these),
    ``since`` (the day it was done, else the end of the review's quarter), ``years`` since, ``faults`` counted in them, ``faults_due``
    (as many as were expected of the module in the same time without the work),
    ``faults_like`` (a module's share of what like modules for which nothing was done had in the same days), ``modules_like``.
    """
    import pandas as pd

    end, evidence, made = pd.Timestamp(quarter.last_day), quarter.evidence, earlier(quarter)
    recaps = evidence.work.loc[evidence.work["action"] == "re-cap", ["serial", "done_on"]]
    faults = evidence.faults
    faults = faults[faults["counts"].astype(bool) & (faults["happened_on"] <= end)]
    serving = evidence.roster[evidence.roster["desk"].notna()].groupby(["family", "module_type"])["serial"]
    alike = {serial: {*own} for _, own in serving for serial in own}
    rows = []
    for review, of_review in made.groupby("review", sort=False):
        asked = pd.Timestamp(quarter_days(review)[1])
        later = recaps[recaps["done_on"] > asked]
        marked = made[made["done_on"] > asked].groupby(["sort", "of"])["done_on"].min()
        first = later.groupby("serial")["done_on"].min()
        for row in of_review.itertuples():
            seen = (first.get(row.serial), marked.get((row.sort, row.of)))
            seen = min((day for day in seen if day is not None), default=None)
            done = row.done_on if pd.notna(row.done_on) else seen
            is_done = bool(done is not None and done <= end)
            since = pd.Timestamp(done) if is_done else asked
            after = faults.loc[faults["happened_on"] > since, "serial"].value_counts()
            others = [*alike.get(row.serial, set()).difference(made["serial"], later["serial"])]
            like = int(after.reindex(others, fill_value=0).sum()) / len(others) if others else None
            years = (end - since).days / DAYS_PER_YEAR
            due = row.faults_expected * years / YEARS_EXPECTED
            own = int(after.get(row.serial, 0))
            rows.append((is_done, since.date(), years, own, due, like, len(others)))
    came = ["is_done", "since", "years", "faults", "faults_due", "faults_like", "modules_like"]
    found = made.join(pd.DataFrame(rows, columns=came))
    asked = pd.to_datetime(made["review"].map(lambda review: quarter_days(review)[1]))
    same = [made["sort"], made["of"]]
    asked_again = asked.groupby(same).shift(-1)
    before = found["is_done"] & (pd.to_datetime(found["since"]) <= asked_again)
    found["is_last"] = asked_again.isna() | before
    after = found["is_last"][::-1].groupby(same).cumsum()
    found["marked"] = found["agreed"].groupby([*same, after]).ffill()
    return found[["review", "decision", "what", "serial", "agreed", "done_on", "is_last", "marked", *came]]

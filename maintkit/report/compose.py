"""The report put together from the answers of a review: what stands on which page."""

from collections import defaultdict

from markupsafe import Markup

from maintkit.quarter.recaps import prices_of
from maintkit.questions import keep_next
from maintkit.questions.patterns import FIRST_TOLD
from maintkit.report import report_page as made
from maintkit.report import templates
from maintkit.report.cautions import FIRST_JOB, GENERAL_REMINDER
from maintkit.report.deciding import decisions, money_of, proposed_pulls
from maintkit.report.evidence import FEWEST_TO_SHOW, sheets
from maintkit.report.tables import is_missing
from maintkit.report.templates import ANSWERS, Number, told


def in_short(page: made.Page, answers: dict) -> Markup:
    """The sentences with which the report begins."""
    return templates.page("in_short.j2", page=page, **answers)


def gather(quarter, findings: dict) -> tuple[made.Page, dict]:
    """What the report says beside the answers, and the answers by their names in its template."""
    answers = defaultdict(lambda: None)  # a question that was not asked has no answer
    answers |= {key.replace("-", "_"): finding.facts for key, finding in findings.items()}
    happened, where = answers["what_happened"], answers["where_next"]
    ahead = answers["if_nothing"]
    page = made.Page(
        quarter=quarter.label,
        period=period(quarter),
        desks=_desks(quarter),
        begun=quarter.records.first_day() or quarter.first_day,
        reminder=GENERAL_REMINDER,
        cautions=FIRST_JOB,
    )
    forecasts = answers["forecast_and_fact"]
    forecasts = forecasts if forecasts is not None and forecasts.quarters else None
    page.days_so_far = _so_far(quarter)
    if page.days_so_far:
        page.before_words = "in the same days of last quarter"
    page.warnings = tuple(_warnings(answers["how_it_was_read"], answers["sound_records"]))
    is_enough = where is None or where.seen >= FEWEST_TO_SHOW
    if happened is not None and happened.desks:
        page.rows = _rows(quarter, happened, forecasts)
        page.has_forecasts = any(row.forecast is not None for row in page.rows)
        page.leading = _leading(happened)
        page.tickets = _tickets(happened)
        page.tells_open = happened.open_reports.expected >= max(MANY_OPEN * happened.faults, FEWEST_OPEN)
        page.minutes_before = page.rows[-1].minutes_before
        if is_enough:
            page.figures["faults"] = made.fault_figure(
                happened.history, _totals(forecasts), ahead, quarter.next_label, quarter.days_so_far
            )
        page.listed = () if is_enough else _listed(quarter)
        page.listed_shown, page.listed_of = len(page.listed), len(quarter.evidence.faults)
        page.silent = _is_silent(happened, answers["what_it_cost"])
        page.tells_stopped = bool(quarter.evidence.faults["impact"].notna().any())
    fit = answers["model_fits"]
    # those of quarters stand beside their forecasts
    if fit is not None and fit.worst is not None and fit.worst["by"] != "quarter":
        page.doubts = (told("model_fits", fit)["title"],)
    page.past, page.forecast_now = _past(forecasts), _now(quarter, forecasts)
    _put_decisions(page, quarter, answers, findings, is_enough)
    if where is not None and where.next:
        page.marks = made.marks_of(where)
        page.figures["strips"] = made.strips_figure(where)
        page.has_modules = any(one.modules for one in where.next)
        page.has_years = any(not is_missing(one.years) for one in where.next)
        page.has_air = any(not is_missing(slot.air_c) for strip in where.strips for slot in strip.slots)
    page.evidence = tuple(sheet for sheet in sheets(quarter, answers, findings) if sheet.parts)
    told_of = {name: answers[question] for name, question in ANSWERS.items()}
    return page, {**told_of, "counted": answers["counted"], "keep": keep_next.facts(quarter)}


def _warnings(read, sound):
    """What a reader must know before anything else."""
    if sound is not None and (sound.overlooked or sound.fed_nothing or sound.asked):
        yield told("sound_records", sound)["unread"]
    if read is not None and (read.lost or read.drafted or read.nowhere):
        yield told("how_it_was_read", read)["title"]
    if sound is not None and sound.short:
        yield told("sound_records", sound)["short"]


# open reports told desk by desk: faults to expect of them, and as a share of those found (own choice)
FEWEST_OPEN, MANY_OPEN = 2, 0.5
LISTED = 20  # reports listed one by one, where they are too few for anything else


def _put_decisions(page, quarter, answers: dict, findings: dict, is_enough: bool) -> None:
    """Prices, what is to be decided, what is on the bench anyway, and what came of the last decisions."""
    page.recapped = answers["recapped_or_not"]
    prices = prices_of(quarter)
    page.currency = prices.currency
    page.prices = money_of(answers["what_it_cost"], answers["if_nothing"], prices)
    page.proposed = (
        proposed_pulls(answers["pull_next"], answers["recap_zones"], prices) if is_enough else None
    )
    page.decisions = decisions(page.proposed, answers, findings, prices) if is_enough else ()
    orders = answers["order_parts"]
    if orders is not None and orders.kinds:
        page.orders = told("order_parts", orders)["title"]
    costs = [one.money for one in page.decisions if one.money is not None]
    hours = [one.hours for one in page.decisions if one.hours is not None]
    page.asked = {
        "cost": sum(costs) if costs else None,
        "hours": sum(hours) if hours else None,
        "number": len(page.decisions),
    }
    came = answers["what_came_of_it"]
    page.outcome = Markup("<p>{}</p>").format(
        told("what_came_of_it", came)["title"] if came else "No earlier decisions are on record."
    )
    page.anyway = _anyway(answers)
    if answers["plan_buys"] is not None and answers["plan_buys"].ways:
        page.figures["ways"] = made.ways_figure(answers["plan_buys"].ways)


def _anyway(answers: dict) -> tuple[Markup, ...]:
    """What asks for the bench whatever is decided: runs of one fault that go on, supplies to look at, what lies there, rows to correct."""
    plan, sound = answers["pull_next"], answers["sound_records"]
    runs, batches, lent = (answers[name] for name in ("module_or_slot", "bad_batches", "parts_from_donors"))
    said = [told("part_anyway", one)["title"] for one in (runs.alive[:FIRST_TOLD] if runs else ())]
    if runs and runs.more_alive:
        said.append(told("part_more_runs", runs, path="module_or_slot")["title"])
    said += [told("part_supply", one)["title"] for one in (runs.supply if runs else ())]
    said += [
        told("part_batch", one, path="bad_batches.found")["title"]
        for one in (batches.found if batches else ())
    ]
    if plan is not None and plan.waiting:
        reports = tuple(one for one in plan.waiting if not one.at_bench)
        facts = made.OnTheBench(plan.at_bench, reports, plan.queue_hours, plan.open_reports)
        said.append(told("part_waiting", facts, path="pull_next")["title"])
    if lent is not None and lent.wanted:
        said.append(told("part_owed", lent, path="parts_from_donors")["title"])
    if sound is not None and (sound.turned_away or sound.contradictions):
        said.append(told("part_records", sound, path="sound_records")["title"])
    return tuple(said)


def period(quarter) -> str:
    """The quarter as months: July to September 2026.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> from datetime import date
    >>> period(SimpleNamespace(first_day=date(2026, 7, 1), last_day=date(2026, 9, 30)))
    'July to September 2026'
    """
    first, last = quarter.first_day, quarter.last_day
    return f"{first:%B} to {last:%B %Y}" if first.month != last.month else f"{last:%B %Y}"


def _so_far(quarter):
    """How much of the quarter there is, where it is not over."""
    if quarter.days_so_far is None:
        return None
    return f"to {quarter.last_day:%-d %B}, {quarter.days} of {quarter.whole_days} days"


def _listed(quarter) -> tuple:
    """Every report and unreported fault so far, with what it was."""
    seen = quarter.evidence.faults
    seen = seen.assign(said=seen["symptom"], sort=seen["class"])
    names = ["happened_on", "desk", "position", "said", "sort", "as_report", "part_type", "action"]
    table = seen[[*names, "minutes_lost"]].tail(LISTED).astype(object)
    return tuple(table.where(table.notna(), None).itertuples(index=False, name="Report"))


def _desks(quarter) -> tuple[str, ...]:
    return tuple(dict.fromkeys(quarter.slots["desk"])) or tuple(quarter.table("desks")["desk"])


def _rows(quarter, happened, forecasts) -> tuple[made.Row, ...]:
    """At most five desks, those with most minutes first; the others together; all."""
    now = None
    if forecasts is not None:
        rows = forecasts.rows
        now = rows[rows["quarter"] == quarter.label].fillna({"desk": "All desks"}).set_index("desk")
    table = happened.table.sort_values(["faults", "minutes_lost"], ascending=False, kind="stable")
    shown = table if len(table) <= made.DESKS_IN_TABLE + 1 else table.head(made.DESKS_IN_TABLE)
    seen = quarter.evidence.fault_counts(["desk", "minutes_lost"], every=True)
    timed = {*seen.loc[seen["minutes_lost"].notna(), "desk"]}
    rows = [_row(row.desk, [row], now, is_timed=row.desk in timed) for row in shown.itertuples()]
    if len(shown) < len(table):
        rest = list(table.iloc[len(shown) :].itertuples())
        rows.append(_row(f"{len(rest)} others", rest, None))
    if len(table) > 1:
        rows.append(_row("All desks", list(table.itertuples()), now, is_sum=True))
    return tuple(rows)


def _row(name: str, rows: list, forecasts, *, is_sum: bool = False, is_timed: bool = True) -> made.Row:
    """One desk, or several added up; no minutes where none of its reports ever gave any."""
    one = forecasts.loc[name] if forecasts is not None and name in forecasts.index else None
    before = [row.faults_before for row in rows if not is_missing(row.faults_before)]
    faults, minutes = int(sum(row.faults for row in rows)), float(sum(row.minutes_lost for row in rows))
    return made.Row(
        desk=name,
        faults=Number(faults, "what_happened.faults") if is_sum else faults,
        faults_before=int(sum(before)) if before else None,
        forecast=None if one is None else float(one["expected_faults"]),
        forecast_low=None if one is None else float(one["faults_low"]),
        forecast_high=None if one is None else float(one["faults_high"]),
        minutes=Number(minutes, "what_happened.minutes_lost") if is_sum else minutes if is_timed else None,
        minutes_before=float(sum(row.minutes_lost_before for row in rows)) if before and is_timed else None,
        stopped=int(sum(row.stopped_sessions for row in rows)),
        waiting=int(sum(row.open for row in rows)),
        is_sum=is_sum,
    )


def _is_silent(happened, cost) -> bool:
    """Whether the log was kept and nothing of the quarter stands in it."""
    noted = happened.tickets or happened.unticketed_faults or (cost is not None and cost.planned_jobs)
    return happened.is_kept and not noted


def _leading(happened):
    row = happened.table.sort_values("faults", ascending=False, kind="stable").iloc[0]
    waiting = happened.table.sort_values("open", ascending=False, kind="stable").iloc[0]
    most = {"waiting_desk": waiting["desk"], "waiting": int(waiting["open"])}
    return {"desk": row["desk"], "faults": int(row["faults"])} | most


def _tickets(happened) -> dict:
    columns = ["no_fault_found", "not_the_desk", "slot_or_supply", "returns", "repeat_reports", "open"]
    counts = happened.table[columns].rename(columns={"repeat_reports": "repeated"}).sum().astype(int)
    waiting = happened.open_reports
    expected = waiting.expected if waiting.reports else None
    return {"tickets": happened.tickets, "open_expected": expected, **counts.to_dict()}


def _totals(forecasts) -> list[tuple]:
    """Past forecasts of all desks together: quarter, number expected, and the limits of the count."""
    if forecasts is None:
        return []
    columns = ["quarter", "expected_faults", "faults_low", "faults_high"]
    return list(forecasts.totals[columns].itertuples(index=False, name=None))


def _past(forecasts) -> dict | None:
    if forecasts is None:
        return None
    names = ("quarters", "expected", "faults", "with_open", "verdict", "within")
    return {name: getattr(forecasts, name) for name in names} | {"counts": forecasts.desk_counts}


def _now(quarter, forecasts) -> dict | None:
    own = None if forecasts is None else forecasts.totals[forecasts.totals["quarter"] == quarter.label]
    if own is None or not len(own):
        return None
    row = own.iloc[0]
    return {
        "expected": float(row["expected_faults"]),
        "faults": int(row["faults"]),
        "with_open": float(row["faults"] + row["open_expected_faults"]),
        "is_outside": not row["within"],
        "low": float(row["faults_low"]),
        "high": float(row["faults_high"]),
    }

"""Is the re-cap money working?"""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.effectiveness import after_work
from maintkit.decide.effectiveness_recaps import ALL, SIGNIFICANCE, recap_effects
from maintkit.decide.replacement_boards import Rules
from maintkit.decide.replacement_costs import recaps_done
from maintkit.quarter.calendar import modules_by_day
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import modules_with_costs, rules_of
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

YEAR_DAYS = 365


@dataclass(frozen=True)
class RecapMoney:
    """What re-caps brought, set against untouched modules that had been as bad.

    Attributes
    ----------
    re_caps : int
        Re-caps on record since the desks of their modules are watched, and those ``before``.
    whole : dict or None
        The row of ``table`` that stands for all; None where nothing could be compared.
    first_year : dict or None
        Of the year after each re-cap: ``works, faults, expected, ratio, low, high``, beside siblings of the same family and type in
        service over the same dates, untouched, with as many faults in the year before.
    fewest, significance : int, float
        Faults a verdict takes, and the chance below which a difference must come by itself.
    bench_hour, session_hour : float
        Prices taken.
    table : DataFrame or None
        A row for all desks together, then one a desk: see ``recap_effects``, and ``bench_hours, spent, brought_back`` with
        limits.
    """

    re_caps: int
    before: int
    whole: dict | None
    first_year: dict | None
    bench_hour: float | None
    session_hour: float | None
    table: object
    fewest: int = FEWEST_FOR_A_VERDICT
    significance: float = SIGNIFICANCE

    @property
    def counts(self) -> dict:
        return {"recaps": self.re_caps, "faults": 0 if self.whole is None else self.whole["faults"]}


def facts(quarter: Quarter, *, rules: Rules | None = None) -> RecapMoney:
    """Faults of re-capped modules beside those of untouched ones that had been as bad before, and what that was worth.

    ``rules`` holds the prices.
    """
    evidence = quarter.evidence
    recaps = evidence.work[(evidence.work["action"] == "re-cap") & evidence.work["desk"].notna()]
    on_record = quarter.table("repairs", "serial", "done_on", "action", "part_type")
    effects = recap_effects(evidence.stays, evidence.faults, evidence.work)
    told = len(effects) > 0
    if told:
        effects = _with_money(effects, recaps, modules_with_costs(quarter, rules))
    costs = rules_of(quarter, rules).costs
    return RecapMoney(
        re_caps=recaps_done(recaps),
        before=max(
            recaps_done(on_record[on_record["done_on"] <= str(quarter.last_day)]) - recaps_done(recaps), 0
        ),
        whole=effects.iloc[0].to_dict() if told else None,
        first_year=_first_year(quarter, recaps) if told else None,
        bench_hour=costs.bench_hour if costs.in_money else None,
        session_hour=costs.session_hour if costs.in_money else None,
        table=effects if told else None,
    )


def _first_year(quarter: Quarter, recaps) -> dict | None:
    table = after_work(modules_by_day(quarter), recaps, days=YEAR_DAYS)
    return table.iloc[0].to_dict() if len(table) else None


def _with_money(effects, recaps, modules):
    """Bench hours and money spent on the re-caps of each row (not a number where none was timed), and what the faults they spared
    would have cost, with limits."""
    timed = recaps["bench_minutes"].dropna()
    hours = recaps["bench_minutes"].fillna(timed.median() if len(timed) else np.nan) / 60
    rows = []
    for row in effects.itertuples():
        own = slice(None) if row.desk == ALL else recaps["desk"] == row.desk
        priced = modules if row.desk == ALL else modules[modules["desk"] == row.desk]
        price, parts, bench_hour = priced[["failure_cost", "parts_cost", "bench_hour"]].mean().tolist()
        bench_hours, number = float(hours[own].sum(min_count=1)), recaps_done(recaps[own])
        spared = [row.expected * (1 - ratio) * price for ratio in (row.ratio, row.high, row.low)]
        rows.append((bench_hours, bench_hours * bench_hour + number * parts, *spared))
    names = ["bench_hours", "spent", "brought_back", "brought_back_low", "brought_back_high"]
    return effects.assign(**dict(zip(names, zip(*rows, strict=True), strict=True)))

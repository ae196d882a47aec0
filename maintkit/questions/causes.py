"""What does a module fail of first?"""

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.coupling import NO_PART
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.curves import incidence_figure
from maintkit.report.finding import Finding
from maintkit.survival.competing import cumulative_incidence

KEPT_APART = 5  # kinds with the most first faults stand apart, the rest go together
OTHER = "other kinds"


def first_causes(quarter: Quarter, family: str | None = None) -> Finding:
    """Of modules of one family, the share that has failed of each kind of part, by powered time since records began.

    Each module is followed from its first recorded day in a slot to its first fresh fault, or to the end.
    """
    families = sorted(quarter.evidence.stays["family"].dropna().unique())
    if not families:
        return Finding(
            "first-causes",
            "No module was watched in a slot, so none can be said to have failed first of anything; fitments "
            "would let it.",
        )
    family = family or families[0]
    times = _first_faults(quarter, family)
    failed = int((times["cause"] != "").sum()) if len(times) else 0
    if failed < FEWEST_FOR_A_VERDICT:
        return Finding(
            "first-causes",
            f"{several(failed, 'module')} of family {family!r} had a counted fault; it takes "
            f"{FEWEST_FOR_A_VERDICT} to say what they fail of first. Families on record: {', '.join(families)}.",
        )
    found = cumulative_incidence(np.zeros(len(times)), times["hours"].to_numpy(), times["cause"].to_numpy())
    table = _table(found, times)
    title = _title(family, table, float(found.time[-1]) / HOURS_PER_YEAR)
    return Finding(
        key=f"first-causes-{_slug(family)}",
        title=title,
        table=table,
        figure=incidence_figure(found, title=title, clock="powered"),
        caveats=(
            "Only the first fault of each module counts here; a kind that fails late is hidden by one that fails early.",
        ),
        counts={
            "modules": len(times),
            "first_faults": failed,
            "powered_module_years": float(times["hours"].sum() / HOURS_PER_YEAR),
        },
        alt="Share of modules that have failed of each kind of part, by powered time.",
    )


def _first_faults(quarter: Quarter, family):
    """A row per module: powered hours from first watched to first fault or end, and the kind of that fault."""
    evidence = quarter.evidence
    stays = evidence.stays[evidence.stays["family"] == family]
    watched = stays.groupby("serial", sort=True).agg(entry=("entry", "min"), exit=("exit", "max"))
    fresh = evidence.faults[evidence.faults["counts"] & evidence.faults["serial"].isin(watched.index)]
    first = fresh.sort_values(["happened_on", "event_id"]).groupby("serial").first()
    watched["cause"] = first["kind"].fillna(NO_PART).reindex(watched.index).fillna("")
    most = (
        watched.loc[watched["cause"] != "", "cause"]
        .value_counts()
        .sort_index()
        .sort_values(ascending=False, kind="stable")
        .index[:KEPT_APART]
    )
    watched["cause"] = watched["cause"].where(watched["cause"].isin([*most, ""]), OTHER)
    until = first["time"].reindex(watched.index).fillna(watched["exit"])
    watched["hours"] = until - watched["entry"]
    return watched[watched["hours"] > 0].reset_index()


def _table(found, times):
    import pandas as pd

    rows = [
        {
            "cause": cause,
            "first_faults": int((times["cause"] == cause).sum()),
            "share": found.incidence[-1, column],
            "low": found.low[-1, column],
            "high": found.high[-1, column],
        }
        for column, cause in enumerate(found.causes)
    ]
    return pd.DataFrame(rows).sort_values("share", ascending=False, kind="stable").reset_index(drop=True)


def _title(family, table, until: float) -> str:
    top = table.iloc[0]
    return (
        f"After {until:.1f} powered years {100 * top['share']:.0f} % of {family} modules have failed first of {top['cause']} "
        f"({100 * top['low']:.0f} to {100 * top['high']:.0f} %; {several(top['first_faults'], 'module')})."
    )


def _slug(name) -> str:
    import re

    return re.sub(r"[^a-z0-9]+", "-", str(name).lower()).strip("-") or "family"

"""What the technician marked on the proposals of earlier reviews, and what a later review makes of it."""

from maintkit.quarter.quarter import Quarter, quarter_days
from maintkit.quarter.remember import once_a_quarter

RECAP, READY, RE_FORM, ORDER = "re-cap", "make ready", "re-form", "order"
STANDS_DAYS = 365  # a refusal stands so long after the quarter of its review


def earlier(quarter: Quarter):
    """The rows of ``decisions`` of reviews before this one, in order of review, with ``sort`` (of work, without its number) and
    ``of``, the module or kind of part."""
    made = quarter.table("decisions")
    made = made[made["review"] < quarter.label].sort_values("review", kind="stable", ignore_index=True)
    sort = made["what"].astype(object).str.replace(r"\s*\d+$", "", regex=True)
    of = made["serial"].astype(object).fillna(made["part_type"]).fillna(made["decision"])
    return made.assign(sort=sort, of=of)


def made_ready(quarter: Quarter):
    """Days on which spares were made ready as a review proposed, by serial."""
    made = earlier(quarter)
    return made[made["sort"] == READY].dropna(subset=["serial"]).set_index("serial")["done_on"]


@once_a_quarter
def refused_lately(quarter: Quarter) -> tuple[str, ...]:
    """The modules whose re-cap was refused when last marked, less than a year ago, and on which no fault came since that an
    electrolytic may explain: one was found, or no part."""
    faults = quarter.evidence.faults
    faults = faults[
        faults["counts"].astype(bool) & (faults["kind"].isna() | (faults["kind"] == "electrolytic"))
    ]
    return _still_refused(quarter, RECAP, faults.groupby("serial")["happened_on"].max())


def orders_refused(quarter: Quarter) -> tuple[str, ...]:
    """The kinds of part whose order was refused when last marked, less than a year ago, and of which none was put in one by one since."""
    work = quarter.evidence.work
    return _still_refused(
        quarter, ORDER, work[work["action"] == "replace"].groupby("part_type")["done_on"].max()
    )


def _still_refused(quarter: Quarter, sort: str, latest) -> tuple[str, ...]:
    """The modules or kinds of part of which such work was refused when last marked, less than a year ago, and after whose quarter lies no
    day of ``latest``, a Series by module or kind of part."""
    import pandas as pd

    end, made = pd.Timestamp(quarter.last_day), earlier(quarter)
    last = made[(made["sort"] == sort) & made["agreed"].notna()].drop_duplicates("of", keep="last")
    last = last[(last["agreed"] == "refused").fillna(False)]
    asked = pd.to_datetime(
        pd.Series([quarter_days(review)[1] for review in last["review"]], index=last["of"])
    )
    asked = asked[(end - asked).dt.days < STANDS_DAYS]
    return tuple(asked.index[~(latest.reindex(asked.index) > asked)])

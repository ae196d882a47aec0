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
    import pandas as pd

    end, made = pd.Timestamp(quarter.last_day), earlier(quarter)
    last = made[(made["sort"] == RECAP) & made["agreed"].notna()].drop_duplicates("serial", keep="last")
    last = last[(last["agreed"] == "refused").fillna(False)]
    asked = pd.to_datetime(
        pd.Series([quarter_days(review)[1] for review in last["review"]], index=last["serial"])
    )
    asked = asked[(end - asked).dt.days < STANDS_DAYS]
    faults = quarter.evidence.faults
    faults = faults[
        faults["counts"].astype(bool) & (faults["kind"].isna() | (faults["kind"] == "electrolytic"))
    ]
    latest = faults.groupby("serial")["happened_on"].max().reindex(asked.index)
    return tuple(asked.index[~(latest > asked)])

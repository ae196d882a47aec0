"""Every module day by day, built once a quarter for whoever asks what followed some work."""

from maintkit.actions import CARE
from maintkit.decide.effectiveness import Calendar, module_calendar
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

OF_A_ROUND = 8  # modules of a desk cleaned on one day


@once_a_quarter
def modules_by_day(quarter: Quarter) -> Calendar:
    """Faults, work and service of every module by day, up to the end of the quarter."""
    evidence = quarter.evidence
    return module_calendar(
        evidence.stays, evidence.faults, without_care(evidence.work), record_end=quarter.last_day
    )


def without_care(work):
    """The evidence's frame of work less planned care that renews nothing, such as the weekly cleaning of sound modules."""
    return work[~(work["planned"].astype(bool) & work["action"].isin(CARE))]


def is_of_a_round(work):
    """Of the rows of the evidence's frame of work, whether each is a cleaning that answers no fault, of many modules of its desk that day."""
    unasked = work[(work["action"] == "clean") & work["event_id"].isna()]
    modules = unasked.groupby(["desk", "done_on"])["serial"].transform("nunique")
    return work.index.isin(modules[modules >= OF_A_ROUND].index)


def unasked_care(quarter: Quarter):
    """The evidence's frame of unplanned cleaning that no report asked for, and that is of no round: care, and no fault."""
    work = quarter.evidence.work
    alone = work["event_id"].isna() & ~work["planned"].astype(bool) & ~is_of_a_round(work)
    return work[alone & (work["action"] == "clean")]

"""Every module day by day, built once a quarter for whoever asks what followed some work."""

from maintkit.actions import CARE
from maintkit.decide.effectiveness import Calendar, module_calendar
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter


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

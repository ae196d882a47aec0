"""Is it the module or the slot: which runs of one fault are more than chance would bring."""

import numpy as np

from maintkit.hours import DAYS_PER_YEAR
from maintkit.survival.multiple_tests import holm

SIGNIFICANCE = 0.05
SURE, CHANCE = "more than chance", "may be chance"
WINDOW_YEARS = 3
NAMED = 2  # modules, and slots, whose faults are told however worded
NOTHING = "nothing found"  # the sort of reports of which nothing was found


def judged_patterns(patterns, faults, stays):
    """The runs with the chance of each and a verdict, the surest first.

    Parameters
    ----------
    patterns : DataFrame
        The evidence's slot patterns: ``faults`` of one sort within three years, and ``usual_faults``, how many a module of
        that type usually has of that sort in that time.
    faults, stays : DataFrame
        The evidence's frames; they say in how many places such a run might have turned up.

    Returns
    -------
    DataFrame
        ``patterns`` with ``p`` and ``verdict`` ("more than chance" or "may be chance"); of those of which nothing was found only what is
        more than chance.

    Notes
    -----
    p is the Poisson chance of as many faults or more where the usual number is expected, adjusted (Holm 1979) for every
    module and slot, every sort of fault and every three years in which a run might have turned up. Runs of one symptom are judged so, and
    by themselves, as one sort, reports of which nothing was found; parts of one kind wear out together, and that is age, not the module
    or the slot.
    """
    from scipy.special import pdtrc

    chance = np.asarray(pdtrc(patterns["faults"] - 1, patterns["usual_faults"].clip(lower=1e-12)), float)
    adjusted = np.full(len(chance), np.nan)
    for told_by, sorts in (("symptom", max(faults["symptom_key"].nunique(), 1)), (NOTHING, 1)):
        own = (patterns["told_by"] == told_by).to_numpy(bool)
        adjusted[own] = _adjusted(chance[own], sorts * _places(stays))
    judged = patterns.assign(p=adjusted, verdict=np.where(adjusted < SIGNIFICANCE, SURE, CHANCE))
    judged = judged[(judged["told_by"] != NOTHING) | (judged["verdict"] == SURE)]
    return judged.sort_values("p", kind="stable", na_position="last").reset_index(drop=True)


def _places(stays) -> int:
    """How many runs of one sort might have turned up: (modules + slots) x windows of three years."""
    if not len(stays):
        return 1
    units = stays["serial"].nunique() + len(stays[["desk", "position"]].drop_duplicates())
    years = (stays["to_on"].max() - stays["from_on"].min()).days / DAYS_PER_YEAR
    return int(units * max(np.ceil(years / WINDOW_YEARS), 1))


def _adjusted(chance, places: int):
    """Holm's adjustment, the runs that did not turn up counted as sure to be chance."""
    silent = np.ones(max(places - len(chance), 0))
    return holm(np.concatenate([chance, silent]))[: len(chance)]


def longest_however_worded(faults, stays):
    """The modules with most faults over several slots, and the slots with most through several modules, of whatever sort.

    Parameters
    ----------
    faults, stays : DataFrame
        The evidence's frames.

    Returns
    -------
    DataFrame
        Two rows of either at most, the least chance first: ``pattern, name`` (a serial, or desk and slot), ``faults``, in how many slots or modules (``through``),
        ``usual`` (faults in as many powered hours of such modules), ``p``.

    Notes
    -----
    Own method, for faults of one cause that nobody words twice alike. p is the Poisson chance of as many faults or more where the usual
    number is expected, times the number of all modules and slots (Bonferroni); none is told of fewer than three faults or where p is 1: chance brings as many
    somewhere.
    """
    import pandas as pd
    from scipy.special import pdtrc

    seen = faults[faults["class"].isin(["fault", "return"])].dropna(subset=["serial", "desk", "position"])
    seen, sat = (
        one.assign(
            sort=one["module_type"].astype(object).fillna(""),
            slot=one["desk"].astype(str) + " " + one["position"].astype(str),
        )
        for one in (seen, stays)
    )
    a_hour = seen.groupby("sort").size() / sat.groupby("sort")["exposure_hours"].sum()
    sat["usual"] = sat["exposure_hours"] * sat["sort"].map(a_hour).fillna(0.0)
    units, found = sat["serial"].nunique() + sat["slot"].nunique(), []
    for pattern, unit, through in ((FOLLOWS, "serial", "slot"), (STAYS, "slot", "serial")):
        runs = seen.groupby(unit, observed=True).agg(
            faults=("event_id", "size"), through=(through, "nunique")
        )
        runs = runs.join(sat.groupby(unit, observed=True)["usual"].sum(), how="inner")
        runs = runs[(runs["faults"] >= 3) & (runs["through"] >= 2) & (runs["usual"] > 0)]
        runs["p"] = np.minimum(pdtrc(runs["faults"] - 1.0, runs["usual"]) * units, 1.0)
        first = runs[runs["p"] < 1].nsmallest(NAMED, "p").rename_axis("name")
        found.append(first.reset_index().assign(pattern=pattern))
    return pd.concat(found, ignore_index=True)


FOLLOWS, STAYS = "follows the module", "stays with the slot"
QUIET_TIMES = 3.0  # so many of its usual gaps without a fault and a run is over: by chance alone that comes once in twenty


def gone_on(judged, faults, stays, work, *, today):
    """The runs with ``more_since``, how many faults went on at their slot, however worded, and ``latest_on``, the last day of all.

    Parameters
    ----------
    judged : DataFrame
        From :func:`judged_patterns`.
    faults, stays : DataFrame
        The evidence's frames.
    work : DataFrame
        ``event_id, cause, as_found, kind`` of all work.
    today : Timestamp

    Notes
    -----
    Own method. Nobody words a bad connector twice alike, so after the last fault of a run that stays with a slot every fault there
    counts, except where work found the part that failed (confirmed, failed or out of limit; a connector is the slot's own). They
    are ``more_since`` where as many come by chance less than once in twenty (Poisson, at the rate of all slots of that type of module
    over the whole book), and 0 elsewhere and for runs that may be chance themselves.
    """
    from scipy.special import pdtrc

    found = (work["cause"] == "confirmed") | work["as_found"].isin(["failed", "out of limit"])
    explained = work["event_id"][found & (work["kind"] != "connector")]
    open_ended = faults[faults["class"].isin(["fault", "return"]) & ~faults["event_id"].isin(explained)]
    more_since, latest_on = [], []
    for run in judged.fillna({"module_type": ""}).itertuples():
        more_since.append(0)
        latest_on.append(run.last_on)
        if run.verdict != SURE or run.pattern != STAYS:
            continue
        like, sat = (one[one["module_type"].fillna("") == run.module_type] for one in (open_ended, stays))
        here = (like["desk"] == run.desk) & (like["position"] == run.position)
        after = like["happened_on"][here & (like["happened_on"] > run.last_on)]
        usual = len(like) * (today - run.last_on).days / (sat["to_on"] - sat["from_on"]).dt.days.sum()
        if pdtrc(len(after) - 1, usual) < SIGNIFICANCE:
            more_since[-1], latest_on[-1] = len(after), after.max()
    return judged.assign(more_since=more_since, latest_on=latest_on)


def told_today(judged, work, sitting: dict, *, today):
    """The runs with where they stand today: ``slot_today, days_quiet``, whether each is ``alive``, what was ``tried`` since it
    began, and the last work with the day and what it found.

    Parameters
    ----------
    judged : DataFrame
        From :func:`gone_on`.
    work : DataFrame
        ``serial, desk, position, done_on, action, part_type, finding, cause, planned`` of all work, in order of day.
    sitting : dict
        Desk and slot today by serial.
    today : Timestamp

    Notes
    -----
    Own method. A run is over where it has been quiet three times its usual gap (with a steady rate that comes by chance in exp(-3), one
    in twenty), or where work after its last fault found a confirmed cause.
    """
    rows = []
    for run in judged.itertuples():
        serials = [one.strip() for one in str(run.serials).split(",")]
        follows = run.pattern == FOLLOWS
        is_slot = (work["desk"] == run.desk) & (work["position"] == run.position)
        own = work[work["serial"].isin(serials) if follows else is_slot]
        last = own.iloc[-1] if len(own) else {"done_on": None, "action": None, "finding": None}
        gap = (run.latest_on - run.first_on).days / max(run.faults + run.more_since - 1, 1)
        quiet = (today - run.latest_on).days
        mended = own[(own["done_on"] >= run.latest_on) & (own["cause"] == "confirmed")]
        place = sitting.get(serials[0]) if follows else (run.desk, run.position)
        rows.append(
            (
                "on no desk" if place is None else f"{place[0]} {place[1]}",
                quiet,
                last["done_on"],
                last["action"],
                last["finding"],
                _tried(own[(own["done_on"] >= run.first_on) & ~own["planned"].astype(bool)]),
                quiet <= QUIET_TIMES * gap and not len(mended),
            )
        )
    names = ["slot_today", "days_quiet", "last_work_on", "last_work", "last_found", "tried", "alive"]
    columns = zip(*rows, strict=True) if rows else [[]] * len(names)
    return judged.assign(**dict(zip(names, columns, strict=True)))


def _tried(work) -> tuple[tuple[str, int], ...]:
    """Pieces of work by action and part, each once in the order first done, with how often."""
    parts = (" " + work["part_type"].astype(object)).where(work["part_type"].notna(), "")
    times = (work["action"].astype(str) + parts).value_counts(sort=False)
    return tuple((str(name), int(number)) for name, number in times.items())

"""Time at risk as lifelines wants it, for questions of one's own; and its curve and its life of a kind of part, fitted."""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.arguments import NEAREST, named
from maintkit.quarter.quarter import Quarter

PLACE = ("desk", "position", "bay", "zone")
MODULE = ("family", "coupling", "module_type", "board_era", "rework_cycles")
LABELS = ("serial", "part_type", "kind", *PLACE, *MODULE, "air_c")


def spells(quarter: Quarter, part_type: str | None = None, *, kind: str | None = None):
    """Parts of known age as a frame whose columns are named as lifelines names its arguments.

    Parameters
    ----------
    quarter : Quarter
    part_type, kind : str, optional
        Only parts of this type, or of this kind; all when left out.

    Returns
    -------
    DataFrame
        ``entry, durations`` (age at the beginning and the end of a spell, powered years), ``event_observed`` (failed at its
        end), ``weights`` (identical parts it stands for), and what is known of the part: ``serial, part_type, kind, desk,
        position, bay, zone, family, coupling, module_type, board_era, rework_cycles, air_c``. Parts found out of limit in
        planned work, whose day of failure is not known, are left out. In order of serial, part type and entry.

    Raises
    ------
    MaintkitError
        If no part of that type or kind has a known age; the message lists the nearest.

    Notes
    -----
    A spell is ``(entry, durations]`` as in lifelines' ``fit(durations, event_observed, entry=…, weights=…)``; a part that
    moved has one for each slot, so pass ``cluster_col="serial"`` to lifelines' Cox model.
    """
    known = quarter.evidence.part_spells
    known = known[known["age_known"] & (known["exit"] > known["entry"])]
    known = known[~known["interval_censored"].astype(bool)]
    for column, asked in (("part_type", part_type), ("kind", kind)):
        if asked is not None:
            names = known[column].dropna().unique()
            none = "No part of that name has a known age in these records."
            heading = column.replace("_", " ").capitalize()
            known = known[known[column] == named(heading, asked, names, none=none, most=NEAREST)]
    frame = known[[name for name in LABELS if name in known.columns]].copy()
    frame.insert(0, "entry", known["entry"] / HOURS_PER_YEAR)
    frame.insert(1, "durations", known["exit"] / HOURS_PER_YEAR)
    frame.insert(2, "event_observed", known["event"].astype(bool))
    frame.insert(3, "weights", known["weight"].astype(float))
    return frame.sort_values(["serial", "part_type", "entry"], kind="stable").reset_index(drop=True)


def lifelines_curve(quarter: Quarter, part_type: str):
    """lifelines' Kaplan-Meier fitter of one kind of part, fitted; a second opinion on the kit's own curve.

    Returns
    -------
    lifelines.KaplanMeierFitter
        On powered years. It gives no warning where every part at risk has failed before others enter: the kit's curve does.
    """
    from lifelines import KaplanMeierFitter

    return KaplanMeierFitter(label=part_type).fit(**_arguments(spells(quarter, part_type)))


def lifelines_life(quarter: Quarter, part_type: str):
    """lifelines' Weibull fitter of one kind of part, fitted; ``rho_`` is the shape, ``lambda_`` the scale in powered years.

    Returns
    -------
    lifelines.WeibullFitter
        Its limits are on the natural scale and may fall below nought; the kit's are by profile likelihood. It takes the
        parts of a module as independent.
    """
    from lifelines import WeibullFitter

    return WeibullFitter(label=part_type).fit(**_arguments(spells(quarter, part_type)))


def _arguments(frame) -> dict:
    return {name: frame[name].to_numpy() for name in ("durations", "event_observed", "entry", "weights")}

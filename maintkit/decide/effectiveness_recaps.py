"""Is the re-cap money working: faults after re-caps against those of untouched modules that had been as bad before."""

import numpy as np

from maintkit.decide.effectiveness import FAULTS
from maintkit.decide.equal_age import least_shown, some_modules
from maintkit.hours import HOURS_PER_YEAR
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.shared_rates import SharedRates, fit_shared_rates

WORKS, HARMS, SAME, THIN = "works", "more faults than before", "no difference shown", "too few faults to say"
ALL = "all desks"
SIGNIFICANCE = 0.05
MOST_JOINT = 12  # desks fitted together
PERIOD_DAYS, MOST_PERIODS = 365, 8
MORE_THAN_A_FEW = 0.2  # share of a desk's time re-capped, by that of the desk with most: own choice


def recap_effects(stays, faults, work):
    """Faults after a module's first re-cap on record, beside those untouched modules as bad before lead one to expect.

    Parameters
    ----------
    stays, faults, work : DataFrame
        The evidence's frames.

    Returns
    -------
    DataFrame
        ``desk, re_caps, faults, expected, module_years, ratio, low, high, p, could_show, verdict``: a row for all desks with re-caps together, then one for each where there are several. ``expected`` are the
        faults those modules would have had untouched, ``ratio`` faults over them with 90 % limits, ``could_show`` the ratio that
        these records would have shown with a chance of 80 % had it been true; empty where no re-cap falls into watched time.

    Notes
    -----
    Own method, matching by what came before. Work that goes to the worst first looks useless beside the others, and useless work looks good beside its own worst year. So
    each re-capped module is matched with modules not (or not yet) re-capped of its family and type, over the same dates on the
    same desk, that had as many faults for their time before: ``fit_shared_rates`` with a factor for each module, a rate for each
    desk and year, and one for each type. Returns within 30 days of the re-cap count. A verdict takes five faults, and p below
    0.05, for single desks adjusted for their number (Holm).
    """
    import pandas as pd

    cells = _cells(stays, faults, work)
    if cells is None:
        return pd.DataFrame()
    desks = sorted(cells.loc[cells["done"] & (cells["years"] > 0), "desk"].unique())
    of_desk = {desk: own for desk, own in cells.groupby("desk", sort=True) if desk in set(desks)}
    found = {desk: _fit(own) for desk, own in of_desk.items()}
    rows = [_row(desk, of_desk[desk], found[desk]) for desk in desks]
    adjusted = holm([row["p"] for row in rows])
    for row, p in zip(rows, adjusted, strict=True):
        row["verdict"] = _verdict(row, p)
    if len(desks) > 1:
        every = cells[cells["desk"].isin(desks)]
        together = _row(ALL, every, _fit(every) if len(desks) <= MOST_JOINT else _pooled(found.values()))
        rows.insert(0, together | {"verdict": _verdict(together, together["p"])})
    return pd.DataFrame(rows)


def _verdict(row: dict, p: float) -> str:
    if not max(row["faults"], row["expected"]) >= FEWEST_FOR_A_VERDICT or np.isnan(p):
        return THIN
    return SAME if p >= SIGNIFICANCE else WORKS if row["ratio"] < 1 else HARMS


def _fit(cells) -> SharedRates | None:
    """Rates of these desks with the ratio of re-capped to untouched first; None where there is nothing to compare with."""
    if not cells.loc[~cells["done"], "faults"].sum() or not cells["done"].any():
        return None
    return fit_shared_rates(cells["faults"], cells["years"], _design(cells), cells["serial"].to_numpy())


def _pooled(fits) -> SharedRates | None:
    """The desks' ratios as one, each weighing as much as it is sure (inverse variance, after W. G. Cochran (1954), Biometrics 10,
    101-129, from memory): many desks are too many for one fit, whose every desk and year has a rate of its own."""
    fits = [fit for fit in fits if fit is not None]
    if not fits:
        return None
    weight = np.array([fit.errors[0] ** -2.0 for fit in fits])
    ratio = weight @ np.array([fit.coefficients[0] for fit in fits]) / weight.sum()
    sums = (sum(getattr(fit, name) for fit in fits) for name in ("expected", "events", "exposure"))
    return SharedRates(np.array([ratio]), np.array([weight.sum() ** -0.5]), np.nan, *sums)


def _row(desk: str, cells, found: SharedRates | None) -> dict:
    """The comparison on some desks; blanks where there was nothing to compare with."""
    done, told = cells[cells["done"]], np.full(6, np.nan)
    if found is not None:
        ratio, could_show = found.ratio(), 1 / least_shown(found.errors[0])
        told = found.expected, ratio.value, ratio.low, ratio.high, found.p(), could_show
    expected, ratio, low, high, p, could_show = told
    return {
        "desk": desk,
        "re_caps": done["serial"].nunique(),
        "faults": int(done["faults"].sum()),
        "expected": expected,
        "module_years": float(done["years"].sum()),
        "ratio": ratio,
        "low": low,
        "high": high,
        "p": p,
        "could_show": could_show,
    }


def _design(cells) -> np.ndarray:
    """Re-capped or not first; then desk and year, family and type, each but the first."""
    import pandas as pd

    when = cells["desk"].astype(str) + cells["period"].astype(str)
    kind = cells["family"].astype(str) + "/" + cells["module_type"].astype(str)
    others = [pd.get_dummies(label, drop_first=True, dtype=float).to_numpy() for label in (when, kind)]
    return np.column_stack([cells["done"].to_numpy(float), *others])


def rates_by_year(stays, faults, work):
    """Faults a powered module-year of modules re-capped in watched time and of those not yet, on desks that have more than a few.

    ``stays, faults, work`` are the evidence's frames. A tally, by definition.

    Returns
    -------
    DataFrame
        ``period`` (0 for the ``days`` up to the last day watched, 1 for those before, …), ``days, done, desk, years, faults``, by
        period from the first; without a row where nothing was re-capped.
    """
    import pandas as pd

    cells = _cells(stays, faults, work)
    if cells is None:
        return pd.DataFrame(columns=["period", "days", "done", "desk", "years", "faults"])
    time = (
        cells.assign(done_years=cells["years"] * cells["done"]).groupby("desk")[["done_years", "years"]].sum()
    )
    share = time["done_years"] / time["years"]
    own = cells[cells["desk"].map(share) >= MORE_THAN_A_FEW * share.max()]
    whole = (stays["to_on"].max() - stays["from_on"].min()).days
    length = max(PERIOD_DAYS, int(np.ceil(whole / MOST_PERIODS)))
    sums = own.groupby(["period", "done", "desk"])[["years", "faults"]].sum().reset_index()
    return sums.assign(days=length).sort_values(
        ["period", "done", "desk"], ascending=[False, True, True], ignore_index=True
    )


def _cells(stays, faults, work):
    """Faults and powered years of each module by desk, year and whether it was re-capped yet; None without a re-cap in watched time."""

    recaps = work[(work["action"] == "re-cap") & work["serial"].notna()]
    begun, ended = stays.groupby("serial")["from_on"].min(), stays["to_on"].max()
    recaps = recaps[recaps["done_on"] > recaps["serial"].map(begun)]
    if not len(recaps) or not len(stays):
        return None
    first = recaps.groupby("serial")["done_on"].min()
    stays = some_modules(stays[_may_be_re_capped(stays, first.index)])
    length = max(PERIOD_DAYS, int(np.ceil((ended - stays["from_on"].min()).days / MOST_PERIODS)))
    pieces = _pieces(stays.assign(recap=stays["serial"].map(first)), ended, length)
    real = faults[faults["class"].isin(FAULTS) & faults["serial"].isin(stays["serial"])]
    real = real.assign(
        done=real["happened_on"] > real["serial"].map(first),
        period=(ended - real["happened_on"]).dt.days // length,
    )
    key = ["serial", "desk", "period", "done"]
    years = pieces.groupby([*key, "family", "module_type"], dropna=False)["years"].sum().reset_index()
    count = real.groupby(key).size().rename("faults")
    cells = years.merge(count, on=key, how="left").fillna({"faults": 0})
    return cells if cells["done"].any() else None


def form_of_slot(slots):
    """How each slot is written on its desk, whatever its number, as ``ch 12`` is beside ``ch 3``.

    Parameters
    ----------
    slots : DataFrame
        ``desk, position``.

    Returns
    -------
    Series of str
        One for each row, with ``#`` for the number at its end.

    Notes
    -----
    Own choice; by definition.
    """
    number = slots["position"].astype(str).str.replace(r"\d+$", "#", regex=True)
    return slots["desk"].astype(str) + "\n" + number


def _may_be_re_capped(stays, recapped):
    """Whether each stay may stand beside those re-capped: it is in a slot written as a re-capped one of its desk is (own choice). A supply or a patchbay is no channel not yet re-capped."""
    form = form_of_slot(stays)
    has_recaps = stays["desk"].isin(stays.loc[stays["serial"].isin(recapped), "desk"])
    return ~has_recaps | form.isin(form[stays["serial"].isin(recapped)])


def _pieces(stays, ended, length: int):
    """Stays cut at the first re-cap and at the ends of the periods, counted back from the end; powered years shared out by days."""
    import pandas as pd

    days = (stays["to_on"] - stays["from_on"]).dt.days.to_numpy(float)
    a_day = stays["exposure_hours"].to_numpy(float) / np.maximum(days, 1) / HOURS_PER_YEAR
    back = {name: (ended - stays[name]).dt.days.to_numpy(float) for name in ("from_on", "to_on", "recap")}
    cut = np.where(np.isnan(back["recap"]), -np.inf, back["recap"])
    found = []
    for period in range(int(back["from_on"].max() // length) + 1):
        first = np.minimum(back["from_on"], (period + 1) * length)
        last = np.maximum(back["to_on"], period * length)
        for done, (begin, end) in (
            (False, (first, np.maximum(last, cut))),
            (True, (np.minimum(first, cut), last)),
        ):
            inside = begin > end
            own = stays.loc[inside, ["serial", "desk", "family", "module_type"]]
            years = (begin - end)[inside] * a_day[inside]
            found.append(own.assign(period=period, done=done, years=years))
    return pd.concat(found, ignore_index=True)

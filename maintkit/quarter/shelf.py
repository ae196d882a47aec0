"""What stands on the shelf and what was counted there: modules in no desk, the scarce parts in them, stock, and use of parts."""

from dataclasses import dataclass
from datetime import date
from functools import partial

from maintkit.decide.spares import part_demand
from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.marked import made_ready
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.records.drafting import DRAFTED
from maintkit.records.known_words.outcomes import says_gone, says_lent
from maintkit.records.known_words.words import is_wholly, says

# common practice, no single source: electrolytics unpowered so long want re-forming and a check
RE_FORM_AFTER_YEARS = 2
STATE = ["condition", "inspected_on", "damaged_tracks", "bridged_tracks", "rework_cycles"]
STOOD = ["unpowered_years", "tested_years", "place", "scarce_parts"]
CONDITIONS = {"working": 0, "repairable": 1, "strip only": 2}


@dataclass(frozen=True)
class Roster:
    """Modules on the roster, how many of them were scrapped, and of how many that sit in no desk nothing says where they are."""

    modules: int
    scrapped: int
    nowhere: int = 0


def on_roster(quarter: Quarter) -> Roster:
    """How many modules are known."""
    roster = quarter.evidence.roster
    gone = roster["scrapped_on"].notna() | (
        roster["desk"].isna() & roster["serial"].isin(_remarked(quarter, says_gone))
    )
    nowhere = roster["desk"].isna() & ~gone & roster["serial"].isin(_nowhere(quarter))
    return Roster(len(roster), int(gone.sum()), int(nowhere.sum()))


def on_the_bench(quarter: Quarter) -> set[str]:
    """The modules in no desk that the list of modules, or the shelf, has on the bench."""
    return set(_idle_modules(quarter)["serial"]) & _remarked(quarter, partial(is_wholly, "on_bench"))


def _remarked(quarter: Quarter, said) -> set[str]:
    """The modules of which the list of modules, or the last row of the shelf, says something in a place or a remark."""
    import pandas as pd

    shelf = _last_on_shelf(quarter)
    rows = pd.concat(
        [quarter.table("modules", "serial", "as_written"), shelf[["serial", "place", "as_written"]]]
    )
    return {
        row.serial
        for row in rows.itertuples()
        if any(
            said(text)
            for text in (row.place, *(row.as_written.values() if isinstance(row.as_written, dict) else ()))
            if isinstance(text, str)
        )
    }


@once_a_quarter
def donor_table(quarter: Quarter):
    """A row per module in no desk in service, best condition and most scarce parts first; not to be changed.

    What a place or remark says was thrown away or lent is none, and what is not to be used is for parts only, whatever an inspection found.
    None is what stands for a slot, a module of :func:`in_doubt`, nor one that entries name and nothing has in any place.
    """
    table = _idle_modules(quarter)
    return table[table["said_in"].isna()].drop(columns="said_in").reset_index(drop=True)


def in_doubt(quarter: Quarter):
    """As :func:`donor_table`, the modules that sit nowhere by the fitments but by the list of modules in a desk in service: ``said_in``."""
    table = _idle_modules(quarter)
    return table[table["said_in"].notna()].reset_index(drop=True)


@once_a_quarter
def _idle_modules(quarter: Quarter):
    import pandas as pd

    evidence, end = quarter.evidence, pd.Timestamp(quarter.last_day)
    roster, stays = evidence.roster, evidence.stays
    slots = stays.loc[stays["serial"] == stays["desk"] + "/" + stays["position"], "serial"]
    idle = roster[(roster["desk"].isna() | roster["retired_desk"]) & roster["scrapped_on"].isna()]
    away = _remarked(quarter, lambda text: says_gone(text) or says_lent(text)) | _nowhere(quarter)
    idle = idle[~idle["serial"].isin(away | set(slots))]
    seen = quarter.table("inspections")
    seen = seen[seen["inspected_on"] <= end].sort_values("inspected_on", kind="stable")
    seen = seen.groupby("serial").last()
    table = idle.join(seen[["condition", "damaged_tracks", "inspected_on"]], on="serial")
    table["condition"] = table["condition"].fillna("not inspected")
    unfit = table["serial"].isin(_remarked(quarter, partial(says, "unfit")))
    table["condition"] = table["condition"].mask(unfit, "strip only")
    tested = _last_tested(quarter, end)
    powered = _last_powered(quarter, end, tested)
    table["unpowered_years"] = (end - table["serial"].map(powered)).dt.days / DAYS_PER_YEAR
    shelf = _last_on_shelf(quarter).set_index("serial")
    table["tested_years"] = (end - table["serial"].map(tested)).dt.days / DAYS_PER_YEAR
    table["place"] = table["serial"].map(shelf["place"])
    table["said_in"] = table["serial"].map(_said_in(quarter, end))
    held = donor_parts(quarter, table)
    table["scarce_parts"] = [sum(held.get(serial, {}).values()) for serial in table["serial"]]
    table["order"] = table["condition"].map(CONDITIONS).fillna(len(CONDITIONS))
    by = ["order", "scarce_parts", "serial"]
    table = table.sort_values(by, ascending=[True, False, True], kind="stable", ignore_index=True)
    return table[["serial", "family", "module_type", "board_era", *STATE, *STOOD, "said_in"]]


def _nowhere(quarter: Quarter) -> set[str]:
    """The modules that entries name alone, by which no list of modules, swap, shelf or inspection says where they are: no spares."""
    named = quarter.table("modules", "serial", "source_file")
    told = (quarter.table(name)["serial"].dropna() for name in ("fitments", "shelf", "inspections"))
    return set(named.loc[named["source_file"] == DRAFTED, "serial"]).difference(*told)


def _said_in(quarter: Quarter, end):
    """The slot, by serial, in which the list of modules says that one sits, of a desk in service; none that is fitted there after ``end``."""
    said, desks = quarter.table("modules", "serial", "desk", "position"), quarter.table("desks")
    serving = desks.loc[desks["retired_on"].isna() | (desks["retired_on"] > end), "desk"]
    said = said[said["desk"].isin(serving) & said["position"].notna()].set_index("serial")
    said = said["desk"] + " " + said["position"]
    later = quarter.table("fitments", "serial", "desk", "position", "fitted_on").query("fitted_on > @end")
    later = set(zip(later["serial"], later["desk"] + " " + later["position"], strict=True))
    return said[[one not in later for one in said.items()]]


def _last_on_shelf(quarter: Quarter):
    """The last row of the shelf of each module."""
    shelf = quarter.table("shelf").dropna(subset=["serial"]).sort_values("shelf_in", kind="stable")
    return shelf.drop_duplicates("serial", keep="last")


def _last_powered(quarter: Quarter, end, tested):
    """Day each module last ran: the latest of what the shelf table says, its last test and the day it left its last slot; where none is known,
    the day it came on the shelf, if that is too long ago for it to be ready: it has not run since."""
    import pandas as pd

    shelf = quarter.table("shelf").dropna(subset=["serial"])
    came = shelf[shelf["shelf_in"] <= end].groupby("serial")["shelf_in"].max()
    came = came[(end - came).dt.days > RE_FORM_AFTER_YEARS * DAYS_PER_YEAR]
    said = shelf[shelf["last_powered_on"] <= end].groupby("serial")["last_powered_on"].max()
    stays = quarter.evidence.stays.groupby("serial")["to_on"].max()
    days = (one.astype("datetime64[ns]") for one in (said, stays, tested))
    ran = pd.concat(days).groupby(level=0).max()
    return pd.concat([ran, came[~came.index.isin(ran.index)].astype("datetime64[ns]")])


def _last_tested(quarter: Quarter, end):
    """Day each module was last tested since it left its last slot: as the shelf table says, or made ready as a review proposed."""
    import pandas as pd

    said = quarter.table("shelf").dropna(subset=["serial"]).set_index("serial")["last_tested_on"]
    days = pd.concat([said, made_ready(quarter)]).astype("datetime64[ns]")
    left = quarter.evidence.stays.groupby("serial")["to_on"].max().reindex(days.index)
    return days[(days <= end) & ~(days < left)].groupby(level=0).max()


def short_types(quarter: Quarter):
    """The rows of ``part_types`` that are scarce or no longer made, but for electrolytics, which no donor is stripped for."""
    types = quarter.table("part_types")
    return types[types["obtainable"].isin(["scarce", "no"]) & (types["kind"] != "electrolytic").fillna(True)]


def donor_parts(quarter: Quarter, donors) -> dict:
    """Parts that are scarce or no longer made in each donor, by serial and part type; electrolytics are none."""
    lists = quarter.table("parts_list")
    lists = lists[lists["part_type"].isin(short_types(quarter)["part_type"])]
    fits = donors[["serial", "family", "module_type", "board_era"]].merge(
        lists[["family", "module_type", "board_era", "part_type", "quantity"]],
        on="module_type",
        suffixes=("", "_list"),
    )
    for name in ("board_era", "family"):
        fits = fits[fits[f"{name}_list"].isna() | (fits[f"{name}_list"] == fits[name])]
    # a number for the module's own era, then family, stands before that for every one
    fits = fits.sort_values(["board_era_list", "family_list"], key=lambda of: of.notna(), kind="stable")
    last, held = fits.groupby(["serial", "part_type"], observed=True)["quantity"].last(), {}
    for (serial, name), number in last.items():
        held.setdefault(serial, {})[name] = int(number)
    return held


def on_hand(quarter: Quarter) -> dict:
    """The last count of each part type, up to the end of the quarter."""
    counts = last_counts(quarter)
    return dict(zip(counts["part_type"], counts["on_hand"], strict=True))


def kinds_on_record(quarter: Quarter):
    """The rows of ``part_types``, and one that says no more than its name for each part type that was counted and has none."""
    types, counts = quarter.table("part_types"), last_counts(quarter)
    counted = counts.loc[~counts["part_type"].isin(types["part_type"]), "part_type"]
    return types.set_index("part_type").reindex([*types["part_type"], *counted]).reset_index()


@dataclass(frozen=True)
class OldStock:
    """Electrolytics in stock that stood longer than may be: how many were counted, and since when the newest of them stand, made or
    tested."""

    part_type: str
    in_stock: int
    since: date


@once_a_quarter
def old_stock(quarter: Quarter) -> tuple[OldStock, ...]:
    """The electrolytics in stock whose newest batch on the shelf was made (date code, else the day it came) or last tested too long ago;
    they are re-formed and checked before they are counted on. Of stock with no batch on record the age is not known."""
    import pandas as pd

    end, counted = pd.Timestamp(quarter.last_day), on_hand(quarter)
    types = quarter.table("part_types")
    kinds = set(types.loc[(types["kind"] == "electrolytic").fillna(False), "part_type"])
    shelf = quarter.table("shelf")
    shelf = shelf[shelf["part_type"].isin(kinds) & (shelf["shelf_in"] <= end)]
    tested = shelf["last_tested_on"].where(shelf["last_tested_on"] <= end)
    made = shelf["date_code"].map(made_by).astype("datetime64[ns]")
    made = made.fillna(shelf["shelf_in"].astype("datetime64[ns]"))
    newest = pd.concat([made, tested], axis=1).max(axis=1).groupby(shelf["part_type"]).max()
    return tuple(
        OldStock(name, int(counted[name]), day.date())
        for name, day in newest.items()
        if counted.get(name, 0) >= 1 and (end - day).days > RE_FORM_AFTER_YEARS * DAYS_PER_YEAR
    )


def made_by(code) -> date | None:
    """Monday of the week a date code of four digits names, year and week; None for any other code.

    Examples
    --------
    >>> made_by("2238"), made_by("week 3"), made_by("2299")
    (datetime.date(2022, 9, 19), None, None)
    """
    if not isinstance(code, str) or not code.strip().isdigit() or len(code.strip()) != 4:
        return None
    year, week = int(code.strip()[:2]), int(code.strip()[2:])
    year += 1900 if year >= 70 else 2000
    return date.fromisocalendar(year, week, 1) if 1 <= week <= 52 else None


@once_a_quarter
def last_counts(quarter: Quarter):
    """The last row of ``stock`` of each part type up to the end of the quarter, in order of part type; not to be changed."""
    import pandas as pd

    stock = quarter.table("stock").sort_values("counted_on", kind="stable")
    stock = stock[stock["counted_on"] <= pd.Timestamp(quarter.last_day)]
    last = stock.drop_duplicates("part_type", keep="last")
    return last.sort_values("part_type", kind="stable", ignore_index=True)


@once_a_quarter
def demand_in(quarter: Quarter) -> tuple[dict, float]:
    """Demand of the desks in service by part type since the records began, and how many years that is; not to be changed."""
    first, last = _days_on_record(quarter)
    work = quarter.evidence.work
    work = work[work["desk"].isna() | work["desk"].isin(quarter.slots["desk"])]
    return part_demand(work, first_day=first, last_day=last), years_on_record(quarter)


def years_on_record(quarter: Quarter) -> float:
    """Calendar years since modules were watched."""
    first, last = _days_on_record(quarter)
    return max((last - first).days, 0) / DAYS_PER_YEAR


def _days_on_record(quarter: Quarter):
    import pandas as pd

    stays, last = quarter.evidence.stays, pd.Timestamp(quarter.last_day)
    return (stays["from_on"].min() if len(stays) else last), last

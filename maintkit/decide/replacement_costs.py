"""What planned work and faults cost, in bench time and money, learnt from the work on record where it says."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR

MINUTES_PER_CAPACITOR = 3.0  # common practice, no source: 2 to 4 with the check
REPAIR_MINUTES = 40.0  # common practice, no source: where the log holds fewer than five timed repairs
BRIDGE_MINUTES = 60.0  # common practice, no source
PART_COST = 1.0  # where part_types names no cost
JOINTS_PER_CAPACITOR = 2
SOLDER_GRAMS_A_JOINT = (0.02, 0.05)  # common practice, no source
FEWEST_TIMED = 5
TRACK_DAYS = 7  # a track bridged so near a re-cap was lifted by it


@dataclass(frozen=True)
class Costs:
    """Prices in the money of ``unit_cost``: an hour at the bench, an hour of session lost.

    Where either is not set costs are counted in hours: bench and session hours alike, and parts not at all.
    """

    bench_hour: float | None = None
    session_hour: float | None = None

    @property
    def in_money(self) -> bool:
        return self.bench_hour is not None and self.session_hour is not None

    def work(self, bench_minutes, parts=0.0):
        """Cost of so much bench time and of parts of that price."""
        return bench_minutes * self.bench_hour / 60 + parts if self.in_money else bench_minutes / 60

    def fault(self, *, bench_minutes: float, session_minutes: float, part: float) -> float:
        """Cost of one fault."""
        lost = session_minutes * (self.session_hour if self.in_money else 1.0) / 60
        return lost + self.work(bench_minutes, part)


@dataclass(frozen=True)
class BoardWear:
    """Per re-cap gone before: tracks lifted in the next one, and faults of tracks a year; the most re-caps a board in service has had;
    whether the records tell of any track, without which nothing is known of them."""

    tracks_a_cycle: float
    faults_a_year_a_cycle: float
    tracks: int
    recaps: int
    faults: int
    most_recaps: int
    on_record: bool


def unit_costs(part_types) -> dict:
    """Cost of one of each part type on record, a dict in the money of ``unit_cost``; those without a price are left out.

    ``part_types`` is the table of that name. A look-up, by definition.
    """
    priced = part_types.dropna(subset=["unit_cost"])
    return dict(zip(priced["part_type"], priced["unit_cost"].astype(float), strict=True))


def kits_of(parts, serials) -> list[dict]:
    """How many of each part type each of these modules holds, a dict a module, from rows of ``serial, part_type, weight``.

    A tally, by definition.
    """
    kits: dict = {serial: {} for serial in serials}
    numbers = parts.groupby(["serial", "part_type"], sort=True, observed=True)["weight"].sum()
    for (serial, name), number in numbers.items():
        if serial in kits:
            kits[serial][name] = int(number)
    return [kits[serial] for serial in serials]


def recap_minutes(work) -> dict:
    """Median bench minutes of a whole re-cap by (family, module type), where five or more were timed."""
    whole = work[(work["action"] == "re-cap") & work["part_type"].isna() & work["bench_minutes"].notna()]
    timed = whole.groupby(["family", "module_type"])["bench_minutes"].agg(["median", "size"])
    return timed.loc[timed["size"] >= FEWEST_TIMED, "median"].to_dict()


def recaps_done(work) -> int:
    """How many re-caps are among these rows of work, an int: those of one module on one day, a row a kind of part, are one.

    A tally, by definition.
    """
    recaps = work[work["action"] == "re-cap"]
    whole = recaps["part_type"].isna() | recaps["serial"].isna()
    return int(whole.sum()) + len(recaps[~whole].drop_duplicates(["serial", "done_on"]))


def overhaul_minutes(work, modules) -> tuple[np.ndarray, np.ndarray]:
    """Bench minutes of one re-cap of each module, and whether they are those of its kind on record, two arrays of shape (modules,).

    Others take for each capacitor as long as the kinds on record do, or 3 minutes where there are none. ``modules`` has ``family,
    module_type, capacitors``. Own rule.
    """
    learnt = recap_minutes(work)
    kinds = zip(modules["family"], modules["module_type"], strict=True)
    own = np.array([learnt.get(kind, np.nan) for kind in kinds], float)
    capacitors, timed = modules["capacitors"].to_numpy(float), ~np.isnan(own)
    held = capacitors[timed].sum()
    each = own[timed].sum() / held if held else MINUTES_PER_CAPACITOR
    return np.where(timed, own, each * capacitors), timed


def median_minutes(work, chosen, otherwise: float) -> float:
    """Median bench minutes of the chosen work, or ``otherwise`` where fewer than five were timed.

    ``work`` is the evidence's frame, ``chosen`` a bool for each of its rows, shape (n,). Five: common practice, no source.
    """
    timed = work.loc[chosen, "bench_minutes"].dropna()
    return float(timed.median()) if len(timed) >= FEWEST_TIMED else otherwise


def board_wear(work, stays, faults) -> BoardWear:
    """Tracks lifted in re-caps and later, for each re-cap a board had behind it.

    Notes
    -----
    Both are taken as proportional to the re-caps gone before, so their estimates are events over summed cycles (Poisson
    maximum likelihood). A track counts to a re-cap where it was bridged within seven days of one on the same module.
    """
    from_on, on_record = stays["from_on"].min(), bool((work["action"] == "bridge track").any())
    work = work[work["serial"].notna() & (work["done_on"] >= from_on)]
    recaps = work[work["action"] == "re-cap"].drop_duplicates(["serial", "done_on"])
    bridged = work[(work["action"] == "bridge track")][["serial", "done_on", "quantity"]]
    near = recaps[["serial", "done_on", "rework_cycles"]].merge(
        bridged, on="serial", suffixes=("", "_bridged")
    )
    near = near[(near["done_on_bridged"] - near["done_on"]).abs().dt.days <= TRACK_DAYS]
    tracks, cycles = float(near["quantity"].sum()), float(recaps["rework_cycles"].sum())
    heard = int((faults["counts"] & (faults["action"] == "bridge track")).sum())
    aged = float((stays["exposure_hours"] * stays["rework_cycles"]).sum()) / HOURS_PER_YEAR
    in_service = stays.loc[stays["to_on"] == stays["to_on"].max(), "rework_cycles"]
    most = int(in_service.max()) if len(in_service) else 0
    a_cycle, a_year = tracks / cycles if cycles else 0.0, heard / aged if aged else 0.0
    return BoardWear(a_cycle, a_year, int(tracks), len(recaps), heard, most, on_record)


def connector_wear(stays, faults) -> float:
    """Faults of connectors a powered year for each time the module had been put back into a slot.

    Notes
    -----
    All of them are laid at the door of the matings gone before, in proportion (faults over summed matings x years), so
    this is as much as a mating can cost.
    """
    stays = stays.sort_values(["serial", "from_on"], kind="stable")
    before = stays.groupby("serial")[["to_on", "desk", "position"]].shift()
    put_back = before["to_on"].notna() & (
        (stays["from_on"] > before["to_on"])
        | (stays["desk"] != before["desk"])
        | (stays["position"] != before["position"])
    )
    matings = put_back.groupby(stays["serial"]).cumsum()
    years = float((stays["exposure_hours"] * matings).sum()) / HOURS_PER_YEAR
    heard = int((faults["counts"].astype(bool) & (faults["kind"] == "connector")).sum())
    return heard / years if years else 0.0


def solder_grams(joints: float) -> tuple[float, float]:
    """Least and most solder for so many joints, a float, in grams: common practice, no source.

    Examples
    --------
    >>> solder_grams(400)
    (8.0, 20.0)
    """
    return tuple(float(np.round(joints * grams, 6)) for grams in SOLDER_GRAMS_A_JOINT)

"""A slow, plain way to the part spells: every part is an object, and every day is walked through.

Written from the rules of the record book, to compare with the queries. Hours a week are whole multiples of seven here,
so that a day is a whole number of hours and nothing is rounded.
"""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta

DAY = timedelta(days=1)
RULE = {"confirmed": "strict", "suspected": "usual", None: "usual", "unknown": "loose"}
BAD = ("failed", "out of limit")


@dataclass
class Row:
    """One part in one stay, on the module's clock."""

    place: tuple
    entry: int
    exit: int | None = None
    counted_from: str | None = None
    interval_censored: bool = False


@dataclass
class Part:
    """One part: its kind, its place on the board, when its own age began, and its rows so far."""

    part_type: str
    kind: str
    ref: str | None
    born: int
    known: bool
    rows: list[Row] = field(default_factory=list)
    running: Row | None = None


class Walk:
    """One module, walked through its days."""

    def __init__(self, book, faults, module, record_end, clock):
        serial = module["serial"]
        self.book, self.module, self.record_end, self.clock_name = book, module, record_end, clock
        self.desks = {desk["desk"]: desk for desk in book["desks"]}
        self.weights = {(row["desk"], row["position"]): row["use_weight"] for row in book["positions"]}
        self.fits = sorted(
            (row for row in book["fitments"] if row["serial"] == serial), key=lambda row: row["fitted_on"]
        )
        self.work = sorted(
            (row for row in book["repairs"] if row["serial"] == serial and row["done_on"] <= record_end),
            key=lambda row: (row["done_on"], row["action"] == "re-cap", row["repair"]),
        )
        self.readings = [row for row in book["readings"] if row["serial"] == serial]
        self.records_from = min(self.desks[fit["desk"]]["records_from"] for fit in self.fits)
        self.scrapped = min(
            (row["done_on"] for row in self.work if row["action"] == "scrap"), default=date.max
        )
        self.zero, self.known = self.beginning()
        self.faults, self.hours_on = faults, {}
        self.hours, self.service_hours, self.proofs = 0, 0, []
        self.parts, self.gone = self.first_parts(), []

    def beginning(self):
        """The zero day of the clock and whether it is the module's true beginning."""
        first, made, origin = self.fits[0]["fitted_on"], self.module["made_on"], self.module["origin"]
        failed = any(
            row["action"] == "replace" and row["planned"] != "yes" and row["done_on"] < first
            for row in self.work
        )
        may_be_new = origin != "donor" and not failed
        if self.clock_name == "calendar":
            return min(made or first, first), made is not None or may_be_new
        if made is None:
            return first, may_be_new
        if made >= first - 366 * DAY:
            return first, True
        return (made, True) if origin in (None, "original") else (first, origin == "bought" and may_be_new)

    def first_parts(self):
        """The parts it began with, oldest first; seats with a designator are known from the work that names them."""
        dated = any(row["action"] == "re-cap" and row["done_on"] < self.records_from for row in self.work)
        parts = []
        for listed in self.book["parts_list"]:
            part_type, quantity = listed["part_type"], listed["quantity"]
            rows = [row for row in self.work if row["action"] == "replace" and row["part_type"] == part_type]
            seats = sorted({row["ref"] for row in rows if row["ref"] and row["quantity"] == 1})
            unnamed = [row for row in rows if not row["ref"] or row["quantity"] > 1]
            if len(seats) + any(row["quantity"] < quantity for row in unnamed) > quantity:
                seats = []
            kind = self.book["kinds"][part_type]
            unseen = kind == "electrolytic" and self.module["rework_cycles_before"] > 0 and not dated
            parts += [
                Part(part_type, kind, ref, 0, self.known and not unseen)
                for ref in seats + [None] * (quantity - len(seats))
            ]
        return parts

    def rows(self):
        """How many single parts have each row of labels, ages and fate."""
        for on in sorted({row["done_on"] for row in self.work if row["done_on"] < self.zero}):
            self.do([row for row in self.work if row["done_on"] == on])
        day = self.zero
        while day <= self.record_end + DAY:
            self.hours_on[day] = self.hours
            self.look(day)
            self.do([row for row in self.work if row["done_on"] == day])
            self.settle(day)
            self.run(day)
            day += DAY
        return Counter(
            (
                self.module["serial"],
                part.part_type,
                part.ref,
                *row.place[:3],
                row.entry - part.born,
                row.exit - part.born,
                row.counted_from,
                row.interval_censored,
                part.known,
            )
            for part in self.gone + self.parts
            for row in part.rows
        )

    def look(self, day):
        """Proofs that a part was good."""
        found = [
            (row["part_type"], row["ref"])
            for row in self.readings
            if row["measured_on"] == day and row["value"] >= 0.8 * row["nominal"]
        ]
        found += [
            (row["part_type"], row["ref"])
            for row in self.work
            if row["done_on"] == day
            and row["action"] not in ("replace", "re-cap")
            and row["as_found"] == "in limit"
        ]
        self.proofs += [(day, self.hours, part_type, ref) for part_type, ref in found]

    def do(self, rows):
        """A day's work: single replacements, then what the re-caps found, then what they renewed besides."""
        for row in (row for row in rows if row["action"] == "replace"):
            mine = [part for part in self.parts if part.part_type == row["part_type"]]
            seat = row["ref"] if row["quantity"] == 1 and row["ref"] in {part.ref for part in mine} else None
            every = seat is None and row["quantity"] >= len(mine)
            for part in [part for part in mine if every or part.ref == seat][: row["quantity"]]:
                self.leave(
                    part,
                    row,
                    failed=row["planned"] == "no",
                    interval_censored=row["planned"] == "yes" and row["as_found"] in BAD,
                )
        re_caps = [row for row in rows if row["action"] == "re-cap"]
        found = {row["repair"]: self.found_bad(row) for row in re_caps}
        for row in re_caps:
            for part in self.touched(row)[: found[row["repair"]]]:
                self.leave(
                    part, row, failed=row["planned"] == "no", interval_censored=row["planned"] == "yes"
                )
        for row in re_caps:
            touched = self.touched(row)
            for part in touched[: len(touched) - found[row["repair"]]]:
                self.leave(part, row, failed=False, interval_censored=False)

    def touched(self, row):
        """The parts a re-cap renews."""
        return [
            part
            for part in self.parts
            if part.part_type == row["part_type"]
            or (row["part_type"] is None and part.kind == "electrolytic")
        ]

    def found_bad(self, row):
        """How many parts a re-cap found bad: known only where it touched parts that are all alike."""
        touched = self.touched(row)
        alike = len({(part.part_type, part.ref) for part in touched}) == 1
        return (
            min(row["quantity"], len(touched))
            if alike and (row["planned"] == "no" or row["as_found"] in BAD)
            else 0
        )

    def leave(self, part, row, *, failed, interval_censored):
        """The part goes; a new one joins the end of the queue."""
        alone = sum(other.part_type == part.part_type and other.ref == part.ref for other in self.parts) == 1
        self.shut(part)
        left = self.failed_at(part, row) if failed else self.service_hours
        part.rows = [ran for ran in part.rows if ran.entry < left]
        for ran in part.rows:
            ran.exit = min(ran.exit, left)
        if part.rows and part.rows[-1].exit == left:
            if failed:
                returned = row["action"] == "replace" and self.faults.just_fitted(row)
                part.rows[-1].counted_from = "returned" if returned else RULE[row["cause"]]
            if interval_censored:
                self.hide(part, row["done_on"], alone)
        self.parts.remove(part)
        self.gone.append(part)
        known = row["donor_serial"] is None and (self.known or row["done_on"] >= self.zero)
        self.parts.append(Part(part.part_type, part.kind, part.ref, self.hours, known))

    def failed_at(self, part, row):
        """Where its clock stood when the fault was reported, if it was in by then and watched; else where it stands now."""
        reported = self.hours_on.get(self.faults.reported_on(row), self.service_hours)
        seen = any(ran.entry < reported <= ran.exit for ran in part.rows)
        return reported if seen and reported > part.born else self.service_hours

    def hide(self, part, day, alone):
        """What it ran since it was last known good becomes one doubtful row."""
        proofs = [
            hours
            for on, hours, part_type, ref in sorted(self.proofs)
            if alone and on < day and part_type == part.part_type and part.ref in (None, ref)
        ]
        good = max([part.born, *proofs[-1:]])
        place, exit = part.rows[-1].place, part.rows[-1].exit
        for row in part.rows:
            row.exit = min(row.exit, good)
        part.rows = [row for row in part.rows if row.exit > row.entry]
        if exit > good:
            part.rows.append(Row(place, good, exit, interval_censored=True))

    def shut(self, part):
        """End the running row where the module's service stands now."""
        if part.running:
            part.running.exit = self.service_hours
            if part.running.exit > part.running.entry:
                part.rows.append(part.running)
        part.running = None

    def fit_on(self, day):
        """The slot the module serves in during that day, if any."""
        for fit in self.fits:
            retired = self.desks[fit["desk"]]["retired_on"] or date.max
            if fit["fitted_on"] <= day < min(fit["removed_on"] or date.max, retired):
                return fit
        return None

    def daily(self, desk, position, day):
        """Hours its clock gains that day in that slot."""
        weekly = self.desks[desk]["powered_hours_per_week"]
        for row in sorted(
            (row for row in self.book["power"] if row["desk"] == desk), key=lambda row: row["from_on"]
        ):
            weekly = row["powered_hours_per_week"] if row["from_on"] <= day else weekly
        return weekly // 7 * (self.weights[desk, position] if self.clock_name == "use" else 1), weekly

    def place(self, day):
        """All that must stay the same for a row to run on; None where nothing is recorded."""
        fit = self.fit_on(day)
        if (
            fit is None
            or day < self.desks[fit["desk"]]["records_from"]
            or day > self.record_end
            or day >= self.scrapped
        ):
            return None
        re_caps = {row["done_on"] for row in self.work if row["action"] == "re-cap"}
        early = max(self.module["rework_cycles_before"], sum(on < self.records_from for on in re_caps))
        cycles = early + sum(self.records_from <= on <= day for on in re_caps)
        return (
            fit["desk"],
            fit["position"],
            cycles,
            fit["fitted_on"],
            self.daily(fit["desk"], fit["position"], day)[1],
        )

    def settle(self, day):
        """Close the rows whose surroundings changed overnight; open rows for today."""
        place = self.place(day)
        for part in self.parts:
            if part.running and part.running.place != place:
                self.shut(part)
            if place and part.running is None:
                part.running = Row(place, self.hours)

    def run(self, day):
        """The clock runs through the day."""
        fit = self.fit_on(day)
        if self.clock_name == "calendar":
            self.hours += 24
        elif fit or day < self.fits[0]["fitted_on"]:
            self.hours += self.daily((fit or self.fits[0])["desk"], (fit or self.fits[0])["position"], day)[0]
        if fit:
            self.service_hours = self.hours

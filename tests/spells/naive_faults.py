"""A slow, plain way to what every report and every piece of work proved to be: each is held against each other one.

Written from the rules of the record book, to compare with the queries, and used by the walk through the days.
"""

from datetime import date, timedelta

DAY = timedelta(days=1)
LOOKING = ("test", "swap module", "trace", "soak")
MONTH = 30 * DAY


class Faults:
    """The events of a book: ``classes``, ``same_as``, ``return_of`` by event; ``event_of`` by repair."""

    def __init__(self, book, record_end):
        self.book, self.end = book, record_end
        self.desks = {desk["desk"]: desk for desk in book["desks"]}
        self.fits = sorted(
            (fit for fit in book["fitments"] if self.leaves(fit) > fit["fitted_on"]),
            key=lambda fit: fit["fitted_on"],
        )
        self.work = [dict(row) for row in book["repairs"] if row["done_on"] <= record_end]
        self.tickets = [
            self.known(row)
            for row in book["tickets"]
            if self.desks[row["desk"]]["records_from"] <= row["raised_on"] <= record_end
        ]
        self.tickets.sort(key=lambda row: (row["raised_on"], row["ticket"]))
        for row in self.work:
            row["place"], row["answers"] = self.place(row), None
        for row in self.tickets:
            row["serial"] = self.occupant(row)
        self.answer()
        self.events = {row["ticket"]: self.judged(row) for row in self.tickets}
        self.same_as = self.reported_again()
        self.event_of = {
            row["repair"]: self.same_as.get(row["answers"], row["answers"])
            for row in self.work
            if row["answers"]
        }
        self.unticketed()
        self.return_of = {name: found for name in self.events if (found := self.returned(name))}
        self.classes = {name: self.class_of(name) for name in self.events}

    def leaves(self, fit):
        """The day after its last in the slot."""
        later = [
            other["fitted_on"]
            for other in self.book["fitments"]
            if other["serial"] == fit["serial"] and other["fitted_on"] > fit["fitted_on"]
        ]
        return min(
            [
                fit["removed_on"] or date.max,
                self.desks[fit["desk"]]["retired_on"] or date.max,
                self.end + DAY,
                *later,
            ]
        )

    def known(self, row):
        """The ticket as it stood on the last day."""
        last = row["closed_on"] or row["restored_on"]
        dates = {
            name: row[name] if row[name] and row[name] <= self.end else None
            for name in ("closed_on", "restored_on")
        }
        return {**row, **dates, "outcome": None if last and last > self.end else row["outcome"]}

    def place(self, row):
        """The slot its module was in on the morning of the work, or last before."""
        mine = [fit for fit in self.fits if fit["serial"] == row["serial"]]
        before = [fit for fit in mine if fit["fitted_on"] < row["done_on"]] or [
            fit for fit in mine[:1] if fit["fitted_on"] == row["done_on"]
        ]
        return (before[-1]["desk"], before[-1]["position"]) if before else None

    def occupant(self, ticket):
        """The one module the ticket can be about."""
        day, slot = ticket["raised_on"], (ticket["desk"], ticket["position"])
        named = {row["serial"] for row in self.book["repairs"] if row["ticket"] == ticket["ticket"]}
        sitting = [
            fit
            for fit in self.fits
            if (fit["desk"], fit["position"]) == slot and fit["fitted_on"] <= day <= self.leaves(fit)
        ]
        likely = [(fit["serial"] in named, fit["fitted_on"] < day) for fit in sitting]
        best = [fit["serial"] for fit, rank in zip(sitting, likely, strict=True) if rank == max(likely)]
        return best[0] if len(best) == 1 else None

    def answer(self):
        """Which ticket each piece of work answers."""
        numbers = {row["ticket"] for row in self.tickets}
        for row in self.work:
            if row["ticket"] in numbers:
                row["answers"] = row["ticket"]
            elif row["planned"] == "no":
                claims = [ticket for ticket in self.tickets if self.claims(ticket, row)]
                maybe = [ticket for ticket in claims if ticket["outcome"] in (None, "open", "fault found")]
                nearest = sorted(
                    maybe or claims, key=lambda ticket: (-ticket["raised_on"].toordinal(), ticket["ticket"])
                )
                row["answers"] = nearest[0]["ticket"] if nearest else None

    def claims(self, ticket, row):
        """Whether work without a number may answer the ticket."""
        until = ticket["closed_on"] or ticket["raised_on"] + MONTH
        here = (
            ticket["serial"] == row["serial"]
            if ticket["serial"]
            else row["place"] == (ticket["desk"], ticket["position"])
        )
        return here and ticket["raised_on"] <= row["done_on"] <= until

    def judged(self, ticket):
        """A ticket by itself."""
        mine = [row for row in self.work if row["answers"] == ticket["ticket"]]
        mended = any(row["planned"] == "no" and row["action"] not in LOOKING for row in mine)
        found = [row["raised_on"] for row in self.tickets if row["outcome"] == "fault found"]
        told = [row["done_on"] for row in self.work if row["planned"] == "no" and self.in_records(row)]
        unproved = ticket["outcome"] is None and ticket["raised_on"] < min([*found, *told, date.max])
        if ticket["outcome"] in ("no fault found", "not the desk"):
            what = ticket["outcome"]
        else:
            what = "fault" if ticket["outcome"] == "fault found" or mended or unproved else "open"
        last_work = max((row["done_on"] for row in mine), default=None)
        ends = [day for day in (ticket["closed_on"], ticket["restored_on"], last_work) if day]
        words = ticket["symptom"]
        unit = ticket["serial"] or (ticket["desk"], ticket["position"])
        return {
            "what": what,
            "on": ticket["raised_on"],
            "unit": unit,
            "words": words,
            "slot": (ticket["desk"], ticket["position"], ticket["serial"] is not None),
            "ends": min(ends, default=None),
        }

    def in_records(self, row):
        """Whether the work lies in the complete records."""
        own = [self.desks[fit["desk"]]["records_from"] for fit in self.fits if fit["serial"] == row["serial"]]
        return row["done_on"] >= (
            self.desks[row["place"][0]]["records_from"]
            if row["place"]
            else min(own, default=min(desk["records_from"] for desk in self.book["desks"]))
        )

    def reported_again(self):
        """The first report of each later one that came while an earlier one was open."""
        roots = {}
        names = [row["ticket"] for row in self.tickets]
        for place, name in enumerate(names):
            mine = self.events[name]
            like = [
                other
                for other in names[:place]
                if mine["words"]
                and self.events[other]["slot"] == mine["slot"]
                and self.events[other]["words"] == mine["words"]
            ]
            like = [
                other
                for other in like
                if mine["what"] in ("fault", "open") and self.events[other]["what"] in ("fault", "open")
            ]
            if any(self.events[other]["ends"] and self.events[other]["ends"] >= mine["on"] for other in like):
                roots[name] = roots.get(like[-1], like[-1])
        for name, root in roots.items():
            if self.events[name]["what"] == "fault":
                self.events[root]["what"] = "fault"
        return roots

    def unticketed(self):
        """Work that answers no ticket, one event a module and day."""
        for row in sorted(self.work, key=lambda row: row["repair"]):
            if (
                row["answers"]
                or row["planned"] == "yes"
                or row["action"] in (*LOOKING, "clean", "scrap")
                or not self.in_records(row)
            ):
                continue
            same = [
                other
                for other, event in self.events.items()
                if other.startswith("repair ")
                and (event["unit"], event["on"]) == (row["serial"], row["done_on"])
            ]
            name = same[0] if same else f"repair {row['repair']}"
            self.events.setdefault(
                name, {"what": "fault", "on": row["done_on"], "unit": row["serial"], "words": None}
            )
            self.event_of[row["repair"]] = name

    def returned(self, name):
        """The latest work that this fault is a return of."""
        fault = self.events[name]
        if fault["what"] != "fault" or name in self.same_as:
            return None
        before = [
            row for row in self.work if self.may_fail_to_hold(row, name) and self.about_the_same(row, name)
        ]
        return max(before, key=lambda row: (row["done_on"], row["repair"]))["repair"] if before else None

    def may_fail_to_hold(self, row, name):
        """Whether the work is unplanned, on that module, in the month before, and for something else."""
        fault, own = self.events[name], self.event_of.get(row["repair"])
        near = fault["on"] - MONTH <= row["done_on"] <= fault["on"]
        if own is None or own == name or not near:
            return False  # care has no fault to hold off
        earlier = row["done_on"] < fault["on"] or self.events[own]["on"] < fault["on"]
        mends = row["planned"] == "no" and row["action"] not in (*LOOKING, "scrap")
        return earlier and mends and row["serial"] == fault["unit"]

    def about_the_same(self, row, name):
        """By reference, else by part type, else by complaint."""
        answers = [
            other
            for other in self.work
            if self.event_of.get(other["repair"]) == name and other["planned"] == "no"
        ]
        for by in ("ref", "part_type"):
            told = {other[by] for other in answers} - {None}
            if row[by] and told:
                return row[by] in told
        said = self.events[self.event_of[row["repair"]]]["words"]
        return said is not None and said == self.events[name]["words"]

    def class_of(self, name):
        """What the event is called in the end."""
        if name in self.same_as:
            return "report"
        return "return" if name in self.return_of else self.events[name]["what"]

    def just_fitted(self, repair):
        """Whether the part replaced had just been fitted by the work that this is a return of, or for the same fault."""
        name = self.event_of.get(repair["repair"])
        if name and any(self.once_more(earlier, repair, name) for earlier in self.work):
            return True
        if name not in self.return_of:
            return False
        before = [
            row for row in self.work if self.may_fail_to_hold(row, name) and self.about_the_same(row, name)
        ]
        return any(
            row["action"] == "replace"
            and row["part_type"] == repair["part_type"]
            and (None in (row["ref"], repair["ref"]) or row["ref"] == repair["ref"])
            for row in before
        )

    def once_more(self, earlier, later, name):
        """Whether the later work replaces what the earlier fitted in that place for the same fault, within a month."""
        held = {row["part_type"]: row["quantity"] for row in self.book["parts_list"]}
        same = ["serial", "action", "part_type"] + ["ref"] * (held.get(later["part_type"]) != 1)
        return (
            self.event_of.get(earlier["repair"]) == name
            and earlier["planned"] == later["planned"] == "no"
            and all(earlier[column] == later[column] is not None for column in same)
            and (earlier["done_on"], earlier["repair"]) < (later["done_on"], later["repair"])
            and later["done_on"] <= earlier["done_on"] + MONTH
        )

    def reported_on(self, repair):
        """The day the fault was first reported, where that is about the module worked on."""
        name = self.event_of.get(repair["repair"])
        event = self.events[name] if name else None
        return event["on"] if event and event["unit"] == repair["serial"] else None

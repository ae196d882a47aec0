"""The written side of the demo's workshop: tickets, repairs and readings as they would be kept."""

from datetime import date, timedelta

from data_demo.make import scenario as plan
from data_demo.make.dice import Dice
from data_demo.make.facility import heat_factor
from data_demo.make.words import FINDINGS, symptom_text
from data_demo.make.yard import Yard

IMPACTS = ("stopped session", "worked round", "nuisance", "found on check")
GRAVE = ("gain-control ic", "tantalum 4u7", "dual op-amp", "edge connector", "mute relay", "re-solder")
TRIVIAL = ("indicator lamp", "adjust", "clean")
MEDIAN_MINUTES = {
    "replace": 35,
    "clean": 15,
    "re-solder": 25,
    "bridge track": 50,
    "adjust": 20,
    "test": 40,
    "swap module": 8,
    "scrap": 20,
    "re-cap": 380,
}


class Bench(Yard):
    """What is written down about the work, and what the work does to the parts."""

    def __init__(self, modules, lives, seed: int):
        super().__init__(modules)
        self.lives = lives
        self.dice, self.words = Dice(seed), Dice(seed + 1)
        self.tickets: list[dict] = []
        self.repairs: list[dict] = []
        self.readings: list[dict] = []

    # tickets

    def write_ticket(self, day: date, module, what: str, symptom: str | None = None) -> dict:
        """A new ticket for the slot the module sits in; it stays open until it is closed."""
        if module.serial in plan.ROVER_SYMPTOM and what != "not the desk":
            symptom = plan.ROVER_SYMPTOM[module.serial]
        impact = self.words.pick(IMPACTS, impact_weights(what))
        ticket = {
            "raised_on": day,
            "desk": module.slot[0],
            "position": module.slot[1],
            "module_type": module.module_type if self.words.chance(0.75) else None,
            "symptom": symptom or symptom_text(self.words, what, module.slot[1]),
            "impact": impact,
            "minutes_lost": self._minutes_lost(impact),
            "outcome": "open",
            "restored_on": None,
            "closed_on": None,
        }
        self.tickets.append(ticket)
        return ticket

    def write_report(self, day: date, ticket: dict):
        """The same fault reported once more; it closes with the first ticket."""
        if day <= plan.RECORD_END:
            self.tickets.append({**ticket, "raised_on": day, "minutes_lost": None, "same_as": ticket})

    def close_ticket(self, ticket: dict | None, day: date, outcome: str):
        """Service back on the day of the work unless a swap brought it back before; the paper may take longer."""
        if ticket is None:
            return
        closed = day + timedelta(days=self.words.between(0, 3))
        ticket["restored_on"] = ticket["restored_on"] or day
        if closed <= plan.RECORD_END:
            ticket["outcome"], ticket["closed_on"] = outcome, closed

    def _minutes_lost(self, impact: str) -> int | None:
        median = {"stopped session": 40, "worked round": 9, "nuisance": 2, "found on check": 0}[impact]
        minutes = round(self.words.long_tailed(median, 0.9)) if median else 0
        return None if self.words.chance(0.06) else minutes

    # repairs

    def write_repair(self, day: date, number: int | None, action: str, what: str, **details):
        """One piece of work in the record; ``details`` override what is usual for it."""
        ticket = details.get("ticket")
        self.repairs.append(
            {
                "done_on": day,
                "serial": self.modules[number].serial if number is not None else None,
                "slot": details.get("slot"),
                "ticket": ticket if self.words.chance(0.92) else None,
                "answers": ticket,
                "action": action,
                "part_type": details.get("part"),
                "ref": details.get("ref"),
                "quantity": details.get("quantity"),
                "finding": details.get("finding") or self.words.pick(FINDINGS[what]),
                "cause": details.get("cause"),
                "as_found": details.get("as_found"),
                "bench_minutes": details.get("minutes", self._bench_minutes(action)),
                "planned": details.get("planned", self.words.pick(("no", None), (0.8, 0.2))),
                "donor_serial": details.get("donor"),
            }
        )

    def _bench_minutes(self, action: str) -> int | None:
        minutes = round(self.words.long_tailed(MEDIAN_MINUTES[action], 0.6))
        return None if self.words.chance(0.05) else minutes

    def mend(self, day: date, number: int, job, ticket):
        """Do the work a fault asks for, write it down, and close the ticket."""
        if job.action == "replace":
            self._replace(day, number, job.index, ticket)
        else:
            cause = None if job.action == "test" else self._cause()
            self.write_repair(day, number, job.action, job.action, ticket=ticket, cause=cause)
        self.close_ticket(ticket, day, "no fault found" if job.action == "test" else "fault found")

    def _cause(self) -> str:
        return self.words.pick(("confirmed", "suspected", "unknown"), (0.7, 0.2, 0.1))

    def _replace(self, day: date, number: int, index: int, ticket):
        part = plan.PARTS[self.lives.part[index]]
        donor = self._donor_for(number, index) if part.kind in ("switch", "relay") else None
        self.lives.end(index, failed=True)
        self.lives.renew(index, 0.0 if donor is None else self.lives.age[donor])
        known = self.words.chance(0.35 if part.kind == "electrolytic" else 0.8)
        self.write_repair(
            day,
            number,
            "replace",
            part.kind,
            ticket=ticket,
            part=part.name,
            cause=self._cause(),
            ref=reference(part, self.lives.seat[index]) if known else None,
            as_found=self.words.pick(("failed", "out of limit", "not measured"), (0.72, 0.13, 0.15)),
            donor=None if donor is None else self.modules[self.lives.module[donor]].serial,
        )
        self._lift_tracks(day, number, plan.TRACKS_A_WORK_A_CYCLE, ticket=ticket, cause="confirmed")

    def _donor_for(self, number: int, index: int) -> int | None:
        """The same part of a donor module on the shelf, sometimes, once there are donors."""
        donors = [
            donor
            for donor in self.donors
            if self.modules[donor].module_type == self.modules[number].module_type
        ]
        if not donors or not self.dice.chance(0.3):
            return None
        part = self.lives.part[index]
        parts = self.lives.parts_of(self.dice.pick(donors[:6]), plan.PARTS[part].name)
        return int(parts[self.lives.seat[index] % len(parts)])

    def _lift_tracks(self, day: date, number: int, share_a_cycle: float, **details):
        for _ in range(self.dice.count(share_a_cycle * self.modules[number].cycles)):
            self.write_repair(day, number, "bridge track", "bridge track", **details)

    # planned work

    def recap(self, day: date, number: int, part_name: str | None):
        """Every electrolytic of a module (or every one of a type) is changed; the worn are written down first."""
        parts = self.lives.parts_of(number, part_name)
        for name in dict.fromkeys(plan.PARTS[part].name for part in self.lives.part[parts]):
            self._measure(day, number, name, sample=3)
            found = [index for index in self.lives.parts_of(number, name) if self.lives.silent[index]]
            if found:
                self.write_repair(
                    day,
                    number,
                    "replace",
                    "electrolytic",
                    part=name,
                    quantity=len(found),
                    planned="yes",
                    cause="confirmed",
                    as_found=self.words.pick(("out of limit", "failed"), (0.7, 0.3)),
                )
        self._lift_tracks(day, number, plan.TRACKS_A_RECAP_A_CYCLE, planned="yes")
        self.write_repair(
            day,
            number,
            "re-cap",
            "re-cap",
            part=part_name,
            quantity=len(parts),
            as_found="not measured",
            planned=self.words.pick(("yes", None), (0.7, 0.3)),
            minutes=round(3.2 * len(parts) * (0.85 + 0.3 * self.words.one())),
        )
        for index in parts:
            if not self.lives.silent[index]:
                self.lives.end(index, failed=False)
        self.lives.renew(parts)
        self.modules[number].cycles += 1

    def change_in_time(self, day: date, number: int, part_name: str):
        """A healthy part changed as planned work."""
        parts = self.lives.parts_of(number, part_name)
        for index in parts:
            self.lives.end(index, failed=False)
        self.lives.renew(parts)
        kind = plan.PART[part_name].kind
        self.write_repair(
            day,
            number,
            "replace",
            kind,
            part=part_name,
            as_found="in limit",
            planned="yes",
            finding="changed before the season, old one fine",
        )

    def spot_check(self, day: date, number: int):
        """Electrolytics of a module measured with one leg lifted, none changed."""
        parts = self.lives.parts_of(number)
        for name in dict.fromkeys(plan.PARTS[part].name for part in self.lives.part[parts]):
            self._measure(day, number, name, sample=2)

    def _measure(self, day: date, number: int, part_name: str, sample: int):
        part, parts = plan.PART[part_name], self.lives.parts_of(number, part_name)
        module = self.modules[number]
        for index in sorted({int(self.words.pick(parts)) for _ in range(sample)}):
            years = self.lives.age[index] / plan.HOURS_A_YEAR
            worn = years * (heat_factor(module.slot) if module.slot else 1.0)
            first = part.nominal * (0.9 + 0.2 * self.words.one())
            kept = max(0.2, 1 - plan.CAPACITANCE_LOSS_A_YEAR * worn) * (
                0.4 if self.lives.silent[index] else 1.0
            )
            common = {
                "serial": module.serial,
                "part_type": part_name,
                "measured_on": day,
                "ref": reference(part, self.lives.seat[index]),
                "frequency_hz": self.words.pick((100, 120)),
                "air_c": round(self.words.around(20.5, 1.2), 1),
                "in_circuit": "no",
            }
            noted = self.words.chance(0.7)
            self._reading(common, "capacitance", part.nominal, first, first * kept, "µF", noted)
            first_esr = part.esr_ohm * (0.4 + 0.15 * self.words.one())
            esr = first_esr * (1 + plan.ESR_RISE_A_YEAR * worn) / (0.3 if self.lives.silent[index] else 1.0)
            self._reading(common, "esr", part.esr_ohm, first_esr, esr, "Ω", noted)

    def _reading(
        self, common: dict, measure: str, nominal: float, first: float, value: float, unit: str, noted: bool
    ):
        value *= self.words.around(1, 0.02)
        self.readings.append(
            {
                **common,
                "measure": measure,
                "nominal": nominal,
                "value": three_digits(value),
                "unit": unit,
                "baseline": three_digits(first) if noted else None,
            }
        )


def impact_weights(what: str) -> tuple:
    """How likely each impact is: grave faults stop sessions, trivial ones do not."""
    if what in GRAVE:
        return 0.28, 0.47, 0.18, 0.07
    return (0.02, 0.28, 0.50, 0.20) if what in TRIVIAL else (0.10, 0.45, 0.33, 0.12)


def reference(part, seat: int) -> str:
    """Reference designator of a seat: the part's prefix and a number."""
    return f"{part.prefix}{seat + 1:02d}"


def three_digits(value: float) -> float:
    """Three significant digits, as a meter shows them."""
    return float(f"{value:.3g}")

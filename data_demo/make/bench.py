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
    "replace": 90,
    "clean": 40,
    "re-solder": 55,
    "bridge track": 75,
    "adjust": 45,
    "trace": 150,
    "test": 100,
    "swap module": 12,
    "re-form": 60,
    "soak": 20,
    "scrap": 25,
}
RECAP_MINUTES = 3.8  # a capacitor


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
        median = {"stopped session": 60, "worked round": 14, "nuisance": 4, "found on check": 0}[impact]
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
                "bench_minutes": details["minutes"] if "minutes" in details else self._bench_minutes(action),
                "planned": details.get("planned", self.words.pick(("no", None), (0.8, 0.2))),
                "donor_serial": details.get("donor"),
                "where": details.get("where"),
                "waits_for": details.get("waits_for"),
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
            part = self._cleaned_part(number) if job.action == "clean" else None
            self.write_repair(day, number, job.action, job.action, ticket=ticket, cause=cause, part=part)
        self.close_ticket(ticket, day, "no fault found" if job.action == "test" else "fault found")

    def _cleaned_part(self, number: int) -> str | None:
        """What was cleaned, where somebody wrote it down."""
        held = [part.name for part in plan.PARTS if part.kind in plan.CARE_MINUTES]
        held = [name for name in held if len(self.lives.parts_of(number, name))]
        return self.words.pick(held) if self.words.chance(0.7) else None

    def trace(self, day: date, number: int, ticket, **details):
        """The fault is looked for; the more a board was reworked, the longer."""
        usual = MEDIAN_MINUTES["trace"] * (1 + 0.2 * self.modules[number].cycles)
        minutes = min(round(self.words.long_tailed(usual, 0.5)), 480)
        what = "waiting" if details.get("waits_for") else "trace"
        self.write_repair(day, number, "trace", what, ticket=ticket, minutes=minutes, **details)

    def clean_first(self, day: date, number: int, job, ticket):
        """A worn part is only cleaned, and will come back."""
        self.write_repair(day, number, "clean", "clean", ticket=ticket, cause=self._cause(), part=job.what)
        self.close_ticket(ticket, day, "fault found")

    def _cause(self) -> str:
        return self.words.pick(("confirmed", "suspected", "unknown"), (0.7, 0.2, 0.1))

    def _replace(self, day: date, number: int, index: int, ticket):
        part = plan.PARTS[self.lives.part[index]]
        if part.kind == "electrolytic" and self.dice.chance(plan.IN_LIMIT_SHARE):
            self._change_on_suspicion(day, number, index, ticket)
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
            as_found=self.words.pick(("failed", "out of limit", "not measured"), (0.68, 0.17, 0.15)),
            donor=None if donor is None else self.modules[self.lives.module[donor]].serial,
        )
        self._lift_tracks(day, number, plan.TRACKS_A_WORK_A_CYCLE, ticket=ticket, cause="confirmed")

    def _change_on_suspicion(self, day: date, number: int, failed: int, ticket):
        """A good capacitor is changed first; measured afterwards, it is in limit."""
        lives = self.lives
        good = [one for one in lives.parts_of(number) if one != failed and not lives.silent[one]]
        other = self.dice.pick([one for one in good if not lives.down[one]])
        part = plan.PARTS[lives.part[other]]
        lives.end(other, failed=False)
        lives.renew(other)
        self.write_repair(
            day,
            number,
            "replace",
            "in limit",
            ticket=ticket,
            part=part.name,
            cause=self.words.pick(("unknown", "suspected"), (0.8, 0.2)),
            ref=reference(part, lives.seat[other]) if self.words.chance(0.5) else None,
            as_found="in limit",
        )

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
            minutes=round(RECAP_MINUTES * len(parts) * (0.85 + 0.3 * self.words.one())),
        )
        for index in parts:
            if not self.lives.silent[index]:
                self.lives.end(index, failed=False)
        self.lives.renew(parts)
        self.modules[number].cycles += 1

    def care(self, day: date, number: int, with_fader: bool):
        """The weekly cleaning: a module's switches and pots, and now and then its fader."""
        for part in plan.PARTS:
            held = len(self.lives.parts_of(number, part.name))
            if held and part.kind in plan.CARE_MINUTES and (part.kind != "fader" or with_fader):
                minutes = round(held * plan.CARE_MINUTES[part.kind] * (0.8 + 0.4 * self.words.one()))
                self.write_repair(
                    day,
                    number,
                    "clean",
                    "care",
                    part=part.name,
                    quantity=held,
                    planned="yes",
                    minutes=minutes if self.words.chance(0.97) else None,
                )

    def try_spare(self, day: date, number: int):
        """A spare on the shelf is powered and tried; one that stood for long is brought up slowly first."""
        long_off = (day - self.powered.get(number, self.shelved.get(number, plan.RECORDS_FROM))).days > 730
        for action in ("re-form",) * long_off + ("soak", "test"):
            self.write_repair(day, number, action, action, planned="yes")
        self.powered[number] = day

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
            pace = self.words.long_tailed(1, plan.DRYING_SPREAD)
            worn = years * pace * (heat_factor(module.slot) if module.slot else 1.0)
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

"""Twelve years in the demo's workshop: faults are heard, modules swapped, mended, re-capped, and written down."""

import heapq
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import count

import numpy as np

from data_demo.make import scenario as plan
from data_demo.make.bench import Bench
from data_demo.make.decided import done
from data_demo.make.facility import bay_of, heat_factor, slots_of, use_weight

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Job:
    """What a fault will turn out to be: the action, the key of its words, and the part (index into the lives)."""

    action: str
    what: str
    index: int | None = None
    again: bool = False
    cleaned: bool = False
    symptom: str | None = None


class Workshop(Bench):
    """What happens, day by day; the written side of the work is in :class:`Bench`."""

    def __init__(self, modules, lives, seed: int):
        super().__init__(modules, lives, seed)
        self.queue, self._turn = [], count()
        self.exposure_hours, self.failures, self.returned = Counter(), Counter(), 0
        self._scraps = list(plan.SCRAP_AFTER)
        self._round = [(slot, visit) for visit in (False, True) for slot in all_slots()]

    # time

    def run(self):
        """Live through the records week by week."""
        self._plan_calendar()
        day = plan.RECORDS_FROM
        while day <= plan.RECORD_END:
            self.lives.week(*self._surroundings(day))
            self._hear_part_faults(day)
            self._hear_module_faults(day)
            self._clean_some(day)
            self._work_until(min(day + WEEK, plan.RECORD_END + timedelta(days=1)))
            day += WEEK
        self.lives.close()
        self.close()

    def at(self, day: date, deed, *details):
        """Put a deed on the calendar."""
        heapq.heappush(self.queue, (day, next(self._turn), deed, details))

    def _work_until(self, limit: date):
        while self.queue and self.queue[0][0] < limit:
            day, _, deed, details = heapq.heappop(self.queue)
            deed(day, *details)

    def _plan_calendar(self):
        self.at(plan.STRANGERS_COME_ON, self.welcome_strangers)
        self.at(plan.PLOVER_BOUGHT_ON, self.buy_donors)
        for desk, position, day in plan.SLOT_FAULTS:
            self.at(day, self._frame_fault, (desk, position))
        for position, days in plan.DIP_SLOTS:
            self.at(plan.DIP_FROM + timedelta(days=days), self._dip, (plan.DIP_DESK, position))
        for year in range(plan.RECORDS_FROM.year + 1, plan.RECORD_END.year + 1):
            for month in plan.SPARES_TRIED:
                self.at(date(year, month, 15), self._try_spares)
        for serial, day in done("re-cap"):
            self.at(day, self._as_decided, serial)
        for serial, day in done("make ready"):
            self.at(day, self.try_spare, self.lives.fleet.serial.index(serial))
        for turn, day in enumerate(plan.BAD_SLOT_DAYS, start=1):
            self.at(day, self._slot_fault, turn == len(plan.BAD_SLOT_DAYS))
        for desk, bays, first, pace, part_name in plan.CAMPAIGNS:
            slots = [slot for slot in slots_of(plan.DESK[desk]) if bay_of(slot) in bays]
            for turn, slot in enumerate(slots):
                self.at(first + timedelta(days=pace * turn), self._recap_slot, slot, part_name)
        serial, day = plan.ROVER_RECAPPED
        self.at(day, self.recap, self.lives.fleet.serial.index(serial), None)
        desk, positions, first, part_name = plan.PREVENTIVE
        for turn, position in enumerate(positions):
            self.at(first + timedelta(days=turn), self._change_in_time, (desk, str(position)), part_name)
        for turn in range(plan.SPOT_CHECKS):
            self.at(plan.SPOT_CHECKS_FROM + turn * plan.SPOT_CHECK_EVERY, self._spot_check)

    def _surroundings(self, day: date):
        hours = np.array([week_hours(module.slot[0], day) if module.slot else 0.0 for module in self.modules])
        use = np.array([use_weight(module.slot) if module.slot else 1.0 for module in self.modules])
        heat = np.array([heat_factor(module.slot) if module.slot else 1.0 for module in self.modules])
        for module, powered in zip(self.modules, hours, strict=True):
            if module.slot:
                self.exposure_hours[self.place_of(module)] += powered
        return hours, use, heat

    # faults

    def _hear_part_faults(self, day: date):
        for index in self.lives.due():
            self.at(day + timedelta(days=self.dice.between(0, 6)), self._part_fails, int(index))

    def _hear_module_faults(self, day: date):
        rates = np.zeros((4, len(self.modules)))
        for number, module in enumerate(self.modules):
            if module.slot:
                powered_years = week_hours(module.slot[0], day) / plan.HOURS_A_YEAR
                usual = [*plan.FAULTS_A_YEAR.values(), plan.TRACKS_A_YEAR_A_CYCLE * module.cycles]
                rates[:, number] = np.array(usual) * self.lives.fleet.frailty[number] * powered_years
                rates[1, number] += plan.ROVER_JOINTS_A_YEAR.get(module.serial, 0) * powered_years
        hits = self.dice.many(rates.size).reshape(rates.shape) < rates
        actions = (*plan.FAULTS_A_YEAR, "bridge track")
        for kind, number in zip(*np.nonzero(hits), strict=True):
            job = Job(actions[kind], actions[kind])
            self.at(day + timedelta(days=self.dice.between(0, 6)), self._fault, int(number), job)

    def _part_fails(self, day: date, index: int):
        module = self.modules[self.lives.module[index]]
        if module.slot is None or module.since >= day or self.lives.down[index]:
            return
        part = plan.PARTS[self.lives.part[index]]
        self.failures[part.name, *self.place_of(module)] += 1
        if self.lives.electrolytic[index] and self.dice.chance(plan.SILENT_SHARE):
            self.lives.end(index, failed=True)
            self.lives.silent[index] = True
            return
        self.lives.down[index] = True
        self._fault(day, int(self.lives.module[index]), Job("replace", part.name, index))

    def _fault(self, day: date, number: int, job: Job):
        """A fault is heard; a spare goes in if there is one, and the module is mended in place or at the bench."""
        module = self.modules[number]
        if module.slot is None or module.since >= day:
            return
        self.returned += job.again
        ticket = None if self.dice.chance(0.03) else self.write_ticket(day, module, job.what, job.symptom)
        self._spread_rumours(day, module, ticket, job)
        days_left = (plan.RECORD_END - day).days
        if ticket and self.dice.chance(left_open_share(days_left)):
            if 7 < days_left < 60 and self.dice.chance(0.7):
                self.trace(day + timedelta(days=2), number, ticket, waits_for=waits_for(job))
            return
        if self.pool[module.module_type] and self.dice.chance(0.6):
            wait = 0 if self.dice.chance(0.05) else 1
            self.at(day + timedelta(days=wait), self._swap, number, job, ticket)
        else:
            self.at(day + timedelta(days=self.dice.between(0, 6)), self._mend, number, job, ticket, None)

    def _spread_rumours(self, day: date, module, ticket, job: Job):
        """The tickets that come along with faults: repeats, hints before, and false alarms elsewhere on the desk."""
        if ticket and self.dice.chance(plan.REPORT_SHARE):
            self.write_report(day + timedelta(days=self.dice.between(0, 2)), ticket)
        hint = day - timedelta(days=self.dice.between(4, 50))
        if ticket and self.dice.chance(0.05) and hint > max(module.since, plan.RECORDS_FROM):
            self.close_ticket(self.write_ticket(hint, module, job.what), hint, "no fault found")
        real = 1 - plan.NO_FAULT_SHARE - plan.NOT_DESK_SHARE
        for share, alarm in ((plan.NO_FAULT_SHARE - 0.035, "test"), (plan.NOT_DESK_SHARE, "not the desk")):
            if self.dice.chance(share / real):
                self.at(
                    day + timedelta(days=self.dice.between(1, 80)), self._false_alarm, module.slot[0], alarm
                )

    def _false_alarm(self, day: date, desk: str, alarm: str):
        module_type = self.dice.pick(plan.MODULE_TYPES[plan.DESK[desk].family])
        slot = self.dice.pick(slots_of(plan.DESK[desk]))
        number = self.occupant.get((slot, module_type))
        if number is None or self.modules[number].since >= day:
            return
        ticket = self.write_ticket(day, self.modules[number], alarm)
        if alarm == "not the desk":
            self.close_ticket(ticket, day, "not the desk")
        elif self.dice.chance(0.3) and self.pool[module_type]:
            self.at(day + timedelta(days=1), self._swap, number, Job("test", "test"), ticket)
        else:
            self.close_ticket(ticket, day + timedelta(days=self.dice.between(0, 3)), "no fault found")
            if self.dice.chance(0.5):
                self.write_repair(day, number, "test", "test", ticket=ticket)

    # swaps and mending

    def _swap(self, day: date, number: int, job: Job, ticket):
        module, pool = self.modules[number], self.pool[self.modules[number].module_type]
        slot = module.slot
        if slot and pool and module.since < day:
            self.exchange(day, number)
            if ticket:
                ticket["restored_on"] = day
            if job.action == "test":
                self.write_repair(day, number, "swap module", "test", ticket=ticket)
            self.at(day + timedelta(days=self.dice.between(2, 24)), self._mend, number, job, ticket, slot)
        else:
            self.at(day + timedelta(days=1), self._mend, number, job, ticket, None)

    def _mend(self, day: date, number: int, job: Job, ticket, home: tuple | None):
        if home and self._is_scrapped(day, number, ticket):
            return
        self._trace_and_mend(day, number, job, ticket)
        back = day
        if home:
            back = day + timedelta(days=self.dice.between(1, 6))
            self.at(back, self._go_home, number, home)
        if job.action != "test" and not job.again and self.dice.chance(plan.RETURN_SHARE):
            again = Job(
                self.dice.pick(("re-solder", "adjust", "clean")),
                job.what,
                again=True,
                symptom=ticket["symptom"] if ticket and self.dice.chance(0.6) else None,
            )
            self.at(back + timedelta(days=self.dice.between(2, 22)), self._fault, number, again)

    def _trace_and_mend(self, day: date, number: int, job: Job, ticket):
        """The fault is traced where it does not show by itself; a worn contact may be cleaned first and comes back."""
        part = plan.PARTS[self.lives.part[job.index]] if job.index is not None else None
        shows = job.action in ("test", "clean", "adjust") or (part and part.kind in ("lamp", "fader"))
        if not shows and self.dice.chance(plan.TRACED_SHARE):
            self.trace(day, number, ticket)
        may_be_cleaned = part and part.kind in plan.CARE_MINUTES and not job.cleaned
        if may_be_cleaned and self.dice.chance(plan.CLEANED_FIRST_SHARE):
            self.clean_first(day, number, job, ticket)
            later = replace(job, cleaned=True, symptom=None)
            self.at(day + timedelta(days=self.dice.between(20, 300)), self._comes_back, number, later)
            return
        self.mend(day, number, job, ticket)

    def _comes_back(self, day: date, number: int, job: Job):
        """What was only cleaned fails again, once its module is in service."""
        if self.modules[number].slot and self.modules[number].since < day:
            self._fault(day, number, job)
        elif number not in self.scrapped:
            self.at(day + timedelta(days=30), self._comes_back, number, job)

    def _is_scrapped(self, day: date, number: int, ticket) -> bool:
        module = self.modules[number]
        ready = self._scraps and day > self._scraps[0][0] and module.module_type == self._scraps[0][1]
        if ready and module.serial not in plan.ROVERS:
            self._scraps.pop(0)
            self.scrapped[number] = day
            self.write_repair(day, number, "scrap", "scrap", ticket=ticket, cause="confirmed")
            self.close_ticket(ticket, day, "fault found")
        return number in self.scrapped

    def _go_home(self, day: date, number: int, home: tuple):
        module = self.modules[number]
        guest = self.occupant.get((home, module.module_type))
        if guest is not None and self.modules[guest].since >= day:
            self.at(day + timedelta(days=1), self._go_home, number, home)
        elif guest is None or (module.serial not in plan.ROVERS and self.dice.chance(0.25)):
            self.make_ready(number)
        else:
            self.take_out(day, guest)
            if module.serial in plan.ROVERS:
                self.trade_places(day, number, home, self.dice)
            else:
                self.put_in(day, number, home)
            self.make_ready(guest)

    # the calendar

    def _slot_fault(self, day: date, last: bool):
        """The planted slot: its connector is at fault, whichever module sits there; at last the frame is looked at."""
        number = self.occupant[plan.BAD_SLOT, "monitor path"]
        ticket = self.write_ticket(day, self.modules[number], "edge connector", symptom=plan.BAD_SLOT_SYMPTOM)
        ticket["module_type"] = "monitor path"
        after = day + timedelta(days=1)
        if last:
            self._mend_frame(
                after, plan.BAD_SLOT, ticket, "frame half of the connector was the fault, contacts bent"
            )
            return
        self.exchange(after, number)
        ticket["restored_on"] = after
        done = after + timedelta(days=self.dice.between(3, 12))
        self.write_repair(done, number, "clean", "connector", ticket=ticket, cause="suspected")
        self.close_ticket(ticket, done, "fault found")
        self.at(done, lambda _day: self.make_ready(number))

    def _mend_frame(self, day: date, slot: tuple, ticket, finding: str, where: str = "slot"):
        """Work on the frame or its supply, not on a module."""
        self.write_repair(
            day,
            None,
            "re-solder",
            "re-solder",
            ticket=ticket,
            slot=slot,
            where=where,
            cause="confirmed",
            finding=finding,
        )
        self.close_ticket(ticket, day, "fault found")

    def _frame_fault(self, day: date, slot: tuple):
        """A connector of the frame fails, once."""
        number = self.occupant[slot, plan.MODULE_TYPES[plan.DESK[slot[0]].family][0]]
        ticket = self.write_ticket(day, self.modules[number], "edge connector")
        self._mend_frame(
            day + timedelta(days=2), slot, ticket, "contact of the frame broken, new one soldered in"
        )

    def _dip(self, day: date, slot: tuple):
        """The supply of a bay sags, and several of its slots are reported."""
        number = self.occupant[slot, plan.MODULE_TYPES[plan.DESK[slot[0]].family][0]]
        ticket = self.write_ticket(day, self.modules[number], "supply")
        if slot[1] == plan.DIP_SLOTS[-1][0]:
            self.write_repair(day, number, "test", "test", ticket=ticket)
            self.close_ticket(ticket, day, "no fault found")
        else:
            self._mend_frame(day, slot, ticket, "rail of the bay low, joint at its fuse holder", "rail")

    # care

    def _clean_some(self, day: date):
        """The weekly cleaning: one slot, and every other week a second; none around the turn of the year."""
        if (day.month, day.day) >= (12, 18) or (day.month, day.day) <= (1, 3):
            return
        for _ in range(1 + day.isocalendar().week % 2):
            slot, with_fader = self._round.pop(0)
            self._round.append((slot, with_fader))
            for module_type in plan.MODULE_TYPES[plan.DESK[slot[0]].family]:
                number = self.occupant.get((slot, module_type))
                if number is not None and self.modules[number].since < day:
                    self.care(day, number, with_fader)

    def _try_spares(self, day: date):
        """Some of the spares on the shelf are powered and tried."""
        for number in sorted(one for pool in self.pool.values() for one in pool):
            if self.words.chance(0.35):
                self.try_spare(day, number)

    def _recap_slot(self, day: date, slot: tuple, part_name: str | None):
        for module_type in plan.MODULE_TYPES[plan.DESK[slot[0]].family]:
            number = self.occupant[slot, module_type]
            if len(self.lives.parts_of(number, part_name)) and self.modules[number].since < day:
                self.recap(day, number, part_name)

    def _as_decided(self, day: date, serial: str):
        """A re-cap that an earlier review proposed and that was done."""
        number = self.lives.fleet.serial.index(serial)
        if number not in self.scrapped:
            self.recap(day, number, None)

    def _change_in_time(self, day: date, slot: tuple, part_name: str):
        number = self.occupant[slot, plan.MODULE_TYPES[plan.DESK[slot[0]].family][0]]
        self.change_in_time(day, number, part_name)

    def _spot_check(self, day: date):
        desk = self.words.pick(("Heron", "Heron", "Heron", "Curlew", "Dunlin"))
        slot = self.words.pick(slots_of(plan.DESK[desk]))
        for module_type in plan.MODULE_TYPES[plan.DESK[desk].family]:
            self.spot_check(day, self.occupant[slot, module_type])


def all_slots() -> list:
    """Every slot of the house in the order of the cleaning round: across the desks, so that none waits for another."""
    slots = [slot for desk in plan.DESKS for slot in slots_of(desk)]
    return sorted(slots, key=lambda slot: (int(slot[1]) / plan.DESK[slot[0]].slots, slot[0]))


def waits_for(job: Job) -> str:
    """What a fault found stands still for: its part where that is hard to get, else a gap in the bookings."""
    part = plan.PART.get(job.what)
    return part.name if part and part.obtainable != "yes" else "a free day on the desk"


def left_open_share(days_before_end: int) -> float:
    """Share of faults still waiting at the end of the records, by how long before it they were heard."""
    return 0.4 if days_before_end < 60 else 0.03 if days_before_end < 730 else 0.0


def week_hours(desk: str, day: date) -> float:
    """Hours a week a desk is switched on under the regime of that day."""
    hours = plan.DESK[desk].hours
    for from_on, later_hours, _ in plan.DESK[desk].regimes:
        hours = later_hours if day >= from_on else hours
    return hours

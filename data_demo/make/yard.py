"""Where every module of the demo is: in a slot or in the store, and every stay it has had."""

from datetime import date

from data_demo.make import scenario as plan
from data_demo.make.facility import slots_of, zone_of


class Yard:
    """The modules, who sits where, the spares ready to go in, and the donors on the shelf."""

    def __init__(self, modules):
        self.modules = modules
        self.fitments: list[tuple] = []
        self.occupant: dict[tuple, int] = {}
        self.pool: dict[str, list[int]] = {kind: [] for kind in plan.SERIAL_PREFIX}
        self.shelved: dict[int, date] = {}
        self.powered: dict[int, date] = {}
        self.donors: list[int] = []
        self.scrapped: dict[int, date] = {}
        for number, module in enumerate(modules):
            if module.slot:
                self.occupant[module.slot, module.module_type] = number
            elif module.origin == "bought":
                self.pool[module.module_type].append(number)

    def place_of(self, module) -> tuple:
        """Desk, zone, module type and board era: what the planted effects go by."""
        return module.slot[0], zone_of(module.slot), module.module_type, module.era

    def take_out(self, day: date, number: int):
        """A module comes out of its slot and into the store."""
        module = self.modules[number]
        self.fitments.append((number, module.slot, module.since, day))
        del self.occupant[module.slot, module.module_type]
        module.slot, module.since = None, None
        self.shelved[number] = day

    def put_in(self, day: date, number: int, slot: tuple):
        """A module goes from the store into a free slot."""
        module = self.modules[number]
        assert (slot, module.module_type) not in self.occupant and module.slot is None
        self.occupant[slot, module.module_type] = number
        module.slot, module.since = slot, day

    def exchange(self, day: date, number: int):
        """The next ready spare goes in where a module comes out."""
        slot = self.modules[number].slot
        self.take_out(day, number)
        self.put_in(day, self.pool[self.modules[number].module_type].pop(0), slot)

    def make_ready(self, number: int):
        """A mended module joins the spares."""
        self.pool[self.modules[number].module_type].append(number)

    def trade_places(self, day: date, number: int, home: tuple, dice):
        """A module from the store goes into another slot of its desk, whose module takes the free slot."""
        module_type = self.modules[number].module_type
        others = [
            slot
            for slot in slots_of(plan.DESK[home[0]])
            if slot != home and self.modules[self.occupant[slot, module_type]].since < day
        ]
        slot = dice.pick(others)
        neighbour = self.occupant[slot, module_type]
        self.take_out(day, neighbour)
        self.put_in(day, neighbour, home)
        self.put_in(day, number, slot)

    def close(self):
        """Write down the stays that still last."""
        for number, module in enumerate(self.modules):
            if module.slot:
                self.fitments.append((number, module.slot, module.since, None))

    def welcome_strangers(self, day: date):
        """Donors from elsewhere join the spares, first in line."""
        for number, module in enumerate(self.modules):
            if module.origin == "donor" and not module.from_plover:
                self.pool[module.module_type].insert(0, number)
                self.shelved[number] = day

    def buy_donors(self, day: date):
        """A desk is bought for parts: a few of its modules become Heron's spares, the others go on the shelf as donors."""
        left = dict.fromkeys(self.pool, plan.PLOVER_READY)
        for number, module in enumerate(self.modules):
            if not module.from_plover:
                continue
            self.shelved[number] = day
            if left[module.module_type]:
                left[module.module_type] -= 1
                self.pool[module.module_type].insert(0, number)
            else:
                self.donors.append(number)

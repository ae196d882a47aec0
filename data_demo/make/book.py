"""The demo's record book: what the workshop wrote, as rows of text for every table of the data dictionary."""

from datetime import date, timedelta

from data_demo.make import scenario as plan
from data_demo.make.decided import decision_rows
from data_demo.make.dice import Dice
from data_demo.make.facility import (
    air_of,
    bay_of,
    build_fleet,
    build_modules,
    slots_of,
    starting_ages,
    use_weight,
    zone_of,
)
from data_demo.make.lives import Lives, fitted_quantity
from data_demo.make.papers import document_rows
from data_demo.make.workshop import Workshop
from maintkit.records.tables import TABLES


def run_workshop() -> Workshop:
    """Live through the twelve years; the result knows the records and the truth behind them."""
    modules = build_modules()
    lives = Lives(build_fleet(modules), Dice(plan.SEED + 2))
    lives.start(starting_ages(modules, lives))
    shop = Workshop(modules, lives, plan.SEED + 3)
    shop.run()
    return shop


def record_book(shop: Workshop) -> dict[str, list[dict]]:
    """Every table as rows of values, in the order a person would have kept them."""
    tickets, repairs = numbered_work(shop)
    inspections = inspection_rows(shop, Dice(plan.SEED + 7))
    book = {
        "desks": desk_rows(),
        "power": power_rows(),
        "positions": position_rows(),
        "modules": module_rows(shop, inspections),
        "fitments": fitment_rows(shop),
        "tickets": tickets,
        "repairs": repairs,
        "part_types": part_rows(),
        "parts_list": parts_list_rows(),
        "readings": shop.readings,
        "shelf": shelf_rows(shop, Dice(plan.SEED + 5)),
        "stock": stock_rows(shop, Dice(plan.SEED + 6)),
        "inspections": inspections,
        "bookings": booking_rows(),
        "decisions": decision_rows(),
        "documents": document_rows(),
    }
    return {table.name: as_text(table, book[table.name]) for table in TABLES if book.get(table.name)}


def as_text(table, rows: list[dict]) -> list[dict[str, str]]:
    """Rows with every column that is kept here as text, blank where there is nothing."""
    kept = set().union(*rows)
    names = [column.name for column in table.columns if column.name in kept]
    return [{name: "" if row.get(name) is None else str(row[name]) for name in names} for row in rows]


def desk_rows() -> list[dict]:
    """Desks as the first regime has them."""
    return [
        {
            "desk": desk.name,
            "family": desk.family,
            "coupling": desk.coupling,
            "records_from": plan.RECORDS_FROM,
            "room": desk.room,
            "powered_hours_per_week": int(desk.hours),
        }
        for desk in plan.DESKS
    ]


def power_rows() -> list[dict]:
    """Later regimes."""
    return [
        {"desk": desk.name, "from_on": from_on, "powered_hours_per_week": hours, "inlet_c": inlet_c}
        for desk in plan.DESKS
        for from_on, hours, inlet_c in desk.regimes
    ]


def position_rows() -> list[dict]:
    """Slots with bay, zone, use and air."""
    rows = []
    for desk in plan.DESKS:
        for slot in slots_of(desk):
            rows.append(
                {
                    "desk": desk.name,
                    "position": slot[1],
                    "bay": bay_of(slot),
                    "zone": zone_of(slot),
                    "use_weight": use_weight(slot),
                    "air_c": round(air_of(slot), 1),
                }
            )
    return rows


def module_rows(shop: Workshop, inspections: list[dict]) -> list[dict]:
    """Modules with their papers; re-caps before the records as a count, where somebody knew."""
    rows, looked_at = [], {row["serial"] for row in inspections}
    for module in shop.modules:
        before = len(module.recapped) if module.origin != "donor" else None
        if module.from_plover and module.serial in looked_at:
            before = 1  # as its joints show
        rows.append(
            {
                "serial": module.serial,
                "family": module.family,
                "module_type": module.module_type,
                "board_era": module.era,
                "origin": module.origin,
                "rework_cycles_before": before,
                "made_on": module.made,
            }
        )
    return rows


def fitment_rows(shop: Workshop) -> list[dict]:
    """Stays of modules in slots, oldest first."""
    stays = sorted(shop.fitments, key=lambda stay: (stay[2], stay[0]))
    return [
        {
            "serial": shop.modules[number].serial,
            "desk": slot[0],
            "position": slot[1],
            "fitted_on": fitted,
            "removed_on": removed,
        }
        for number, slot, fitted, removed in stays
    ]


def numbered_work(shop: Workshop) -> tuple[list[dict], list[dict]]:
    """Tickets and repairs in order of their days, numbered, and tied to each other by those numbers."""
    for ticket in shop.tickets:
        settle_report(ticket)
    tickets = sorted(shop.tickets, key=lambda row: row["raised_on"])
    for number, ticket in enumerate(tickets, start=1):
        ticket["ticket"] = f"T{number:04d}"
    repairs = sorted(recaps_before(shop) + shop.repairs, key=lambda row: row["done_on"])
    for number, repair in enumerate(repairs, start=1):
        repair["repair"] = f"R{number:04d}"
        repair["ticket"] = repair["ticket"] and repair["ticket"]["ticket"]
    lose_serials(shop, repairs)
    return tickets, repairs


def settle_report(ticket: dict):
    """A repeated report ends as the first one did, and was raised before service was back."""
    first = ticket.get("same_as")
    if first:
        ticket.update({name: first[name] for name in ("outcome", "restored_on", "closed_on")})
        ticket["raised_on"] = min(ticket["raised_on"], first["restored_on"] or ticket["raised_on"])


def recaps_before(shop: Workshop) -> list[dict]:
    """Re-caps before the records began, for the modules whose days somebody wrote down."""
    return [
        {
            "done_on": day,
            "serial": module.serial,
            "slot": None,
            "ticket": None,
            "action": "re-cap",
            "finding": "re-capped",
            "as_found": "not measured",
            "planned": "yes",
        }
        for module in shop.modules
        if module.cycles_known
        for day in module.recapped
    ]


def lose_serials(shop: Workshop, repairs: list[dict]):
    """In a few repairs only desk and position were written down, those of the ticket."""
    for repair in repairs:
        answers = repair.get("answers")
        slot = repair["slot"]
        if answers and not slot and shop.words.chance(plan.NO_SERIAL_SHARE):
            repair["serial"], slot = None, (answers["desk"], answers["position"])
        if slot:
            repair["desk"], repair["position"] = slot


def part_rows() -> list[dict]:
    """Part types with cost, lead time and rating."""
    return [
        {
            "part_type": part.name,
            "kind": part.kind,
            "unit_cost": part.cost,
            "lead_time_days": part.lead_days,
            "obtainable": part.obtainable,
            "rated_hours": part.rated_hours,
            "rated_c": part.rated_c,
        }
        for part in plan.PARTS
    ]


def parts_list_rows() -> list[dict]:
    """How many of each part a module holds; an era's own row only where it differs."""
    rows = []
    for family, module_types in plan.MODULE_TYPES.items():
        for module_type in module_types:
            for part in plan.PARTS:
                usual = fitted_quantity(part, module_type, "")
                eras = {"": usual, "1989": fitted_quantity(part, module_type, "1989")}
                rows += [
                    {
                        "family": family,
                        "module_type": module_type,
                        "board_era": era or None,
                        "part_type": part.name,
                        "quantity": quantity,
                        "role": role_of(part.name),
                    }
                    for era, quantity in eras.items()
                    if quantity and (not era or quantity != usual)
                ]
    return rows


def role_of(part_name: str) -> str | None:
    """What an electrolytic does in the circuit, as its name says."""
    return next((role for role in ("decoupling", "coupling", "rail") if role in part_name), None)


def place_of(module) -> str:
    """Where a module is kept: donors of the desk bought for parts in the cellar, the others on the shelf by the bench."""
    number = int(module.serial[4:])
    if module.from_plover:
        return f"cellar rack {'ABC'[number % 3]}, row {1 + number % 4}"
    return f"bench shelf {1 + number % 3}"


def shelf_rows(shop: Workshop, dice: Dice) -> list[dict]:
    """Modules in the store at the end, and a few batches of parts."""
    rows = []
    for number, module in enumerate(shop.modules):
        if module.slot is None and number not in shop.scrapped:
            shelf_in = shop.shelved.get(number, plan.RECORDS_FROM)
            tested = shelf_in + timedelta(days=dice.between(5, 400))
            powered = shelf_in if dice.chance(0.7) and not module.from_plover else None
            if shop.powered.get(number, shelf_in) > shelf_in:
                powered = tested = shop.powered[number]
            rows.append(
                {
                    "serial": module.serial,
                    "shelf_in": shelf_in,
                    "place": place_of(module) if dice.chance(0.9) else None,
                    "last_powered_on": powered,
                    "last_tested_on": tested if powered and tested < plan.RECORD_END else None,
                }
            )
    batches = [
        ("electrolytic 10u coupling monitor", date(2022, 11, 14), "2238"),
        ("electrolytic 10u coupling monitor", date(2026, 3, 2), "2605"),
        ("electrolytic 22u coupling channel", date(2022, 11, 14), "2240"),
        ("electrolytic 47u decoupling", date(2025, 6, 9), "2519"),
        ("electrolytic 100u rail", date(2019, 4, 1), "1908"),
    ]
    return rows + [
        {"part_type": name, "shelf_in": day, "place": "parts cabinet", "date_code": code}
        for name, day, code in batches
    ]


def stock_rows(shop: Workshop, dice: Dice) -> list[dict]:
    """Half-yearly counts; the scarce chip runs down by what was used, the others are bought again."""
    rows = []
    for counted_on in (date(year, month, 28) for year in range(2023, 2027) for month in (3, 9)):
        for part in plan.PARTS:
            used_since = sum(
                repair["part_type"] == part.name and repair["done_on"] > counted_on
                for repair in shop.repairs
                if repair["action"] == "replace"
            )
            on_hand = (
                plan.SCARCE_ON_HAND + used_since
                if part.name == plan.SCARCE_PART
                else dice.between(60, 400)
                if part.kind == "electrolytic"
                else dice.between(2, 6)
                if part.kind == "fader"
                else dice.between(4, 25)
            )
            rows.append({"part_type": part.name, "on_hand": on_hand, "counted_on": counted_on})
    return rows


def inspection_rows(shop: Workshop, dice: Dice) -> list[dict]:
    """Donors of the desk bought for parts that somebody has looked at, some of them twice; most nobody has."""
    rows, states = [], ("working", "repairable", "strip only")
    for number in shop.donors:
        if not dice.chance(plan.PLOVER_LOOKED_AT):
            continue
        tracks = dice.count(0.7 * max(1, shop.modules[number].cycles))
        state = dice.pick(states, (0.45, 0.40, 0.15) if tracks < 2 else (0.15, 0.45, 0.40))
        first = date(2021, 7, 5) + timedelta(days=dice.between(0, 120))
        rows.append(
            {
                "serial": shop.modules[number].serial,
                "inspected_on": first,
                "condition": state,
                "damaged_tracks": tracks,
                "note": dice.pick((None, "stored dry", "faceplate bent", "two knobs gone")),
            }
        )
        if dice.chance(0.3):
            worse = states[min(2, states.index(state) + dice.between(0, 1))]
            rows.append(
                {
                    **rows[-1],
                    "inspected_on": first + timedelta(days=dice.between(700, 1300)),
                    "condition": worse,
                    "note": "looked at again",
                }
            )
    return sorted(rows, key=lambda row: (row["inspected_on"], row["serial"]))


PAST_GAPS = {
    "Heron": (
        (1, 6, 5),
        (2, 17, 4),
        (4, 14, 5),
        (6, 2, 3),
        (7, 21, 12),
        (8, 11, 10),
        (10, 13, 4),
        (11, 17, 3),
        (12, 22, 12),
    ),
    "Curlew": ((1, 8, 4), (3, 10, 3), (5, 12, 4), (8, 4, 14), (11, 3, 3), (12, 21, 12)),
    "Dunlin": ((2, 10, 7), (4, 7, 12), (7, 14, 30), (10, 20, 6), (12, 15, 18)),
}


def booking_rows() -> list[dict]:
    """Gaps between sessions: those of the last years, and those of the two quarters ahead."""
    gaps = {
        "Heron": ((10, 12, 4), (11, 9, 3), (12, 21, 13), (13, 25, 5), (15, 8, 9)),
        "Curlew": ((10, 5, 2), (10, 26, 3), (12, 22, 12), (14, 15, 4)),
        "Dunlin": ((10, 1, 6), (11, 16, 5), (12, 14, 20), (14, 1, 9), (15, 22, 7)),
    }
    rows = []
    for desk, starts in PAST_GAPS.items():
        for year in (2025, 2026):
            for month, day, days in starts:
                free_from = date(year, month, day)
                if free_from <= plan.RECORD_END:
                    free_to = free_from + timedelta(days=days - 1)
                    rows.append({"desk": desk, "free_from": free_from, "free_to": free_to})
    for desk, starts in gaps.items():
        for month, day, days in starts:
            free_from = date(2026 + (month > 12), month - 12 * (month > 12), day)
            rows.append(
                {"desk": desk, "free_from": free_from, "free_to": free_from + timedelta(days=days - 1)}
            )
    return rows

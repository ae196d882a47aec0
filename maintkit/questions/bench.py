"""What should lie beside this module on the bench?"""

from maintkit.quarter.kits import faults_ahead, kit, likely_parts
from maintkit.quarter.programme import planned_serials
from maintkit.quarter.quarter import Quarter
from maintkit.questions.bench_blanks import reading_blanks, repair_blanks
from maintkit.questions.bench_parts import board_state, limits
from maintkit.report.answers import BY_NAME
from maintkit.report.bench_card import BenchCard, CardPart
from maintkit.report.cautions import cautions_for

HISTORY_ROWS = 8
KINDS_OF_WORK = ("replace", "re-cap", "clean", "bridge track", "test")
STEPS = (
    "Write down what it did in its slot, in the user's words, before anything is touched.",
    "As found, before any heat or cleaning: measure the likely parts out of circuit or with one leg lifted, at 100 or 120 Hz and about "
    "20 °C, and write frequency and air temperature beside each reading.",
    "Where the house lets a module run on the bench: look for direct voltage across pots and switches that scratch or thump. A leaking "
    "coupling capacitor makes cleaning help for a while only.",
    "Look at pads, tracks and earlier bridges under a lens before heat goes on; write down each that is damaged.",
    "Before new parts go in: value, voltage, size and polarity against the print, twice.",
    "Afterwards compare it with a sibling: level, both ends of the spectrum, noise, every switch and pot.",
    "Let it run in as the house does before it counts as ready. A fault within 30 days is a return: write it down as one.",
    "Fill in the blanks, here or in the workbook beside this card, and load the workbook.",
)


def bench_card(quarter: Quarter, serial: str) -> BenchCard:
    """Everything known of one module that is to be worked on, and blanks for what will be found.

    Raises
    ------
    RecordsError
        If no module of that serial is on the roster; the message names the nearest.
    """
    history = BY_NAME["one_module"](quarter, serial)
    serial = str(serial).strip()
    likely = likely_parts(quarter, serial)
    return BenchCard(
        serial=serial,
        title=f"Bench card {serial}",
        subtitle=f"Records to {quarter.last_day}; odds for {quarter.next_label}",
        sentences=(history.title, *_reason(quarter, serial)),
        parts=(
            CardPart("What is likely", _odds(likely), likely if len(likely) else None),
            *_kit(quarter, serial),
            CardPart("The board", " ".join(board_state(quarter, serial))),
            *_limits(quarter, serial),
            _history(history),
        ),
        steps=STEPS,
        cautions=cautions_for(KINDS_OF_WORK),
        blanks={
            "repairs": repair_blanks(quarter, serial, likely),
            "readings": reading_blanks(quarter, serial),
        },
    )


def planned_cards(quarter: Quarter, *, slots: int = 5) -> tuple[BenchCard, ...]:
    """A card for every module the bench plan pulls, in order of day; where it pulls none, for the module expected to fail most
    in each of the first slots of the work list."""
    serials = planned_serials(quarter)
    if not serials:
        sitting = quarter.evidence.roster.dropna(subset=["desk", "position"])
        first = quarter.forecast.slots.head(slots)[["desk", "position"]]
        there = first.merge(sitting, on=["desk", "position"]).groupby(["desk", "position"], sort=False)[
            "serial"
        ]
        serials = [max(sorted(own), key=lambda serial: faults_ahead(quarter, serial)) for _, own in there]
    return tuple(bench_card(quarter, serial) for serial in serials)


def _reason(quarter: Quarter, serial: str) -> tuple[str, ...]:
    """Why its slot stands where it stands on the list."""
    own = quarter.evidence.roster.set_index("serial").loc[serial]
    slots = quarter.forecast.slots
    found = slots[(slots["desk"] == own["desk"]) & (slots["position"] == own["position"])]
    return tuple(
        f"{row.desk} {row.position} stands at place {row.rank} ({row.rank_low} to {row.rank_high}) of {len(slots)} slots: {row.reason}"
        for row in found.itertuples()
    )


def _odds(likely) -> str:
    if not len(likely):
        return "No parts of this module are on record: a parts_list for its type would let the likely ones be ranked."
    return (
        "Chance: that a fault of this sort comes in the coming quarter, given the ages of the parts and how the module has behaved. "
        "Share: of the faults expected of it. Fewer than 5 failures of a kind on record: the rate is no more than a guess."
    )


def _kit(quarter: Quarter, serial: str) -> tuple[CardPart, ...]:
    table = kit(quarter, serial)
    return (
        (
            CardPart(
                "Parts kit",
                "Every electrolytic, should it be re-capped, and one of each other kind that makes a twentieth of the "
                "expected faults; two joints a capacitor. Stock is the last count on record.",
                table,
            ),
        )
        if len(table)
        else ()
    )


def _limits(quarter: Quarter, serial: str) -> tuple[CardPart, ...]:
    table, sentences = limits(quarter, serial)
    return (CardPart("Values to measure against", " ".join(sentences), table if len(table) else None),)


def _history(history) -> CardPart:
    table = history.table.iloc[::-1].head(HISTORY_ROWS).reset_index(drop=True)
    kept = [column for column in table if column in ("day", "what") or table[column].notna().any()]
    intro = (
        f"The latest {len(table)} of {len(history.table)} entries, latest first."
        if len(history.table) > len(table)
        else ""
    )
    return CardPart("History", intro, table[kept])

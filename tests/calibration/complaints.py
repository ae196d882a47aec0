"""Simulated facilities whose complaints are worded as people word them, and how well the odds of causes do on them.

    python tests/calibration/complaints.py --first 100 --facilities 20 --keep

A sound has several causes and a cause several sounds; a fifth of the complaints are vague, a tenth are misheard (the sound is
that of a cause drawn at random), a tenth of the words are misspelt, and the section is named in two of five. Shares of sounds and
sections by cause, numbers and lives of parts: common practice as we know it, no source. The simulator shares no code with the
kit; what it writes is a record book, and the kit reads it as any other.
"""

import argparse
from dataclasses import replace
from pathlib import Path

import numpy as np

YEAR = 365.25
YEARS = 8
FIRST_DAY = np.datetime64("2018-10-01")
END = int((np.datetime64("2026-10-01") - FIRST_DAY).astype(int))
DESKS = {"Tern": ("gable", 48), "Dunlin": ("gable", 40), "Godwit": ("truss", 48)}
MODULES = (
    ("gable", "channel"),
    ("gable", "monitor"),
    ("gable", "master"),
    ("truss", "channel"),
    ("truss", "master"),
)
SHARES = {"gable": (0.55, 0.35, 0.10, 0, 0), "truss": (0, 0, 0, 0.85, 0.15)}
VAGUE, MISHEARD, MISSPELT, SECTION_NAMED = 0.20, 0.10, 0.10, 0.40
UNWRITTEN, NOTHING_FOUND = 0.12, 0.10
SEED = 424_242
SOUNDS = {
    "thin": ("thin sound", "no bass", "low end gone", "klingt dünn", "weak bass"),
    "hum": ("hum", "buzzes", "humming a lot", "brummt"),
    "noise": ("hissy", "noisy", "rushing noise", "rauscht"),
    "crackle": ("crackles", "popping", "spits", "knistert"),
    "scratch": ("scratchy", "noisy when moved", "kratzt", "rough when turned"),
    "dead": ("dead", "no signal", "nothing coming out", "kein Signal"),
    "drops": ("drops out", "cuts in and out", "comes and goes", "intermittent", "setzt aus"),
    "stuck": ("stuck", "will not latch", "klemmt", "sticky"),
    "distorted": ("distorts", "fuzzy on peaks", "breaking up", "verzerrt"),
    "level": ("low level", "too quiet", "level down", "zu leise"),
    "thump": ("thumps", "clicks", "bangs when pressed", "knackt"),
    "wrong": ("does not work", "no effect", "geht nicht"),
    "light": ("lamp out", "no light", "leuchtet nicht"),
    "dull": ("dull", "muffled", "no top"),
}
NOT_SAID = (
    "sounds odd",
    "something is wrong",
    "acting up again",
    "not right",
    "please check",
    "klingt komisch",
)
SECTIONS = {
    "input": ("mic pre", "input", "gain pot"),
    "eq": ("eq", "equaliser", "filter"),
    "aux": ("aux", "aux send", "foldback"),
    "monitor": ("monitor", "monitor path", "tape return"),
    "fader": ("fader", "mute"),
    "routing": ("routing", "bus assign", "group"),
}
# name, kind (None where the work is no part), parts in a module of each of MODULES, Weibull shape and scale (years),
# share of the sounds, share of the sections
CAUSES = (
    ("coupling 10u", "electrolytic", (0, 30, 0, 22, 14), 3.0, 38,
     {"thin": 35, "level": 20, "distorted": 15, "thump": 10, "scratch": 10, "noise": 10}, {"monitor": 40, "eq": 25, "aux": 35}),
    ("coupling 22u", "electrolytic", (24, 0, 16, 0, 0), 3.0, 38,
     {"thin": 35, "level": 20, "distorted": 15, "thump": 10, "scratch": 10, "noise": 10}, {"input": 30, "eq": 50, "aux": 20}),
    ("decoupling 47u", "electrolytic", (14, 12, 20, 10, 16), 2.6, 44,
     {"hum": 35, "noise": 25, "distorted": 15, "dull": 10, "thin": 15}, {"input": 40, "eq": 40, "monitor": 20}),
    ("rail 100u", "electrolytic", (4, 4, 8, 0, 0), 2.8, 32,
     {"hum": 50, "noise": 20, "dead": 10, "drops": 10, "distorted": 10}, {"input": 50, "monitor": 50}),
    ("rail 220u", "electrolytic", (0, 0, 0, 4, 8), 2.6, 36,
     {"hum": 50, "noise": 20, "dead": 10, "drops": 10, "distorted": 10}, {"input": 50, "monitor": 50}),
    ("tantalum", "tantalum", (6, 4, 10, 0, 0), 1.0, 190,
     {"dead": 60, "hum": 15, "noise": 10, "drops": 15}, {"input": 50, "eq": 50}),
    ("dual op-amp", "ic", (10, 8, 14, 0, 0), 1.0, 150,
     {"noise": 35, "distorted": 30, "dead": 15, "crackle": 10, "level": 10}, {"input": 30, "eq": 40, "aux": 15, "monitor": 15}),
    ("quad op-amp", "ic", (0, 0, 0, 8, 10), 1.0, 130,
     {"noise": 35, "distorted": 30, "dead": 15, "crackle": 10, "level": 10}, {"input": 40, "eq": 40, "aux": 20}),
    ("gain chip", "ic", (2, 0, 0, 0, 2), 1.0, 70,
     {"level": 30, "distorted": 25, "wrong": 30, "dead": 15}, {"fader": 100}),
    ("logic chip", "ic", (0, 4, 8, 4, 8), 1.0, 130,
     {"wrong": 40, "stuck": 35, "dead": 25}, {"routing": 70, "fader": 30}),
    ("push switch 4-pole", "switch", (10, 0, 6, 0, 0), 1.9, 75,
     {"drops": 30, "crackle": 25, "stuck": 20, "dead": 15, "thump": 10}, {"eq": 30, "routing": 45, "aux": 25}),
    ("push switch 2-pole", "switch", (0, 14, 0, 12, 6), 1.9, 80,
     {"drops": 30, "crackle": 25, "stuck": 20, "dead": 15, "thump": 10}, {"monitor": 40, "routing": 40, "aux": 20}),
    ("rotary pot", "pot", (9, 6, 4, 8, 4), 1.7, 90,
     {"scratch": 55, "crackle": 20, "drops": 15, "level": 10}, {"input": 25, "eq": 45, "aux": 30}),
    ("fader", "fader", (1, 0, 1, 1, 1), 1.7, 17,
     {"scratch": 40, "drops": 30, "stuck": 20, "crackle": 10}, {"fader": 100}),
    ("mute relay", "relay", (0, 4, 6, 2, 6), 1.3, 100,
     {"stuck": 30, "dead": 30, "drops": 25, "thump": 15}, {"fader": 60, "monitor": 40}),
    ("edge connector", "connector", (1, 1, 1, 1, 1), 1.2, 40,
     {"drops": 45, "crackle": 30, "dead": 25}, {"input": 50, "routing": 50}),
    ("lamp", "lamp", (3, 2, 8, 3, 6), 1.5, 45, {"light": 90, "wrong": 10}, {"routing": 50, "fader": 50}),
    ("clean", None, (1, 1, 1, 1, 1), 1.0, 7, {"scratch": 35, "crackle": 35, "drops": 30}, {"input": 20, "eq": 30, "fader": 50}),
    ("re-solder", None, (1, 1, 1, 1, 1), 1.0, 14,
     {"drops": 40, "crackle": 25, "dead": 20, "noise": 15}, {"input": 40, "routing": 30, "monitor": 30}),
    ("adjust", None, (1, 1, 1, 1, 1), 1.0, 22, {"level": 40, "wrong": 30, "distorted": 15, "dull": 15}, {"fader": 60, "monitor": 40}),
    ("bridge track", None, (1, 1, 1, 1, 1), 1.0, 34, {"dead": 50, "drops": 30, "crackle": 20}, {"input": 40, "eq": 60}),
)  # fmt: skip


def draw(number: int):
    """Faults of the facility of that number, in order of day, with what each module is: two frames."""
    import pandas as pd

    generator = np.random.default_rng([SEED, number])
    desk = np.repeat([*DESKS], [number for _, number in DESKS.values()]).astype(object)
    family = np.array([DESKS[one][0] for one in desk], object)
    kind = np.array([generator.choice(len(MODULES), p=SHARES[one]) for one in family])
    made = np.floor(generator.uniform(-22 * YEAR, -9 * YEAR, len(desk)))
    factor = generator.gamma(1 / 0.4, 0.4, len(desk))
    recapped = np.where(
        generator.random(len(desk)) < 0.35, generator.uniform(-6 * YEAR, END - 200, len(desk)), np.nan
    )
    modules = pd.DataFrame(
        {"desk": desk, "family": family, "kind": kind, "made": made, "recapped": np.floor(recapped)}
    )
    faults = []
    for cause, (_, part, held, shape, scale, *_) in enumerate(CAUSES):
        count = np.array(held)[kind]
        module = np.repeat(np.arange(len(desk)), count)
        born, renewed = made[module].copy(), np.zeros(len(module), bool)
        for first in range(0, END, 30):
            last = min(first + 30, END)
            if part in ("electrolytic", "tantalum"):
                due = (recapped[module] < last) & ~renewed
                born[due], renewed[due] = np.floor(recapped[module][due]), True
            ages = [np.maximum(day - born, 0) / YEAR for day in (first, last)]
            hazard = ((ages[1] / scale) ** shape - (ages[0] / scale) ** shape) * factor[module]
            failed = np.flatnonzero(generator.random(len(module)) < -np.expm1(-hazard))
            day = generator.integers(first, last, len(failed))
            born[failed] = day
            faults += [(int(one), int(which), cause) for one, which in zip(day, module[failed], strict=True)]
    frame = pd.DataFrame(faults, columns=["day", "module", "cause"])
    return (
        frame.sort_values(["day", "module", "cause"], kind="stable").reset_index(drop=True),
        modules,
        generator,
    )


def complaint(cause: int, generator) -> str:
    """What is said of a fault of this cause."""
    if generator.random() < MISHEARD:
        cause = int(generator.integers(len(CAUSES)))
    sounds, sections = CAUSES[cause][5:]
    said = _one(SOUNDS[_drawn(sounds, generator)], generator)
    if generator.random() < VAGUE:
        said = _one(NOT_SAID, generator)
    if generator.random() < SECTION_NAMED:
        said = f"{_one(SECTIONS[_drawn(sections, generator)], generator)} {said}"
    return " ".join(_misspelt(word, generator) for word in said.split())


def _one(words, generator) -> str:
    return words[int(generator.integers(len(words)))]


def _drawn(shares: dict, generator) -> str:
    weights = np.array([*shares.values()], float)
    return [*shares][int(generator.choice(len(weights), p=weights / weights.sum()))]


def _misspelt(word: str, generator) -> str:
    """Now and then a letter left out, doubled, or changed with its neighbour."""
    if len(word) < 4 or generator.random() >= MISSPELT:
        return word
    at = int(generator.integers(1, len(word) - 1))
    way = int(generator.integers(3))
    return (
        word[:at] + word[at + 1 :],
        word[:at] + word[at] + word[at:],
        word[:at] + word[at + 1] + word[at] + word[at + 2 :],
    )[way]


def tables(number: int, *, shuffled: bool = False) -> dict:
    """The record tables of a facility; ``shuffled`` gives each complaint to another fault."""
    import pandas as pd

    faults, modules, generator = draw(number)
    at = np.arange(len(modules))
    place = modules.groupby("desk", sort=False).cumcount().to_numpy() + 1
    serial = np.array([f"M{one:03d}" for one in at], object)
    said = np.array([complaint(cause, generator) for cause in faults["cause"]], object)
    said = generator.permutation(said) if shuffled else said
    own = faults["module"].to_numpy()
    done = np.minimum(faults["day"].to_numpy() + generator.integers(0, 6, len(faults)), END - 1)
    written = generator.random(len(faults)) >= UNWRITTEN
    ticket = np.array([f"T{one:05d}" for one in range(len(faults))], object)
    name, kind = (np.array([cause[one] for cause in CAUSES], object)[faults["cause"]] for one in (0, 1))
    is_part = np.array([one is not None for one in kind])
    extra = generator.poisson(NOTHING_FOUND * len(faults))
    where, when = generator.integers(0, len(modules), extra), generator.integers(0, END, extra)
    tickets = pd.DataFrame(
        {
            "ticket": [*ticket, *(f"N{one:05d}" for one in range(extra))],
            "raised_on": _dates([*faults["day"], *when]),
            "desk": modules["desk"].to_numpy()[[*own, *where]],
            "position": place[[*own, *where]].astype(str),
            "symptom": [
                *said,
                *(complaint(int(generator.integers(len(CAUSES))), generator) for _ in range(extra)),
            ],
            "outcome": ["fault found"] * len(faults) + ["no fault found"] * extra,
            "closed_on": _dates([*done, *when]),
        }
    )
    repairs = pd.DataFrame(
        {
            "repair": [f"R{one:05d}" for one in range(len(faults))],
            "done_on": _dates(done),
            "serial": serial[own],
            "ticket": ticket,
            "action": np.where(is_part, "replace", name),
            "part_type": np.where(is_part, name, None),
            "cause": "confirmed",
            "planned": "no",
        }
    )[written]
    recapped = modules["recapped"].notna().to_numpy()
    recaps = pd.DataFrame(
        {
            "repair": [f"C{one:03d}" for one in at[recapped]],
            "done_on": _dates(modules["recapped"][recapped]),
            "serial": serial[recapped],
            "action": "re-cap",
            "planned": "yes",
        }
    )
    parts = [cause for cause in CAUSES if cause[1]]
    return {
        "desks": pd.DataFrame(
            {"desk": [*DESKS], "family": [one for one, _ in DESKS.values()], "records_from": str(FIRST_DAY)}
        ),
        "positions": pd.DataFrame({"desk": modules["desk"], "position": place.astype(str)}),
        "modules": pd.DataFrame(
            {
                "serial": serial,
                "family": modules["family"],
                "module_type": np.array([one for _, one in MODULES], object)[modules["kind"]],
                "origin": "original",
                "made_on": _dates(modules["made"]),
            }
        ),
        "fitments": pd.DataFrame(
            {
                "serial": serial,
                "desk": modules["desk"],
                "position": place.astype(str),
                "fitted_on": _dates(modules["made"]),
            }
        ),
        "part_types": pd.DataFrame(
            {"part_type": [one[0] for one in parts], "kind": [one[1] for one in parts]}
        ),
        "parts_list": pd.DataFrame(
            [
                (*module, one[0], one[2][number])
                for one in parts
                for number, module in enumerate(MODULES)
                if one[2][number]
            ],
            columns=["family", "module_type", "part_type", "quantity"],
        ),
        "tickets": tickets,
        "repairs": pd.concat([repairs, recaps]),
    }


def _dates(days):
    return FIRST_DAY + np.asarray(days, int).astype("timedelta64[D]")


def questions_of(number: int, *, shuffled: bool = False):
    """The past complaints of a facility as the kit reads them from its record book."""
    import duckdb

    from maintkit.quarter.causes import question_set
    from maintkit.quarter.quarter import Quarter
    from maintkit.records.keeping import create_tables
    from maintkit.records.store import Records
    from tests.calibration.book import _insert

    connection = duckdb.connect()
    connection.execute("set threads = 1")
    create_tables(connection)
    for name, frame in tables(number, shuffled=shuffled).items():
        _insert(connection, name, frame)
    return question_set(Quarter(Records(connection, "a simulated facility"), "2026Q3")).questions


WAYS = ("learned", "type", "symptom", "age")


def scores_of(number: int) -> dict:
    """Scores of a facility: by the odds, by the type, the words and the ages alone, and with the complaints shuffled."""
    from maintkit.decide.diagnose_score import rolling_score

    asked = questions_of(number)
    found = {way: rolling_score(asked, weights=way) for way in WAYS}
    mixed = questions_of(number, shuffled=True)
    mute = replace(mixed, symptom=np.full_like(mixed.symptom, -1), section=np.full_like(mixed.section, -1))
    return found | {"shuffled": rolling_score(mixed), "without words": rolling_score(mute)}


def pooled(scores: list, way: str) -> dict:
    """The scores of several facilities as one, weighted by their questions."""
    own = [one[way] for one in scores]
    number = np.array([one.questions for one in own])
    mean = {
        name: float(np.average([getattr(one, name) for one in own], weights=number))
        for name in ("log_loss", "log_loss_frequencies", "first", "first_three")
    }
    bins: dict[int, np.ndarray] = {}
    for one in own:
        for given, came, answers in one.bins:
            step = min(int(given * 10), 9)
            bins[step] = bins.get(step, np.zeros(3)) + np.array([given, came, 1]) * answers
    rows = {step: (row[0] / row[2], row[1] / row[2], int(row[2])) for step, row in sorted(bins.items())}
    return {"questions": int(number.sum()), **mean, "bins": rows}


NAMES = {
    "learned": "these odds",
    "type": "frequencies of the module type",
    "symptom": "words alone",
    "age": "ages alone",
    "shuffled": "these odds, complaints shuffled",
    "without words": "these odds, without words",
}
KEPT = Path(__file__).with_name("complaints.md")


def section(scores: list, command: str) -> str:
    """What calibration.md says of the odds of causes."""
    facilities = len(scores)
    lines = [
        "## What is it this time",
        "",
        f"{facilities} simulated facilities (`tests/calibration/complaints.py`): three desks, two families, 21 causes of which 17 are "
        "kinds of parts, eight years, complaints as people word them: a sound has several causes, a fifth are vague, a tenth are "
        "misheard, a tenth of the words are misspelt, the section is named in two of five, an eighth of the work is not written "
        "down. Every complaint with a known cause is answered from what was known before it, from 100 known causes on; other "
        "facilities than these served to make the odds. Log loss: mean of minus the log of the chance given to what it proved to "
        "be; a tenth less is a real gain. Words alone know neither the module nor what it holds. Made by:",
        "",
        f"    {command}",
        "",
        "| way | questions | log loss | first right | one of the first three |",
        "|---|---|---|---|---|",
    ]
    for way, name in NAMES.items():
        row = pooled(scores, way)
        lines.append(
            f"| {name} | {row['questions']:,} | {row['log_loss']:.3f} | {row['first']:.0%} | {row['first_three']:.0%} |"
        )
    lines += [
        "",
        "Chances given, in steps of a tenth, and how often they came true; ± is one Monte Carlo error. Wanted: within five points, "
        "and never too sure by more than two, where there are 200 answers or more.",
        "",
        "| chance given | came true | answers |",
        "|---|---|---|",
    ]
    for given, came, answers in pooled(scores, "learned")["bins"].values():
        error = np.sqrt(came * (1 - came) / answers)
        lines.append(f"| {given:.1%} | {came:.1%} ± {error:.1%} | {answers:,} |")
    return "\n".join([*lines, ""])


def main() -> None:
    """Score some facilities and print what calibration.md says of them; with ``--keep`` keep it for that page."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--first", type=int, default=100)
    parser.add_argument("--facilities", type=int, default=10)
    parser.add_argument("--keep", action="store_true")
    asked = parser.parse_args()
    scores = [scores_of(number) for number in range(asked.first, asked.first + asked.facilities)]
    command = f"python tests/calibration/complaints.py --first {asked.first} --facilities {asked.facilities}"
    said = section(scores, f"{command} --keep")
    print(said)
    if asked.keep:
        KEPT.write_text(said, encoding="utf-8")


if __name__ == "__main__":
    main()

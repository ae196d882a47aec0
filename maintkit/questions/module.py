"""What has happened to one module?"""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.arguments import NEAREST, named
from maintkit.questions.bench_parts import parts_in
from maintkit.report.finding import Finding


def one_module(quarter: Quarter, serial: str) -> Finding:
    """The history of a module: its stays, faults and work in order of date, and how it compares with what its parts predict."""
    known = _known(quarter, serial)
    table = _history(quarter, known["serial"])
    title = _title(quarter, known)
    return Finding(
        key="one-module",
        title=title,
        table=table,
        caveats=(
            "A fault is counted once; reports of it while it is open and returns after work stand in the list as what "
            "they are.",
        ),
        counts={
            "faults": int(((table["what"] == "fault") & (table["counted"] == "yes")).sum()),
            "rows": len(table),
        },
    )


def module_parts(quarter: Quarter, serial: str) -> Finding:
    """The parts now in a module, their ages, and the failures expected of them next quarter."""
    known = _known(quarter, serial)
    fitted = parts_in(quarter, known["serial"])
    ahead = quarter.days_ahead * 24.0
    hazards = {(hazard.family, hazard.part_type): hazard for hazard in quarter.forecast.hazards}
    table = fitted.assign(age_years=fitted["exit"] / HOURS_PER_YEAR)
    table["expected_failures_if_always_on"] = [
        float(
            hazards[row["family"], row["part_type"]].expected(
                fitted.loc[[index]],
                fitted.loc[[index], "exit"].to_numpy(float),
                fitted.loc[[index], "exit"].to_numpy(float) + ahead,
            )[0, 0]
        )
        for index, row in fitted.iterrows()
    ]
    table = table.sort_values("expected_failures_if_always_on", ascending=False, kind="stable")
    columns = [
        "part_type",
        "kind",
        "ref",
        "weight",
        "fitted_on",
        "age_years",
        "age_known",
        "expected_failures_if_always_on",
    ]
    total = table["expected_failures_if_always_on"].sum()
    title = f"{int(table['weight'].sum())} parts in {known['serial']}; {total:.2f} part failures expected over a quarter of power."
    return Finding(
        key="module-parts",
        title=title,
        table=table[columns].reset_index(drop=True),
        counts={"parts": int(table["weight"].sum())},
    )


def _known(quarter: Quarter, serial: str):
    roster = quarter.evidence.roster
    serial = named(
        "Serial", serial, roster["serial"], none="No module of that serial is on the roster.", most=NEAREST
    )
    return roster[roster["serial"] == serial].iloc[0]


def _history(quarter: Quarter, serial: str):
    import pandas as pd

    evidence = quarter.evidence
    stays = quarter.table("fitments")
    stays = stays[stays["serial"] == serial]
    ins = pd.DataFrame(
        {"day": stays["fitted_on"], "what": "fitted", "desk": stays["desk"], "position": stays["position"]}
    )
    outs = ins.assign(day=stays["removed_on"], what="removed").dropna(subset=["day"])
    mine = evidence.faults[evidence.faults["serial"] == serial]
    faults = pd.DataFrame(
        {
            "day": mine["happened_on"],
            "what": mine["class"],
            "desk": mine["desk"],
            "position": mine["position"],
            "number": mine["event_id"],
            "said": mine["symptom"],
            "minutes_lost": mine["minutes_lost"],
            "counted": mine["counts"].map({True: "yes", False: "no"}),
        }
    )
    done = evidence.work[evidence.work["serial"] == serial]
    work = pd.DataFrame(
        {
            "day": done["done_on"],
            "what": done["action"],
            "desk": done["desk"],
            "position": done["position"],
            "number": done["repair"],
            "part_type": done["part_type"],
            "ref": done["ref"],
            "quantity": done["quantity"],
            "cause": done["cause"],
        }
    )
    columns = [
        "day",
        "what",
        "desk",
        "position",
        "number",
        "said",
        "minutes_lost",
        "counted",
        "part_type",
        "ref",
        "quantity",
        "cause",
    ]
    table = pd.concat([frame for frame in (ins, outs, faults, work) if len(frame)] or [ins])
    return table.reindex(columns=columns).sort_values("day", kind="stable").reset_index(drop=True)


def _title(quarter: Quarter, known) -> str:
    modules = quarter.forecast.modules
    own = modules[modules["serial"] == known["serial"]]
    where = f"in {known['desk']} {known['position']}" if isinstance(known["desk"], str) else "in no desk"
    kind, family = (
        known[name] if isinstance(known[name], str) else f"{words} not recorded"
        for name, words in (("module_type", "type"), ("family", "family"))
    )
    about = f"{known['serial']} ({kind}, {family}), {where}"
    if not len(own):
        return f"{about}: never watched in a slot since the records began."
    row = own.iloc[0]
    return (
        f"{about}: {int(row['faults'])} faults in {row['years']:.1f} powered years where its parts predict {row['expected']:.1f}; "
        f"it fails {row['frailty']:.1f} times as often as predicted ({row['frailty_low']:.1f} to {row['frailty_high']:.1f})."
    )

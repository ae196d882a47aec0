"""Comparisons in the order they are to be read."""

import pandas as pd

from maintkit import differences
from maintkit.questions.group_differences import HIGHER, LOWER, MOSTLY, comparison_table


def test_those_that_differ_stand_first_the_surest_of_them_at_the_top_and_the_others_as_they_were_compared(
    demo_quarter,
):
    table = comparison_table(demo_quarter)
    differ = table["verdict"].isin([HIGHER, LOWER])
    assert 0 < differ.sum() < len(table)
    assert differ.tolist() == sorted(differ, reverse=True)
    assert table.loc[differ, "p_adjusted"].is_monotonic_increasing
    rest = table.loc[~differ, "what"].str.startswith("faults per module-year")
    assert pd.Series(rest.to_numpy()).is_monotonic_decreasing


def test_a_kind_of_part_that_differs_is_told_with_the_part_type_most_of_its_failures_are_of(opened):
    """Twelve modules of either era, each with chips of two types; those of the later era lose the one twice, few the other, and
    those of the earlier have as many joints made again."""
    serials = [f"{era}-{number:02}" for era in ("1990", "1995") for number in range(12)]
    work = [(serial, None) for serial in serials[:12] * 2]
    work += [(serial, "gain chip") for serial in serials[12:] * 2]
    work += [(serial, "op-amp") for serial in serials[8:16]]
    of_type = {"family": "f", "module_type": "m"}
    quarter = opened(
        "2024Q4",
        desks=[{"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2020-01-01"}],
        modules=[
            {"serial": serial, "board_era": serial[:4], "made_on": "2019-01-01"} | of_type
            for serial in serials
        ],
        fitments=[
            {"serial": serial, "desk": "Tern", "position": serial, "fitted_on": "2019-01-01"}
            for serial in serials
        ],
        part_types=[{"part_type": name, "kind": "ic"} for name in ("gain chip", "op-amp")],
        parts_list=[{"part_type": name, "quantity": 4} | of_type for name in ("gain chip", "op-amp")],
        repairs=[
            {"repair": f"R{at}", "serial": serial, "part_type": name, "cause": "confirmed", "planned": "no"}
            | {"done_on": f"202{1 + at % 4}-0{1 + at % 8}-15", "action": "replace" if name else "re-solder"}
            for at, (serial, name) in enumerate(work)
        ],
    )
    assert differences(quarter).title.endswith("; 24 of the 28 failures of 1995 are of gain chip.")
    assert not {*MOSTLY} & {*differences(quarter).table}

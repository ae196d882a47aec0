"""Comparisons in the order they are to be read."""

import pandas as pd

from maintkit.questions.group_differences import HIGHER, LOWER, comparison_table


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

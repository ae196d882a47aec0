from types import SimpleNamespace

import numpy as np
import pandas as pd

from maintkit.decide.reasons import reasons

YEAR = 8766.0
NONE = np.nan


def modules(*rows, told="neither"):
    names = [
        "serial",
        "desk",
        "position",
        "parts_expected",
        "other_expected",
        "frailty",
        "faults",
        "expected",
    ]
    return pd.DataFrame(rows, columns=names).assign(told=told)


def said(rows, *, share, parts, aged, age_known=None, minutes=12.4, words=True):
    """The reasons of the slots of one desk, one a position, in order."""
    share = np.array(share)
    known = np.ones(share.shape, bool) if age_known is None else np.array(age_known)
    ahead = SimpleNamespace(
        modules=rows,
        part_types=["cap", "ic"],
        share=share,
        parts=np.array(parts),
        aged=np.array(aged),
        age_known=known,
    )
    slots = rows[["desk", "position"]].drop_duplicates().assign(minutes_per_fault=minutes)
    return reasons(slots, ahead)["reason"] if words else reasons(slots, ahead)


def test_the_kind_expected_to_fail_most_is_named_with_its_mean_age_and_share():
    rows = modules(("M1", "Heron", "1", 0.3, 0.1, 1.0, 4, 3.6))
    assert said(rows, share=[[0.1, 0.2]], parts=[[40.0, 8.0]], aged=[[40 * YEAR, 8 * 2.5 * YEAR]]) == [
        "8 ic of M1, about 2.5 powered years old, make 50 % of what is expected; its 4 faults are about what its parts "
        "predict (3.6); a fault here costs about 12 session minutes."
    ]


def test_the_likeliest_part_and_its_share_are_told_as_facts():
    rows = modules(
        ("M1", "Heron", "1", 0.3, 0.1, 1.0, 4, 3.6),
        ("M2", "Heron", "2", 0.1, 0.3, 1.0, 1, 3.6),
        ("M3", "Heron", "3", 0.0, 0.1, 1.0, 0, 0.0),
    )
    found = said(
        rows,
        share=[[0.1, 0.2], [0.1, NONE], [NONE, NONE]],
        parts=[[40.0, 8.0], [1.0, 0.0], [0.0, 0.0]],
        aged=[[YEAR, YEAR]] * 3,
        words=False,
    )
    assert found["likeliest_part"] == ["ic", None, None]
    assert found["likeliest_share"][0] == 0.5 and np.isnan(found["likeliest_share"][1:]).all()


def test_parts_of_unknown_age_and_a_bad_record_are_said():
    rows = modules(("M1", "Heron", "1", 0.3, 0.1, 1.5, 9, 3.6))
    assert said(
        rows, share=[[0.3, NONE]], parts=[[40.0, 0.0]], aged=[[40 * YEAR, 0.0]], age_known=[[False, True]]
    ) == [
        "40 cap of M1, of unknown age, make 75 % of what is expected; the module had 9 faults where its parts predict "
        "3.6; a fault here costs about 12 session minutes."
    ]


def test_where_other_faults_are_expected_more_or_no_part_is_known_no_part_is_named():
    rows = modules(("M1", "Heron", "1", 0.1, 0.3, 0.6, 1, 3.6), ("M2", "Heron", "2", 0.0, 0.1, 1.0, 0, 0.0))
    first, second = said(
        rows,
        share=[[0.1, NONE], [NONE, NONE]],
        parts=[[1.0, 0.0], [0.0, 0.0]],
        aged=[[YEAR, 0.0], [0.0, 0.0]],
    )
    assert first == (
        "Mostly faults of M1 that the age of no part predicts; the module had only 1 fault where its parts "
        "predict 3.6; a fault here costs about 12 session minutes."
    )
    assert second.startswith(
        "By the record of M2; no parts list says what is in it; its 0 faults are about what one of its kind has"
    )


def test_of_two_modules_in_a_slot_the_one_to_expect_more_of_is_spoken_of():
    rows = modules(
        ("M1", "Heron", "1", 0.3, 0.0, 1.0, 3, 3.0),
        ("M2", "Heron", "1", 0.2, 0.0, 2.0, 6, 3.0),
        ("M3", "Heron", "2", 0.2, 0.0, 1.0, 3, 3.0),
        ("M4", "Heron", "2", 0.2, 0.0, 1.0, 3, 3.0),
    )
    share, parts, aged = [[0.3, NONE]] * 4, [[4.0, 0.0]] * 4, [[YEAR, 0.0]] * 4
    first, second = said(rows, share=share, parts=parts, aged=aged)
    assert "4 cap of M2" in first
    assert "4 cap of M3" in second  # alike: the first


def test_of_a_module_that_is_not_to_run_nothing_is_expected():
    rows = modules(("M1", "Heron", "1", 0.0, 0.0, 1.0, 4, 3.6))
    assert said(rows, share=[[0.0, NONE]], parts=[[40.0, 0.0]], aged=[[40 * YEAR, 0.0]]) == [
        "Nothing is expected of M1, for it will not run; its 4 faults are about what its parts predict (3.6); a fault here costs "
        "about 12 session minutes."
    ]


def test_whose_the_faults_are_is_said_where_they_are_many():
    for told, words in (
        ("module", " (the module's: they went with it);"),
        ("slot", " (the slot's: they stayed with it);"),
        ("not told apart", " (module or slot: not told apart);"),
        ("neither", " predict 3.6;"),
    ):
        rows = modules(("M1", "Heron", "1", 0.3, 0.1, 2.0, 9, 3.6), told=told)
        (sentence,) = said(rows, share=[[0.1, 0.2]], parts=[[40.0, 8.0]], aged=[[40 * YEAR, 20 * YEAR]])
        assert words in sentence


def test_a_slot_that_stands_for_a_module_is_called_the_slot_and_no_minutes_are_no_cost():
    rows = modules(("Heron/1", "Heron", "1", 0.0, 0.4, 2.0, 9, 3.6))
    assert said(rows, share=[[NONE, NONE]], parts=[[0.0, 0.0]], aged=[[0.0, 0.0]], minutes=NONE) == [
        "By the record of this slot; no parts list says what is in it; the slot had 9 faults where one of its kind has 3.6."
    ]


def test_counts_are_called_about_what_is_predicted_only_where_chance_may_bring_them():
    """Poisson by hand, mean 4.6: 14 or more come 3 times in 10,000, 7 or more 18 in 100; mean 9.1: 4 or fewer 5 in 100."""
    for seen, due, factor, words in (
        (14, 4.6, 1.49, "the module had 14 faults where its parts predict 4.6, and from now 1.5 times what they predict"),
        (7, 4.6, 1.4, "its 7 faults are about what its parts predict (4.6)"),
        (4, 9.1, 0.8, "the module had 4 faults where its parts predict 9.1, and from now 0.8 times what they predict"),
        (9, 10.6, 0.57, "the module had 9 faults where its parts predict 10.6, and from now 0.6 times"),
        (3, 3.6, 1.6, "the module had 3 faults where its parts predict 3.6, and from now 1.6 times"),
        (1, 3.8, 1.6, "the module had 1 fault where its parts predict 3.8, but others failed oftener in this slot: 1.6 times"),
        (0, 1.3, 1.0, "its 0 faults are about what its parts predict (1.3)"),
        (6, 10.6, 0.57, "the module had only 6 faults where its parts predict 10.6; a fault"),
        (9, 3.6, 1.6, "the module had 9 faults where its parts predict 3.6; a fault"),
    ):  # fmt: skip
        rows = modules(("M1", "Heron", "1", 0.3, 0.1, factor, seen, due))
        (sentence,) = said(rows, share=[[0.1, 0.2]], parts=[[40.0, 8.0]], aged=[[YEAR, YEAR]])
        assert f"; {words}" in sentence

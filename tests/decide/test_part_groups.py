import numpy as np
import pandas as pd
import pytest

from maintkit.decide import part_groups
from maintkit.decide.part_groups import LABELS, PART_COLUMNS, PartGroups
from maintkit.decide.priority import next_quarter

YEAR = 8766.0
WORDS = ["serial", "family", "part_type", "kind", *LABELS]


@pytest.fixture
def spells(make):
    """Two families, two part types, a missing zone, rows without a family or a part type, not in order."""
    return make.spells(
        [
            {
                "serial": "M2",
                "family": "saltmarsh",
                "part_type": "ic",
                "kind": "ic",
                "entry": 4,
                "exit": 9,
                "weight": 3,
            },
            {"serial": "M1", "part_type": "cap", "exit": 5.0, "event": True, "zone": "middle"},
            {
                "serial": "M3",
                "part_type": "cap",
                "exit": 7.0,
                "age_known": False,
                "zone": None,
                "still_fitted": True,
            },
            {"serial": "M1", "part_type": "cap", "exit": 6.0, "entry": 5.0, "zone": "edge"},
            {"serial": "M4", "family": None, "part_type": "cap", "exit": 2.0},
            {"serial": "M4", "family": "saltmarsh", "part_type": None, "exit": 3.0},
        ]
    )


def as_categories(spells):
    return spells.astype(dict.fromkeys(WORDS, "category"))


@pytest.mark.parametrize("kept_as", [lambda spells: spells, as_categories])
def test_groups_are_in_order_and_hold_their_rows_in_order(spells, kept_as):
    groups = PartGroups(kept_as(spells)[PART_COLUMNS])
    caps, ics = groups
    assert groups.serials.tolist() == ["M1", "M2", "M3", "M4"]
    assert [(group.family, group.part_type, group.kind) for group in (caps, ics)] == [
        ("longshore", "cap", "electrolytic"),
        ("saltmarsh", "ic", "ic"),
    ]
    assert caps.module.tolist() == [0, 2, 0]
    assert (caps.exit.tolist(), caps.entry.tolist()) == ([5.0, 7.0, 6.0], [0.0, 0.0, 5.0])
    assert (caps.event.tolist(), caps.age_known.tolist(), caps.still_fitted.tolist()) == (
        [True, False, False],
        [True, False, True],
        [False, True, False],
    )
    assert (ics.hours.tolist(), ics.weight.tolist()) == ([5.0], [3.0])


@pytest.mark.parametrize("kept_as", [lambda spells: spells, as_categories])
def test_a_design_has_ones_where_the_row_has_the_word(spells, kept_as):
    caps, _ = PartGroups(kept_as(spells))
    effects = [("zone", "middle"), ("zone", "edge"), ("board_era", "A"), ("zone", "not there")]
    assert caps.design(effects).tolist() == [[1, 0, 1, 0], [0, 0, 1, 0], [0, 1, 1, 0]]
    assert caps.rows(np.array([2, 1])).design(effects).tolist() == [[0, 1, 1, 0], [0, 0, 1, 0]]


def test_many_spells_are_gone_through_a_frame_at_a_time_and_in_pieces_only_where_every_module_is_wanted(
    spells, monkeypatch
):
    monkeypatch.setattr(part_groups, "FEW", 0)
    caps = as_categories(spells)[lambda frame: frame["part_type"] == "cap"]
    first, second = caps[caps["serial"] == "M1"], caps[caps["serial"] == "M3"]
    ics = as_categories(spells)[lambda frame: frame["part_type"] == "ic"]
    groups = PartGroups(lambda: [first, second, ics])
    assert groups.serials.tolist() == ["M1", "M2", "M3", "M4"]
    assert [(group.of, group.module.tolist()) for group in groups] == [
        (("longshore", "cap"), [0, 0]),
        (("saltmarsh", "ic"), [1]),
    ]
    assert [(group.of, group.module.tolist()) for group in groups.pieces()] == [
        (("longshore", "cap"), [0, 0]),
        (("longshore", "cap"), [2]),
        (("saltmarsh", "ic"), [1]),
    ]


def test_more_kinds_than_fit_sixteen_bits_stay_in_order(make):
    spells = make.spells(
        [
            {"family": f"f{number:03}", "part_type": f"p{number:03}", "exit": float(number)}
            for number in reversed(range(200))
        ]
    )
    assert [group.exit.tolist() for group in PartGroups(spells)] == [[float(number)] for number in range(200)]


def test_words_kept_as_categories_give_the_same_forecast(make):
    spells = pd.concat(
        [
            make.drawn(make.generator(1), modules=12),
            make.drawn(make.generator(2), modules=12).assign(
                serial=lambda drawn: "C" + drawn["serial"],
                zone="middle",
                position=lambda drawn: "c" + drawn["position"],
            ),
        ]
    )
    slots = spells.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    stays, faults = make.stays(spells), make.seen(make.faults(spells))
    words, categories = (
        next_quarter(frame, stays, faults, slots).slots for frame in (spells, as_categories(spells))
    )
    pd.testing.assert_frame_equal(words, categories)

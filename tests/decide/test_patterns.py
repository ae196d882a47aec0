import pandas as pd
import pytest
from scipy.stats import poisson

from maintkit.decide.patterns import CHANCE, SURE, judged_patterns

DAY = pd.Timestamp("2020-01-01")


def frames(runs):
    patterns = pd.DataFrame(
        [
            {"pattern": "follows the module", "told_by": told, "faults": faults, "usual_faults": usual}
            for told, faults, usual in runs
        ]
    )
    stays = pd.DataFrame(
        [
            {
                "serial": f"M{n}",
                "desk": "Heron",
                "position": str(n),
                "from_on": DAY,
                "to_on": DAY + pd.Timedelta(days=int(2.9 * 365)),
            }
            for n in range(5)
        ]
    )
    faults = pd.DataFrame({"symptom_key": ["hum", "hum", "crackle"]})
    return patterns, faults, stays


def test_the_chance_is_poisson_times_every_place_a_run_might_have_turned_up():
    # By hand: (5 modules + 5 slots) x 2 symptoms x 1 window of three years = 20 places.
    judged = judged_patterns(*frames([("symptom", 4, 0.1)]))
    assert judged["p"].iloc[0] == pytest.approx(20 * poisson.sf(3, 0.1))
    assert judged["verdict"].iloc[0] == SURE


def test_three_faults_where_one_is_usual_may_be_chance():
    assert judged_patterns(*frames([("symptom", 3, 1.0)]))["verdict"].tolist() == [CHANCE]


def test_a_run_of_one_kind_of_part_gets_no_verdict_of_its_own():
    judged = judged_patterns(*frames([("part kind", 12, 0.1), ("symptom", 5, 0.05)]))
    assert judged["told_by"].tolist() == ["symptom", "part kind"]
    assert judged["verdict"].tolist() == [SURE, CHANCE]


def test_no_runs_make_an_empty_table():
    patterns, faults, stays = frames([("symptom", 3, 1.0)])
    assert len(judged_patterns(patterns.head(0), faults, stays)) == 0

from maintkit import board_damage

DESK = [{"desk": "Heron", "family": "longshore", "coupling": "capacitor", "records_from": "2020-01-01"}]


def book_of(opened, bridged_by_cycles):
    """Twenty modules at each number of re-caps, one soldering work each, so many of them with a bridged track."""
    modules, fitments, repairs = [], [], []
    for cycles, bridged in bridged_by_cycles.items():
        for number in range(20):
            serial = f"M{cycles}-{number}"
            modules.append(
                {
                    "serial": serial,
                    "family": "longshore",
                    "module_type": "channel",
                    "rework_cycles_before": cycles,
                }
            )
            fitments.append(
                {"serial": serial, "desk": "Heron", "position": serial, "fitted_on": "2020-01-01"}
            )
            repairs.append(
                {
                    "repair": f"R{serial}",
                    "done_on": "2021-03-01",
                    "serial": serial,
                    "action": "re-solder",
                    "cause": "confirmed",
                    "planned": "no",
                }
            )
            if number < bridged:
                repairs.append(
                    {
                        "repair": f"B{serial}",
                        "done_on": "2021-03-01",
                        "serial": serial,
                        "action": "bridge track",
                        "cause": "confirmed",
                        "planned": "no",
                    }
                )
    return opened("2022Q1", desks=DESK, modules=modules, fitments=fitments, repairs=repairs)


def test_tracks_that_lift_more_with_each_re_cap_are_found(opened):
    finding = board_damage(book_of(opened, {0: 1, 1: 3, 2: 9}))
    assert finding.table["bridged"].tolist() == [1, 3, 9]
    assert finding.table["soldering_works"].tolist() == [20, 20, 20]
    assert finding.title.startswith(
        "Tracks lift more on boards re-capped more often: 3.0 times as often with each re-cap"
    )


def test_boards_alike_in_damage_show_no_difference(opened):
    title = board_damage(book_of(opened, {0: 4, 1: 4, 2: 4})).title
    assert title.startswith("No difference shown between boards re-capped often and seldom")


def test_two_bridged_tracks_are_too_few(opened):
    title = board_damage(book_of(opened, {0: 0, 1: 2})).title
    assert title.startswith(
        "2 bridged tracks on record: too few, or too alike in re-caps, to say whether re-work wears the boards."
    )

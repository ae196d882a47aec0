import pytest

from maintkit import donor_modules, scarce_parts


@pytest.fixture
def book(opened, least):
    desks = [dict(least["desks"][0], retired_on="2024-03-31"), least["desks"][1]]
    modules = [
        {"serial": serial, "family": "saltmarsh", "module_type": "channel", "made_on": "2001-03-01"}
        for serial in ("S1", "S2", "S3", "S4")
    ]
    fitments = [
        {"serial": "S1", "desk": "Curlew", "position": "1", "fitted_on": "2001-04-01"},
        {
            "serial": "S2",
            "desk": "Curlew",
            "position": "2",
            "fitted_on": "2001-04-01",
            "removed_on": "2024-02-01",
        },
        {
            "serial": "S3",
            "desk": "Curlew",
            "position": "3",
            "fitted_on": "2001-04-01",
            "removed_on": "2024-02-01",
        },
        {"serial": "S4", "desk": "Heron", "position": "4", "fitted_on": "2001-04-01"},
    ]
    types = [
        {"part_type": "chip", "kind": "ic", "obtainable": "no"},
        {"part_type": "cap", "kind": "electrolytic", "obtainable": "yes"},
    ]
    parts = [
        {"family": "saltmarsh", "module_type": "channel", "part_type": name, "quantity": number}
        for name, number in (("chip", 4), ("cap", 20))
    ]
    inspections = [
        {"serial": "S2", "inspected_on": "2024-02-10", "condition": "strip only", "damaged_tracks": 7},
        {"serial": "S3", "inspected_on": "2024-01-10", "condition": "strip only"},
        {"serial": "S3", "inspected_on": "2024-02-10", "condition": "working"},
        {"serial": "S3", "inspected_on": "2025-02-10", "condition": "repairable"},
    ]
    repairs = [
        {
            "repair": f"R{number}",
            "done_on": f"2024-0{number}-02",
            "serial": "S1",
            "action": "replace",
            "part_type": "chip",
            "quantity": 2,
            "cause": "confirmed",
            "planned": "no",
        }
        for number in (5, 6, 7)
    ]
    return opened(
        "2024Q3",
        desks=desks,
        modules=modules,
        fitments=fitments,
        part_types=types,
        parts_list=parts,
        inspections=inspections,
        tickets=least["tickets"],
        repairs=repairs,
        stock=[
            {"part_type": "chip", "on_hand": 9, "counted_on": "2024-01-05"},
            {"part_type": "chip", "on_hand": 3, "counted_on": "2024-09-05"},
        ],
        shelf=[{"serial": "S3", "shelf_in": "2024-02-01", "last_powered_on": "2024-08-01"}],
    )


def test_modules_in_no_desk_in_service_are_donors_in_order_of_condition(book):
    table = donor_modules(book).table
    assert table["serial"].tolist() == ["S3", "S2", "S4"]
    assert table["condition"].tolist() == ["working", "strip only", "not inspected"]
    assert table["scarce_parts"].tolist() == [4, 4, 4]


def test_years_without_power_run_from_the_last_time_it_ran(book):
    table = donor_modules(book).table.set_index("serial")
    assert table.loc["S3", "unpowered_years"] == pytest.approx(60 / 365.25)
    assert table.loc["S2", "unpowered_years"] == pytest.approx(242 / 365.25, abs=0.01)


def test_the_title_counts_by_condition(book):
    assert donor_modules(book).title == (
        "3 modules in no desk: 1 working, 1 strip only, 1 not inspected; "
        "2 of those not for stripping hold scarce parts."
    )


def test_scarce_parts_weigh_use_against_stock_and_donors(book):
    row = scarce_parts(book).table.iloc[0]
    years = (273 - 0) / 365.25  # 2024-01-01 to 2024-09-30
    assert (row["part_type"], row["used"], row["in_stock"], row["in_donors"]) == ("chip", 6, 3, 12)
    assert row["used_per_year"] == pytest.approx(6 / years, rel=0.01)
    assert row["years_in_stock"] == pytest.approx(3 / 6 * years, rel=0.01)
    assert row["years_with_donors"] == pytest.approx(15 / 6 * years, rel=0.01)


def test_a_part_that_can_be_bought_is_not_listed(book):
    assert scarce_parts(book).table["part_type"].tolist() == ["chip"]

"""Lists of outages and delays: a machine, when it stood still, why, and who runs it or where it stands."""

import pytest

from maintkit.records.headings import draft_mapping
from tests.first_contact.as_drafted import drafted, rows

DEPOTS = ("Quayside", "Hilltop")
# day, machine by its number, reason by its number, minutes
STOPS = [(day, (5 * day) % 9, day % 4, 10 * (day % 5) + 5) for day in range(1, 28)]


def write(folder, name, headings, row, *, mark=","):
    """A file with a row for each of the stops, made by a function of day, machine, place of the machine, reason and minutes."""
    told = (row(day, at, DEPOTS[at % 2], reason, minutes) for day, at, reason, minutes in STOPS)
    lines = [headings, *(mark.join(map(str, cells)) for cells in told)]
    (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


PER_DESK = (
    "select desk, count(*), count(distinct position), sum(minutes_lost) from tickets group by all order by 1"
)
BY_DEPOT = [
    (depot, len(own), len({at for at, _ in own}), sum(minutes for _, minutes in own))
    for depot in sorted(DEPOTS)
    for own in [[(at, minutes) for _, at, _, minutes in STOPS if DEPOTS[at % 2] == depot]]
]


@pytest.mark.parametrize(
    ("headings", "reasons"),
    [
        ("Day;Loop;Bus_Company;Delay_Reason;How_Long_Delayed", "Traffic Flat_tyre Doors Other"),
        ("Datum;Umlauf;Betriebshof;Verspätungsgrund;Verspätung", "Stau Reifen Türen Sonstiges"),
        ("Date;Tournée;Dépôt;Motif du retard;Retard", "Circulation Pneu Portes Autre"),
        ("Fecha;Turno;Cochera;Motivo del retraso;Retraso", "Tráfico Rueda Puertas Otro"),
    ],
)
def test_the_reason_is_the_complaint_and_the_machine_is_of_who_runs_it(tmp_path, headings, reasons):
    def row(day, at, depot, reason, minutes):
        return f"2024-05-{day:02}", f"K{at}07", depot, reasons.split()[reason], f"{minutes}MINTUES"

    write(tmp_path, "late.csv", headings, row, mark=";")
    text = drafted(tmp_path)
    assert text.count("# by its cells alone") == 2
    assert rows(tmp_path, PER_DESK) == BY_DEPOT
    first = "select raised_on::varchar, position, symptom from tickets order by raised_on limit 1"
    assert rows(tmp_path, first) == [("2024-05-01", "K507", reasons.split()[1])]


def test_an_end_that_is_only_expected_is_none_and_the_station_is_that_of_the_list_of_machines(tmp_path):
    def row(day, at, depot, reason, minutes):
        began = f"2024-05-{day:02} 07:15:00+00:00"
        return (
            f"LF{at}07",
            ("Doors", "Cable")[reason % 2],
            began,
            began.replace(" 07", " 11"),
            began.replace(" 07", " 19"),
        )

    write(tmp_path, "outages.csv", "lift,reason,out_of_service,first_noticed,estimated_return", row)
    machines = [f"LF{at}07,{DEPOTS[at % 2]},door {at}" for at in range(1, 12)]
    (tmp_path / "lifts.csv").write_text("\n".join(["code,station,stands_at", *machines]) + "\n")
    text = drafted(tmp_path)
    assert '"first_noticed", "estimated_return"' in text  # kept beside the row
    assert "[tickets.lookup.desk]   # lifts.csv says the station of each code" in text
    found = rows(tmp_path, "select desk, count(*) from tickets group by 1 order by 1")
    without_list = sum(at == 0 for _, at, _, _ in STOPS)
    of_list = {depot: many for depot, many, *_ in BY_DEPOT}
    assert found == [
        ("Hilltop", of_list["Hilltop"]),
        ("Quayside", of_list["Quayside"] - without_list),
        ("not listed", without_list),
    ]


def test_days_from_and_to_with_a_reason_are_outages_where_their_headings_say_so(tmp_path):
    def row(day, at, depot, reason, minutes):
        return (
            depot,
            f"M{at}",
            f"{day:02}.05.2024 07:15",
            f"{day:02}.05.2024 09:40",
            "Motor",
            f"{minutes / 60:.2f}",
        )

    write(tmp_path, "Stillstand.csv", "Standort;Anlage;Beginn;Ende;Grund;Dauer (h)", row, mark=";")
    text = drafted(tmp_path)
    assert '"Ende" = "restored_on"' in text and '"Dauer (h)" = "minutes_lost"' in text
    assert [row[:3] for row in rows(tmp_path, PER_DESK)] == [row[:3] for row in BY_DEPOT]


def test_free_days_with_a_reason_stay_free_days(tmp_path):
    (tmp_path / "dark days.csv").write_text(
        "Desk,From,Until,Reason\nHeron,2024-05-01,2024-05-04,holiday\nTern,2024-06-01,2024-06-02,floor\n"
    )
    assert "[bookings]" in draft_mapping(tmp_path).text.splitlines()


def test_a_machine_that_stops_anywhere_is_of_no_place(tmp_path):
    def row(day, at, depot, reason, minutes):
        return f"2024-05-{day:02}", DEPOTS[day % 2], "stuck doors", minutes, f"{at}07", day % 7 + 1

    write(tmp_path, "delays.csv", "Date,Location,Incident,Min Delay,Vehicle,Number of people on the bus", row)
    drafted(tmp_path)
    assert rows(tmp_path, "select distinct desk from tickets") == [("the desk",)]
    assert rows(tmp_path, "select count(distinct position) from tickets") == [(9,)]


def test_modules_that_went_out_and_in_for_a_reason_are_no_faults(tmp_path):
    def row(day, at, depot, reason, minutes):
        return f"{day}.5.2024", at + 1, 4000 + at, 5000 + day, "kratzt"

    write(tmp_path, "Tausch.csv", "Tag;Platz;raus;rein;Grund", row, mark=";")
    assert "[tickets]" not in draft_mapping(tmp_path).text.splitlines()


def test_of_durations_from_one_to_another_the_middle_is_taken_and_said(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Date,Desk,Channel,Fault,Lost time\n2024-05-01,Heron,3,hum,20-25 min\n2024-05-02,Tern,4,dead,1-2 h\n"
        "2024-05-04,Heron,3,hum,10mns\n"
    )
    assert '"Lost time" has 20-25 min, of which the middle is taken: 22.5 minutes.' in drafted(tmp_path)
    found = rows(tmp_path, "select minutes_lost from tickets order by raised_on")
    assert found == [(22.5,), (90.0,), (10.0,)]


def test_hours_and_minutes_in_two_columns_are_one_duration(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Date,Desk,Channel,Fault,down_hours,down_min\n2024-05-01,Heron,3,hum,1,23\n2024-05-02,Tern,4,dead,0,7\n"
        "2024-05-04,Heron,3,hum,2,05\n"
    )
    text = drafted(tmp_path)
    assert 'together = ["down_hours", "down_min"]' in text and "kept beside the row" not in text
    assert rows(tmp_path, "select minutes_lost from tickets order by raised_on") == [(83,), (7,), (125,)]


def test_a_list_without_days_is_said_to_have_none(tmp_path):
    (tmp_path / "out now.csv").write_text(
        "Type,Station,Unit,Reason,Estimated return\nlift,Quay,#1,Doors,TBD\nlift,Hill,#2,Cable,3/1\nlift,Quay,#1,Doors,TBD\n"
    )
    assert "no column of out now.csv has days, with their year" in draft_mapping(tmp_path).text

"""Jobs of a workshop: a desk and a day left out on further jobs of one delivery, modules by their serials, totals of months."""

import pytest

from tests.first_contact.as_drafted import drafted, rows

HEADINGS = "job,in,desk,unit,s/n,complaint,work,hrs,out"
JOBS = """
612,2016-04-11,Pennick 40,mono i/p,P4558,blew up,tants replaced,1,2016-04-21
613,2016-04-11,Pennick 40,mono i/p,P2049,hum,C1 replaced,1,2016-05-06
614,2016-04-13,Brindle 24,group,B2495,crackly fader,fader cleaned,1,2016-04-29
615,,,comp,B2292,intermittent,reflowed,0.5,2016-04-18
616,2016-04-13,,mono i/p,B2495 (ch 12),noisy pots,pots replaced,1,2016-05-09
,,,,,,month,357,
617,2016-06-02,Brindle 24,mono i/p,B2704,distorts,IC6 replaced,1.5,2016-06-10
618,2016-06-08,Pennick 40,mono i/p,P4558,intermittent,,,
619,2016-06-08,,group,P1941,LED dead,LED replaced,3,2016-07-16
620,,,PSU,PSU,hum,reservoirs replaced,2,2016-06-30
,,,,,,month,321,
621,2016-07-26,Pennick 40,stereo i/p,P1026,dead,IC2 replaced,2,2016-08-02
622,2016-07-26,,mono i/p,P4558,no output,track bridged,6,2016-08-26
623,2016-08-05,Pennick 40,mono i/p,P2049,crackly fader,fader cleaned,1,2016-08-18
624,2016-08-09,Brindle 24,group,B3066,fader u/s,fader replaced,3,2016-09-05
625,,,mono i/p,B2292,hum,C2 replaced,1,2016-09-05
"""


def test_what_a_delivery_has_in_common_is_written_once(tmp_path):
    (tmp_path / "jobs.csv").write_text(HEADINGS + JOBS, encoding="utf-8")
    draft = drafted(tmp_path)
    assert ('as_above = ["in", "desk"]' in draft, '"unit" = "module_type"' in draft) == (True, True)
    found = rows(
        tmp_path,
        "select desk, count(*), count(distinct raised_on), count(distinct position) from tickets group by 1 order by 1",
        left_out=4,
    )
    assert found == [("Brindle 24", 6, 3, 4), ("Pennick 40", 8, 4, 5)]


def test_a_desk_left_out_on_a_day_of_its_own_is_asked_for(tmp_path):
    forgotten = JOBS.replace("622,2016-07-26,,", "622,2016-07-29,,")
    (tmp_path / "jobs.csv").write_text(HEADINGS + forgotten, encoding="utf-8")
    assert '# ? as_above = ["in", "desk"]' in drafted(tmp_path)


def test_a_desk_that_several_clients_have_may_be_several(tmp_path):
    clients = (("Ferry Lane", "Pennick 40"), ("Dunmore", "Brindle 24"), ("Whelan Hall", "Brindle 24"))
    jobs = [
        f"{at},2016-04-{at - 600:02},{client},{desk},B{1000 + at},hum,C1 replaced"
        for at, (client, desk) in enumerate(clients * 4, start=601)
    ]
    (tmp_path / "jobs.csv").write_text(
        "\n".join(["job,in,client,desk,s/n,complaint,work", *jobs, ""]), encoding="utf-8"
    )
    said = '# Brindle 24 is counted as one desk, though "client" has Dunmore and Whelan Hall beside it.'
    assert said in drafted(tmp_path)
    one_desk = [job.replace("Whelan Hall", "Dunmore") for job in jobs]
    (tmp_path / "jobs.csv").write_text(
        "\n".join(["job,in,client,desk,s/n,complaint,work", *one_desk, ""]), encoding="utf-8"
    )
    assert "is counted as one desk" not in drafted(tmp_path)


REPORTS = """\
Job,Date,Desk,Mod,Fault,Work,Hrs
71,2016-01-05,C-01,4,dead,relay replaced,0.5
,,,9,hum,re-flow,0.25
72,2016-01-05,C-02,2,crackles,pot cleaned,0.5
73,2016-01-19,C1,4,pops,new fader,0.5
,,,11,,recap 20,1
,,,12,,recap 20,1
74,2016-02-03,Goliath,3,no output,IC3 replaced,1
75,2016-02-03,C-02,6,dull,2 caps replaced,1
,,,7,noisy,switch cleaned,0.25
76,2016-02-03,C-01,1,dead,new fader,0.5
"""


def test_a_job_of_several_rows_tells_day_and_desk_in_the_first_though_some_days_come_again(tmp_path):
    (tmp_path / "jobs.csv").write_text(REPORTS, encoding="utf-8")
    (tmp_path / "desks.csv").write_text("asset,frame\nC-01,24 ch\nC-02,32 ch\n", encoding="utf-8")
    draft = drafted(tmp_path)
    assert "so 4 with nothing under Date are taken to be of the day above" in draft
    assert '# ? "Goliath" = "C-01"' in draft and "[[positions]]" not in draft
    whole = draft.replace('# ? "Goliath"', '"Goliath"')
    (tmp_path / "mapping.toml").write_text(whole, encoding="utf-8")
    query = "select desk, count(*), max(raised_on)::varchar from tickets semi join repairs using (ticket) group by 1 order by 1"
    assert rows(tmp_path, query) == [("C-01", 7, "2016-02-03"), ("C-02", 3, "2016-02-03")]


@pytest.mark.parametrize(("written", "offered"), [("Ceder desk", "Cedar"), ("the brich", "Birch")])
def test_a_desk_that_is_not_listed_is_offered_the_likest_that_is(tmp_path, written, offered):
    reports = "".join(
        f"T{at},2016-01-{at:02},{desk},4,hum,C1 replaced\n"
        for at, desk in enumerate([*("Alder", "Birch", "Cedar") * 4, written], start=1)
    )
    (tmp_path / "faults.csv").write_text(f"Job,Date,Desk,Mod,Fault,Work\n{reports}", encoding="utf-8")
    (tmp_path / "desks.csv").write_text("desk,family\nAlder,a\nBirch,b\nCedar,c\n", encoding="utf-8")
    assert f'# ? "{written}" = "{offered}"' in drafted(tmp_path).splitlines()


def test_days_in_no_order_say_nothing_of_blank_ones(tmp_path):
    shuffled = REPORTS.replace("72,2016-01-05", "72,2016-11-05").replace("75,2016-02-03", "75,2015-02-03")
    (tmp_path / "jobs.csv").write_text(shuffled.replace("73,2016", "73,2017"), encoding="utf-8")
    draft = drafted(tmp_path)
    assert "# ? as_above = [" in draft and "in order of their days" not in draft


def test_a_sum_at_the_foot_is_no_report_of_the_day_above(tmp_path):
    (tmp_path / "jobs.csv").write_text(
        f"{REPORTS},,,,,sum of hrs,7\n".replace("sum of hrs,7", ",all hours 7"), encoding="utf-8"
    )
    draft = drafted(tmp_path)
    assert "# ? as_above = [" in draft and "in order of their days" not in draft


@pytest.mark.parametrize(("stamp", "leans"), [("{day}/2024 {hour}:20:10 PM", False), ("{day}/2024", True)])
def test_an_answer_with_its_own_time_leans_on_none_above(tmp_path, stamp, leans):
    desks = ["Pennick", "Brindle", "", "Pennick", "Brindle", "", "Pennick", "Brindle", "", "Pennick"]
    answers = (
        (stamp.format(day=f"3/{11 + at}", hour=1 + at), desk, f"ch {at}", "no sound")
        for at, desk in enumerate(desks)
    )
    lines = [("Timestamp", "Which desk", "Channel", "What is wrong"), *answers]
    (tmp_path / "form.csv").write_text("\n".join(map(",".join, lines)), encoding="utf-8")
    assert ("as_above" in drafted(tmp_path)) == leans


def test_a_day_out_that_is_blank_beside_a_day_in_is_not_that_of_the_row_above(tmp_path):
    jobs = (
        (
            f"SN{100 + at % 7}",
            f"Pennick {1 + at % 7}",
            f"2024-03-{at:02}",
            "" if at % 4 == 3 else f"2024-04-{at:02}",
            "C14 dried out",
            "replaced C14",
        )
        for at in range(1, 20)
    )
    lines = [("S/N", "out of strip", "date in", "date out", "found", "changed"), *jobs]
    (tmp_path / "bench.csv").write_text("\n".join(map(",".join, lines)), encoding="utf-8")
    draft = drafted(tmp_path)
    assert "as_above" not in draft and "nothing under date out: they are not yet done" in draft

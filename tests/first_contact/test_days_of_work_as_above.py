"""A list of work alone whose day stands once for several jobs, now and then again, and days in two styles."""

from tests.first_contact.as_drafted import drafted, rows

JOBS = """Date,Desk,Ch,Found,Done,Parts
01/02/2025,Wren,4,C14 open,new C14,47u 25V
,,9,lamp blown,replaced,lamp
13 Feb 2025,Heron,2,fader dirty,cleaned,
14/02/2025,Heron,7,relay dead,new relay,relay 12V
14/02/2025,Wren,7,pot worn,new pot,pot 10k
14/02/2025,Heron,12,mute noisy,cleaned,
20/02/2025,Wren,11,fader stiff,new fader,fader
20/02/2025,Wren,1,IC2 noisy,changed IC2,opamp
,Heron,3,C7 leaky,new C7,47u 25V
25/02/2025,Heron,8,lamp blown,replaced,lamp
"""
TOLD = [("2025-02-01", "Wren", "4"), ("2025-02-01", "Wren", "9"), ("2025-02-20", "Heron", "3")]


def test_jobs_in_order_of_their_days_take_a_blank_one_from_above(tmp_path):
    (tmp_path / "work.csv").write_text(JOBS, encoding="utf-8")
    draft = drafted(tmp_path)
    assert (
        "# The rows are in order of their days, so 2 with nothing under Date are taken to be of the day above."
        in draft
    )
    found = rows(tmp_path, "select done_on::varchar, desk, position from repairs order by all")
    assert len(found) == 10 and {*TOLD} <= {*found}


def test_jobs_in_no_order_are_asked_about(tmp_path):
    first, *others = JOBS.splitlines()
    mixed = [others[at] for at in (3, 4, 0, 1, 7, 2, 5, 6)]
    (tmp_path / "work.csv").write_text("\n".join([first, *mixed, ""]), encoding="utf-8")
    assert "# ? as_above" in drafted(tmp_path)

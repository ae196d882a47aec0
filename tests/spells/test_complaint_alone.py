"""What is shown of a complaint: no greeting, no name, no telephone number and no address; the record keeps them."""

import duckdb
import pytest

from maintkit.spells import gather_evidence
from maintkit.spells.queries import run
from tests.spells.books import RECORD_END, book, gathered, heard, rows

SHOWN = {
    "Dear all,\nch 4 drops out.\nBest, Ada\nphone 5512": "ch 4 drops out",
    "hey\nfader rough\nthx!!": "fader rough",
    "Moin,\nKanal 3 brummt\nViele Grüße\nAda (DW 441)": "Kanal 3 brummt",
    "low on 9\n\nMit freundlichen Grüßen\nA. Beck\nDurchwahl 4412": "low on 9",
    "hum. Thanks, Ada, ext. 551": "hum",
    "hum\nPlease call me on 555 01 77 before you come": "hum",
    "no bass, mail me: a.beck@house.example": "no bass",
    "hey - dead!!, no output": "dead!!, no output",
    "Hi guys, lows missing on return thx": "lows missing on return",
    "client complained: weak!!": "weak!!",
    "hums\nBest,\nAda Beck\n+49 30 555 0177": "hums",
}
WHOLE = (
    "hi hat mic\nno signal",
    "dear me, no signal",
    "phone 2 dead",
    "hum on phone 2",
    "best on ch 5, worse on ch 6",
    "hi mids missing, and dull",
    "client complained of hum",
    "thanks to the new fader no crackle, but hum",
    "crackles since 12.3.",
    "Thanks",
    "two lines\nof text",
)


@pytest.mark.parametrize(("said", "shown"), [*SHOWN.items(), *((text, text) for text in WHOLE)])
def test_greeting_and_closing_are_taken_off_and_nothing_else(said, shown):
    connection = duckdb.connect()
    run(connection, "complaint_alone", {})
    assert connection.execute("select complaint_alone(?)", [said]).fetchall() == [(shown,)]


def test_one_complaint_by_two_persons_is_the_same_and_the_record_keeps_both_as_written():
    texts = ("Hi Bo,\nodd glow\nBest, Ada\nphone 5512", "odd glow\ncheers Kit")
    tickets = [heard(f"T{at}", f"2021-0{at}-01", symptom=text) for at, text in enumerate(texts, start=1)]
    assert rows(gathered(tickets).faults, "symptom", "symptom_key") == [("odd glow", "glow odd")] * 2
    connection = book(tickets=tickets)
    gather_evidence(connection, record_end=RECORD_END)
    kept = connection.execute("select symptom from tickets order by ticket").fetchall()
    assert kept == [(text,) for text in texts]

"""Rows that are of no desk: the sums and charges of an invoice, other gear, requests; and what was the slip of those who mended it."""

from tests.first_contact.as_drafted import drafted, rows

INVOICES = """Inv.,Date,Console,Work,Hrs,Part,Qty,Net
24-061,14.10.24,Plover,"Ch 5 no signal, replaced output transistor",1.0,BD139,1,48
,,,"Ch 23 hum, replaced C5",0.5,47u 35V,1,24
,,,Travel,0.5,,,24
,,,Sum 24-061,2.0,,,96
24-062,15.10.24,Wren,"Ch 4 fader noisy, fader replaced",0.75,Fader 10k,1,36
,,,Meeting about room temperature,1.0,,,48
,,,Sum 24-062,1.75,,,84
24-066,30.10.24,Plover,"Channel 12 crackles, coupling cap leaking",0.75,100u 25V,1,36
,,,"Freezer spray, consumables",,Spray,1,
,,,"Ch 7 routing does nothing",1.0,,,48
,,,Sum 24-066,1.75,,,84
24-070,12.11.24,Wren,"Ch 1 no phantom power",0.5,6k81,2,24
,,,Call-out,0.5,,,24
,,,Sum 24-070,1.0,,,48
,,,Total for the year to date,,,,312
"""


def test_sums_and_charges_of_an_invoice_are_no_work(tmp_path):
    (tmp_path / "invoices.csv").write_text(INVOICES, encoding="utf-8")
    draft = drafted(tmp_path)
    assert [line for line in draft.splitlines() if line.startswith('# ? "')] == [
        '# ? "ch 7 routing does nothing" = "other work"'
    ]
    found = rows(tmp_path, "select desk, count(*) from repairs group by 1 order by 1", left_out=9)
    assert found == [("Plover", 4), ("Wren", 2)]

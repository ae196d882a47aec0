"""Rows that lean on the one above: a cell that repeats it, a title over the rows below, headings that come again; rows of several entries."""

import re
from functools import partial

from .days import MONTH_AND_TWO_DIGITS, MONTHS, moment_of, month_and_year, with_year

STRUCK_OUT = "struck out"  # in the place of a refusal, as of a remark that tells of no work: the row is left out, and counted so
CORNER = "(first column)"  # what mapping.toml calls the first column where it has no heading
ONE_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")  # no day, though spreadsheets count days so
ABOVE = "above"  # where days that name no year have it from
TITLE_ROW = "the title above"  # what messages call the column of titles
DITTO = frozenset(
    ('"', "''", ",,", "„", "„“", '""', "″", "〃", "“", "”", '-"-', '–"–', "ditto", "dito", "dto", "dto.", "do.", "do", "-do-", "s.o.",
     "same", "idem", "asabove", "sameasabove", "wieoben", "w.o.")
)  # fmt: skip
LONGEST_DITTO = 20  # letters, with blanks between them
TITLES_IN = 2  # first columns
AROUND_TITLES = " \t:;-–—=*#_"
# as it stands beside the word for a total
A_PERIOD = (
    rf"(?:(?:{'|'.join(MONTHS)})\.?(?: ?['’]?\d\d(?:\d\d)?)?|q[1-4]|(?:kw|wk|week) ?\d\d?|(?:19|20)\d\d)"
)
TOTAL = re.compile(
    rf"{A_PERIOD} (?:sub-?)?totals?:?|(?:totals?|summe|gesamt) (?:for |of )?{A_PERIOD}:?|{A_PERIOD} (?:summe|gesamt):?|"
    r"(?:(?:grand|month|week|quarter|year)(?:ly|'s)? |sub[ -]?)?(?:total|totals|sum|count|average|mean)s?[ :=.]*[\d.,]*|total (?:of )?(?:[a-z]{3,9}|\d{1,2}(?:st|nd|rd|th))[ :=.]*[\d.,]*|month|(?:gesamt|zwischen)?(?:summe|anzahl|mittel(?:wert)?|ges(?:amt)?)[ :=.]*[\d.,]*"
    rf"|\d+ [^\W\d]+(?: [^\W\d]+)? (?:in|im|for|für)(?: the)?(?: year| jahr)? {A_PERIOD}[.:]?"  # 4 modules in 2021
    r"|gesamt(?:zeit|dauer)?[ :=.]*|insgesamt[ :=.]*|totaal[ :=.]*|[Σ∑][ :=.]*"
    # of an invoice, by its number
    r"|(?:(?:sub|grand)[ -]?)?(?:total|sum|summe|zwischensumme)(?: (?:of|for|von|für))?(?: (?:inv(?:oice)?|rechnung|rg)\.?(?: no\.?)?)? (?=(?:\D?\d){5})[\d./-]+[ :=.]*"
    r"|(?:total|sum)s? (?:for |of )?(?:the )?(?:whole )?(?:month|quarter|year|period)(?: to date| so far)?[ :=.]*",
    re.IGNORECASE,
)
A_MASTER = "summe"  # by itself it is a slot
A_DAY = re.compile(r"\d{1,4}([./-]\d{1,4}){2}")
# a weekday may stand before it
BARE_DAY = re.compile(r"(?:[^\W\d]{2,9}\.?,? )?([012]?\d|3[01])(?:st|nd|rd|th|\.)?", re.IGNORECASE)
PERIOD = re.compile(
    r"\b(19|20)\d\d\b|\b(Q[1-4]|KW|weeks?|wk|Woche|quarter|Quartal|term|semester|year|Jahr)\b", re.IGNORECASE
)
ONE_YEAR = re.compile(r"\b(?:19|20)\d\d\b(?! ?[-–/] ?\d)")  # and no season such as 2024/25
SHORT_YEAR = re.compile(r"(?<=['’])\d\d\b")
A_MONTH_AND_SHORT_YEAR = re.compile(r"([^\W\d_]+)[ .-]*(\d\d)")
A_LEAP_YEAR = 2000  # for days that name none, where only whether they are days is asked
TURN = 6  # months from one title to the next, from which a year begins or ends between them
A_NUMBER = re.compile(r"[\d.,:]+(?: ?(?:h|min|std\.?|hrs?|€|£))?")


def title_of(fields) -> str:
    """The text of a row that is a title over others: of all cells one of the first two alone is filled; else ''.

    Examples
    --------
    >>> title_of(["Studio 2:", "", ""]), title_of(["", "", "see photo"]), title_of(["Total", "", ""]), title_of(["Summe", "", ""])
    ('Studio 2', '', '', 'Summe')
    """
    filled = [(at, cell.strip()) for at, cell in enumerate(fields) if cell.strip()]
    if len(filled) != 1 or filled[0][0] >= TITLES_IN:
        return ""
    title = filled[0][1].strip(AROUND_TITLES)
    is_total = TOTAL.fullmatch(filled[0][1]) and title.casefold() != A_MASTER
    return "" if is_total else title


def is_period(title: str) -> bool:
    """Whether a title over rows is a month, a week, a quarter or a year.

    Examples
    --------
    >>> [is_period(title) for title in ("March", "KW 12", "2025", "JAN '07", "Monday 5 January 2026", "Studio 2")]
    [True, True, True, True, False, False]
    """
    is_day = A_DAY.match(title) or (month_of(title) and re.search(r"(?<![\d'’])\d{1,2}(?!\d)", title))
    return not is_day and bool(PERIOD.search(title) or month_of(title))


def month_of(title: str) -> str:
    """The name of the month in a title; '' where there is none.

    Examples
    --------
    >>> month_of("SEPT"), month_of("März 2026"), month_of("Studio 2")
    ('SEPT', 'März', '')
    """
    return next((word for word in re.findall(r"[^\W\d]+", title) if word.casefold() in MONTHS), "")


def year_of(title: str) -> str:
    """The one year that a title over rows names; '' where it names none, or a season.

    Examples
    --------
    >>> [year_of(title) for title in ("2025", "März 2025", "Season 2024/25", "KW 12")]
    ['2025', '2025', '', '']
    """
    found = ONE_YEAR.findall(title) or [f"20{one}" for one in SHORT_YEAR.findall(title)]
    return found[0] if len(found) == 1 else ""


def year_below(title: str, last: str, year: str) -> str:
    """The year that holds below a title: the one it names, else that of the ``last`` title, the next or the one before beyond the turn of a year.

    Examples
    --------
    >>> year_below("JANUARY", "December", "2023"), year_below("Dec", "January", "2024"), year_below("May", "April 2024", "2024")
    ('2024', '2023', '2024')
    """
    now, before = (MONTHS.get(month_of(one).casefold(), 0) for one in (title, last))
    if year_of(title) or not (year and now and before):
        return year_of(title) or year
    return str(int(year) + (now + TURN <= before) - (before + TURN < now))


def period_of(titles, sheet: str = "") -> tuple[str, str]:
    """The title that names a month and its year alone, and the year, of some and last of a ``sheet``'s name; both '' where none does.

    Behind the month in a sheet's name two digits are its year, but that of bare days alone, for they may be a day.

    Examples
    --------
    >>> period_of(["typed in May 2025", "January 2024"]), period_of(["Feb '24"]), period_of(["2024", "March 12"])
    (('January 2024', '2024'), ("Feb '24", '2024'), ('', ''))
    >>> [period_of([], name) for name in ("Jan 2026", "Sept 25", "janv. 25", "May 3", "Studio 25")]
    [('Jan 2026', '2026'), ('Sept 2025', ''), ('janv 2025', ''), ('', ''), ('', '')]
    """
    named = (one for one in (*titles, sheet) if month_of(one) and year_of(one))
    alone = (one for one in named if not re.search(r"[^\W\d_]", one.replace(month_of(one), "", 1)))
    if one := next(alone, ""):
        return one, year_of(one)
    short = A_MONTH_AND_SHORT_YEAR.fullmatch(sheet.strip())
    return (f"{short[1]} 20{short[2]}", "") if short and month_of(short[1]) else ("", "")


def in_period(cell: str, title: str, year: str = "", *, has_months: bool = False) -> str:
    """A day that is a bare number with the month over its row, and one that names no year with that over it; any other cell as it is.

    With ``has_months`` a month with two digits behind it is of that year, and no day.

    Examples
    --------
    >>> in_period("Tue 5", "DECEMBER - PANTO", "2023"), in_period("4", "March 2024 (dark)")
    ('5 december 2023', '4 March 2024')
    >>> in_period("4", "SEPT"), in_period("4.9.", "SEPT"), in_period("4th", "September 2023"), in_period("4.9.", "2023", "2023")
    ('4 SEPT', '4.9.', '4 September 2023', '4.9.2023')
    >>> in_period("Nov 25", "2025", "2025"), in_period("Nov 25", "2025", "2025", has_months=True)
    ('nov 25 2025', 'Nov 25')
    """
    day = BARE_DAY.fullmatch(cell.strip())
    cell = f"{day[1]} {month_of(title)} {year_of(title)}".strip() if day and month_of(title) else cell
    return with_year(cell, year) if year and not (has_months and month_and_year(cell)) else cell


def with_nearest_year(text: str, near, read) -> str:
    """A day that names no year with the year that brings it nearest to the day ``near``; any other cell as it is.

    ``read`` gives the day of a text, None where it is none.
    """
    years = (with_year(text, str(near.year + step)) for step in (0, 1, -1))
    days = {one: day for one in years if (day := read(one))}
    return min(days, key=lambda one: abs(days[one] - near), default=text)


class YearsAbove:
    """The year of days that name none, among others that do: that which brings each nearest to one in its row, or to the one above it."""

    def __init__(self, formats):
        self._read, self._last = partial(moment_of, formats=formats), {}

    def put(self, fields, places) -> list[str]:
        """The cells of a row, those at ``places`` with their year where they are days that name none.

        Examples
        --------
        >>> years = YearsAbove(["%d/%m/%Y"])
        >>> [years.put([cell], {0})[0] for cell in ("3/4", "12 Nov 2019", "3/1", "Tue 14 Dec", "")]
        ['3/4', '12 Nov 2019', '3/1/2020', '14 dec 2019', '']
        >>> years.put(["45678", "30/12/2020", "4/1"], {2}), YearsAbove(["%d.%m.%Y"]).put(["13.01.2012", "24.01."], {1})
        (['45678', '30/12/2020', '4/1/2021'], ['13.01.2012', '24.01.2012'])
        """
        bare = [at for at in places if with_year(fields[at], str(A_LEAP_YEAR)) != fields[at]]
        beside = self._full_day(fields) if bare else None
        found = list(fields)
        for at in places:
            if at in bare and (near := beside or self._last.get(at)):
                found[at] = with_nearest_year(fields[at], near, self._read)
            self._last[at] = self._read(found[at]) or self._last.get(at)
        return found

    def _full_day(self, fields):
        """The first day of a row that names its year."""
        cells = (cell for cell in fields if cell.strip() and not ONE_NUMBER.fullmatch(cell.strip()))
        full = (cell for cell in cells if with_year(cell, str(A_LEAP_YEAR)) == cell)
        return next(filter(None, map(self._read, full)), None)


def names_a_total(fields) -> bool:
    """Whether a row says that it is a sum of others, and holds no more than a sum does.

    Examples
    --------
    >>> names_a_total(["March 2024 total", "", "", "", "85"]), names_a_total(["3 May", "ch 7", "total failure", "relay", "20"])
    (True, False)
    >>> names_a_total(["", "", "19 repairs in 2024", ""]), names_a_total(["", "", "2 faults in channel 9", ""])
    (True, False)
    """
    filled = [cell.strip() for cell in fields if cell.strip()]
    return any(map(TOTAL.fullmatch, filled)) and len(filled) <= 0.6 * len(fields) + 1


def are_headings(fields, headings) -> bool:
    """Whether the cells of a row are the headings once more."""
    first = fields[0].strip() or (CORNER if headings[:1] == (CORNER,) else "")
    if not headings or first.casefold() != headings[0].casefold():
        return False
    there = [(cell.strip(), heading) for cell, heading in zip(fields, headings) if cell.strip()]
    alike = [re.sub(r"\s+", " ", cell).casefold() == heading.casefold() for cell, heading in there]
    return len(there) > 1 and sum(alike) >= 0.8 * len(there)


def is_ditto(cell: str) -> bool:
    """Whether a cell is a mark for the same as above."""
    return len(cell) <= LONGEST_DITTO and cell.casefold().replace(" ", "") in DITTO


def with_those_above(fields, above, places, told=(), named=()) -> list[str]:
    """The cells of a row, where a mark for the same, or a blank one at one of ``places``, is the cell above.

    A row of one cell has no cell but its own, unless that is at one of the places where an entry is ``told``; nor has one of
    a total, or of numbers alone, unless one is at a place where a slot or a module is ``named``.

    Examples
    --------
    >>> with_those_above(["", "12", "hum", "dto."], ["3 May", "11", "", "cleaned"], (0, 2))
    ['3 May', '12', 'hum', 'cleaned']
    >>> with_those_above(["", "see photo"], ["3 May", "hum"], {0}), with_those_above(["", "dead"], ["3 May", "hum"], {0}, {1})
    (['', 'see photo'], ['3 May', 'dead'])
    >>> with_those_above(["", "12", "7"], ["Heron", "11", "6"], {0}), with_those_above(["", "12", "7"], ["Heron", "11", "6"], {0}, (), {1})
    (['', '12', '7'], ['Heron', '12', '7'])
    """
    filled = [cell.strip() for cell in fields if cell.strip()]
    says = len(filled) > 1 or any(fields[at].strip() for at in told)
    numbers = all(map(A_NUMBER.fullmatch, filled)) and not any(fields[at].strip() for at in named)
    leans = says and not numbers and not any(map(TOTAL.fullmatch, filled))
    return [
        over if is_ditto(cell) or (leans and at in places and not cell.strip()) else cell
        for at, (cell, over) in enumerate(zip(fields, above))
    ]


def in_its_slot(fields, above, pulled, cards) -> list[str]:
    """The cells of a row, where one of the words ``pulled`` at its place, for where a module is out of its slot, is the cell ``above`` of the
    same module, by the places of ``cards``; blank where there is none.

    Examples
    --------
    >>> pulled = {0: ("bench",)}
    >>> [in_its_slot(["bench", serial], ["ch 7", "K12"], pulled, [1]) for serial in ("K12", "K14")]
    [['ch 7', 'K12'], ['', 'K14']]
    """
    if not pulled:
        return fields
    is_same = above and all(fields[at] == above[at] for at in cards)
    found = list(fields)
    for at, words in pulled.items():
        if fields[at].strip().casefold() in words:
            found[at] = above[at] if is_same else ""
    return found


class SameRow:
    """Marks for the same under one heading that repeat what their own row has under another: the place for each such place."""

    def __init__(self, beside: dict[int, int]):
        self._beside, self._is_own = beside, {}

    def put(self, fields, written) -> list[str]:
        """The cells of a row, as they are ``written`` and with marks for those above filled in, with those of its own row.

        A word is such a mark; marks of repetition alone repeat what stands above them, be it such a word.

        Examples
        --------
        >>> row = SameRow({1: 0})
        >>> [row.put([first, "8"], [first, to])[1] for first, to in (("8", "same"), ("9", '"'), ("10", "shelf"), ("11", '"'))]
        ['8', '9', '8', '8']
        """
        found = list(fields)
        for at, other in self._beside.items():
            is_mark = is_ditto(written[at])
            if written[at].strip():
                is_word = any(map(str.isalpha, written[at]))
                self._is_own[at] = is_mark and (is_word or self._is_own.get(at, False))
            if is_mark and self._is_own[at]:
                found[at] = fields[other]
        return found


def entries_of(fields, groups) -> list[list[str]]:
    """The entries of a row: one for each group of places in which something stands, under the headings of the first group.

    A place of a group that the sheet lacks is None, and blank.

    Examples
    --------
    >>> entries_of(["7", "3 May", "hum", "9 June", "dead"], [[1, 2], [3, 4]])
    [['7', '3 May', 'hum', '9 June', 'dead'], ['7', '9 June', 'dead', '9 June', 'dead']]
    >>> entries_of(["8", "", "", "", ""], [[1, 2], [3, 4]])
    []
    """
    found = []
    for group in groups:
        own = ["" if at is None else fields[at] for at in group]
        if any(map(str.strip, own)):
            told = dict(zip(groups[0], own, strict=True))
            found.append([told.get(at, cell) for at, cell in enumerate(fields)])
    return found if groups else [fields]


def as_meant(records, plan):
    """The records of a sheet, ``(row number, fields, refusal)``, with the cells they mean; those up to the headings as they are.

    Titles and headings that come again are taken out, rows struck out where mapping.toml says so; where it names a column for
    the titles, a cell more holds it; where it names groups of headings, a row is as many records as it has groups filled.
    """
    groups = [
        [plan.place(heading) if plan.has(heading) else None for heading in group]
        for group in plan.mapping.groups
    ]
    headings, has_titles = plan.header.headings, bool(plan.mapping.title_rows)
    places = {plan.place(heading) for heading in plan.mapping.as_above if plan.has(heading)}
    told = _where_told(plan, places)
    named = [plan.index[name] for name in ("position", "serial") if name in plan.index]
    parts = [plan.place(heading) for heading in plan.mapping.together if plan.has(heading)]
    own = (two for two in plan.mapping.same_row.items() if all(map(plan.has, two)))
    beside = SameRow({plan.place(to): plan.place(first) for to, first in own})
    pulled = _where_pulled(plan)
    days = [
        plan.index[one.name] for one in plan.table.columns if one.kind == "date" and one.name in plan.index
    ]
    gives_title, leans = plan.title_column in plan.index, has_titles or places
    book = plan.sheet.book if plan.mapping.leave_struck_out else None
    struck = book.struck_out(plan.sheet.title) if book else ()
    title, above = "", None
    said = partial(in_period, has_months=MONTH_AND_TWO_DIGITS in plan.sheet.dialect.date_formats)
    years = YearsAbove(plan.sheet.dialect.date_formats) if plan.sheet.dialect.year == ABOVE else None
    period, year = period_of([], plan.sheet.title) if has_titles else ("", "")
    for number, fields, refusal in records:
        alone = title_of(fields) if leans and (not refusal or len(fields) == 1) else ""
        is_over = number <= plan.header.row and above is None
        is_entry = above and any(fields[at].strip() for at in told) and not is_period(alone)
        if has_titles and alone and not is_entry and not (places and _is_day(alone, plan.sheet)):
            if period_of([alone])[0] if is_over else is_period(alone):
                period, year = alone, year_below(alone, period, year)
            else:
                title = alone
            if not is_over:
                continue
        if refusal or is_over or not any(map(str.strip, fields)):
            yield number, fields, refusal
            continue
        if are_headings(fields, headings):
            continue
        holds_below = alone and any(fields[at].strip() for at in places)
        if period:
            fields = [said(cell, period, year) if at in days else cell for at, cell in enumerate(fields)]
        written = fields
        if above and (places or any(map(is_ditto, fields))):
            # what names a slot alone is of the section above, what names none of no section
            of_none = {*parts[:1]} if not any(fields[at].strip() for at in parts[1:]) else set()
            fields = with_those_above(fields, above, places - of_none, told, named)
        fields = beside.put(fields, written)
        fields = in_its_slot(fields, above, *pulled)
        if years:
            fields = years.put(fields, days)
        if not any(TOTAL.fullmatch(fields[at].strip()) for at in places):
            above = [  # what a note leaves blank is still that of the rows below it
                over if (holds_below or at in places) and not own.strip() else own
                for at, (own, over) in enumerate(zip(fields, above or fields))
            ]
        if number in struck and not holds_below:
            yield number, fields, STRUCK_OUT
        elif not holds_below:
            fields = [*fields, title] if gives_title else fields
            yield from ((number, one, refusal) for one in entries_of(fields, groups))


def _where_pulled(plan):
    """Words by the place where they say that a module is out of its slot, and the places of what the head over its rows says."""
    words = {plan.place(one): some for one, some in plan.mapping.pulled.items() if plan.has(one)}
    return words, [plan.place(one) for one in plan.mapping.head if plan.has(one)]


def _where_told(plan, places):
    """The places where one cell alone is an entry of the day above: the only one beside those written once, or that of the complaint."""
    others = {at for at, heading in enumerate(plan.header.headings) if heading} - places
    symptom = {plan.index["symptom"]} if "symptom" in plan.index and not plan.mapping.title_rows else set()
    return (others if len(others) == 1 else symptom) if places else set()


def _is_day(text, sheet):
    return A_DAY.match(text) or moment_of(text, sheet.dialect.date_formats, sheet.year or A_LEAP_YEAR)

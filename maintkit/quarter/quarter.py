"""One quarter of one record book: its days, its evidence, and the quarter after it."""

from __future__ import annotations

import math
import re
from datetime import date, timedelta
from functools import cached_property, partial
from itertools import zip_longest
from typing import TYPE_CHECKING

import duckdb

from maintkit.quarter.ready import ready_evidence
from maintkit.records.errors import RecordsError
from maintkit.records.store import Records, beyond_memory, open_records
from maintkit.records.wording import sort_symptoms, vocabulary_beside
from maintkit.spells.build import Evidence, gather_evidence
from maintkit.spells.frames import frame_of
from maintkit.spells.parts import MOST
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from maintkit.decide.priority import Forecast

FEWEST_MONTHS = (
    3  # firsts of months on record and no other day, from which months alone were written down; own choice
)
# A quarter counts as kept to its end when the last entry lies this close to it, or where it is past, in a book written seldom, as close as
# three times the mean time between days with an entry, for so long a silence comes once in twenty; all own choices.
GRACE_DAYS, MOST_GRACE, SELDOM = 14, 45, 3.0


class Quarter:
    """A quarter to be reviewed: the records up to its last day, and what is built from them once.

    Attributes
    ----------
    records : Records
    label : str
        Such as ``2026Q3``.
    first_day, last_day : date
        Both inclusive; the evidence ends with the last day. Of a quarter not over, the last day is that of the last entry.
    whole_days : int
        How many days the quarter has when it is over.
    last_entry : date or None
        The last ticket or work on record where the records do not reach the quarter's end, else None. It lies before the
        first day where nothing was written down in the quarter or after it, or too little after it to show that the log was kept.
    """

    def __init__(self, records: Records, label: str, last_entry: date | None = None):
        self.records, self.label, self.last_entry = records, label, last_entry
        self.first_day, self.last_day = quarter_days(label)
        self.whole_days = (self.last_day - self.first_day).days + 1
        if last_entry and last_entry >= self.first_day:
            self.last_day = last_entry
        # rows of life.csv by the spells they are of, filled as they are asked for
        self.lives: dict[bytes, dict] = {}
        self._tables: dict[tuple[str, ...], object] = {}
        self._is_worded, self._is_earlier = False, False
        self.left_out = None  # what a filter looks away from: see only

    def __repr__(self) -> str:
        return f"{self.label}, {self.first_day} to {self.last_day}, records: {self.records.source}"

    @property
    def _record_end(self) -> date:
        return self.last_day if self.is_kept else self.last_entry

    @cached_property
    def ready(self) -> Evidence | None:
        """The evidence as it lies in the store of these records; None where none does."""
        return ready_evidence(self.records, self._record_end)

    @cached_property
    def evidence(self) -> Evidence:
        """Spells, faults and work up to the last day, on powered time under the usual cause rule."""
        if self.ready is not None:
            self._is_worded = True
            return self.ready
        self._put_words()
        try:
            return gather_evidence(
                self.records.connection, record_end=self._record_end, for_forecast=self._is_earlier
            )
        except duckdb.OutOfMemoryException as error:
            raise beyond_memory(self.records) from error

    def _put_words(self) -> None:
        if not self._is_worded:
            sort_symptoms(self.records.connection, vocabulary_beside(self.records.source))
            self._is_worded = True

    @cached_property
    def slots(self):
        """Every slot in service, the modules in it and the hours ahead: see ``slots_in_service``; not to be changed."""
        from maintkit.quarter.slots import slots_in_service

        return slots_in_service(self)

    @cached_property
    def open_reports(self):
        """The reports still open, and how many of them will prove to be faults: see ``reports_still_open``."""
        from maintkit.quarter.counts import reports_still_open

        return reports_still_open(self.evidence)

    @cached_property
    def forecast(self) -> Forecast:
        """Expected faults and minutes of every slot over the coming quarter."""
        from maintkit.decide.priority import FaultsSeen, next_quarter

        faults = FaultsSeen(*self._faults_counted(), self.open_reports.faults)
        return next_quarter(
            self._forecast_parts(), self.evidence.stays, faults, self.slots, record_end=self.last_day
        )

    def forecasts_as(self, other: Quarter) -> bool:
        """Whether all that a forecast of the same days stands on is that of another quarter, and so the forecast too."""
        pairs = zip_longest(self._stands_on(), other._stands_on())
        return all(mine is not None and mine.equals(theirs) for mine, theirs in pairs)

    def _stands_on(self) -> Iterator:
        """The frames a forecast stands on, those soonest had first."""
        yield from self._faults_counted()
        yield self.evidence.report_ages()
        yield self.slots
        yield self.evidence.stays
        yield from self._forecast_parts()()

    def _faults_counted(self) -> Iterator:
        from maintkit.decide.past_quarters import BY_QUARTER
        from maintkit.decide.priority import BY_MINUTES, BY_MODULE

        return (self.evidence.fault_counts(by) for by in (BY_MODULE, BY_MINUTES, BY_QUARTER))

    def _forecast_parts(self) -> Callable:
        from maintkit.decide.part_groups import PART_COLUMNS

        return partial(self.evidence.part_frames, PART_COLUMNS, by=("family", "part_type"))

    def earlier(self, label: str, days_ahead: int | None = None) -> Quarter:
        """An earlier quarter of the same records, read and worded as they are here, to ask its forecast and no more.

        It may look at fewer days ahead than a quarter.
        """
        self._put_words()
        then = Quarter(self.records, label)
        then._tables, then._is_worded, then._is_earlier = self._tables, self._is_worded, True
        if days_ahead is not None:
            then.days_ahead = days_ahead
        return then

    def on(self, connection) -> Quarter:
        """The same days read from another connection, on which tables may have been narrowed."""
        return Quarter(
            Records(connection, self.records.source, self.records.report), self.label, self.last_entry
        )

    def only(self, **filters) -> Quarter:
        """The quarter with a part of its records, to be asked any question.

        Parameters
        ----------
        desk, module_type, part, kind, symptom : str or list of str, optional
            Names as the records have them; ``symptom`` is any words a complaint contains. With ``part`` or ``kind`` only
            tickets answered by work on such a part are looked at.
        positions : str or list of str, optional
            Slots, ``"1-24, 30"``.
        since, until : str or date, optional
            First and last day, ``"2024-01-31"``; time under power outside them does not count either.

        Returns
        -------
        Quarter
            What is left out is said with every finding.

        Raises
        ------
        MaintkitError
            Where nothing has that name; the message lists the nearest.
        """
        from maintkit.quarter.only import narrowed

        return narrowed(self, **filters)

    def spells(self, part_type: str | None = None, *, kind: str | None = None):
        """Time at risk of parts of known age, with columns named as lifelines names its arguments: see ``for_lifelines``."""
        from maintkit.quarter.for_lifelines import spells

        return spells(self, part_type, kind=kind)

    @cached_property
    def by_slot(self) -> bool:
        """Whether no stay of a module is on record, so that what happened in a slot is all that is known of the module in it."""
        return not len(self.table("fitments"))

    @property
    def is_kept(self) -> bool:
        """Whether the log was kept in the quarter, by what was written down in it or after it; without an entry in it, it then had no
        fault."""
        return self.last_entry is None or self.last_entry >= self.first_day

    @property
    def days(self) -> int:
        """Days of the quarter that are reviewed: all of them when it is over."""
        return (self.last_day - self.first_day).days + 1

    @property
    def days_so_far(self) -> int | None:
        """Days of a quarter that is not over, beside which the same days of the others are counted; None of one that is."""
        return self.days if self.days < self.whole_days else None

    @cached_property
    def previous(self) -> str:
        """Label of the quarter before."""
        return quarter_of(self.first_day - timedelta(days=1))

    @property
    def drawn_from(self) -> int | None:
        """Spells of a kind of part above which modules are drawn by chance, in a book so large; None in any other."""
        return MOST if self.evidence.outgrown else None

    @property
    def next_label(self) -> str:
        """Label of the quarter the forecast is for."""
        return quarter_of(quarter_days(self.label)[1] + timedelta(days=1))

    @cached_property
    def days_ahead(self) -> int:
        """Days in the coming quarter, or as many of them as are looked at."""
        first, last = quarter_days(self.next_label)
        return (last - first).days + 1

    def table(self, name: str, *columns: str):
        """A record table as a DataFrame, as it stood in the record book when first asked for; a copy, to be changed at will.

        Where some columns are named those alone, its rows in the same order: of a million rows all take a GB.
        """
        key = (name, *columns)
        if key not in self._tables:
            self._tables[key] = frame_of(self.records.connection.execute, f'"{name}"', columns, in_order=True)
        return self._tables[key].copy()


def open_quarter(records: Records | str, quarter: str | None = None) -> Quarter:
    """Open a record book at a quarter, ready for questions.

    Parameters
    ----------
    records : Records or path
        An open record book, or the folder, workbook or DuckDB file that holds it.
    quarter : str, optional
        Such as ``2026Q3``; when left out the last one the records reach the end of, or the first where they reach none. One
        they do not reach the end of is reviewed to the day of the last entry.

    Raises
    ------
    RecordsError
        If the label cannot be read, or the quarter lies before the records.

    Notes
    -----
    Records reach the day of their last entry, or the ``as_of`` of mapping.toml where both lie in one quarter, for then nothing happened in between.
    """
    records = records if isinstance(records, Records) else open_records(records)
    last, begun = _last_day(records), records.first_day()
    kept_to = _kept_to(records, last)
    grace = grace_days(records, kept_to)
    label = _label(quarter) if quarter else last_complete_quarter(kept_to, grace)
    if begun and quarter is None and quarter_days(label)[1] < begun:
        label = quarter_of(begun)
    end = quarter_days(label)[1]
    if begun and end < begun:
        raise RecordsError(
            f"Quarter {label} ends on {end}, but the records of the first desk begin on {begun}. "
            f"Choose {quarter_of(begun)} or later."
        )
    before = _last_before_a_silence(records, label)
    is_over = before is None and kept_to + timedelta(days=grace) >= end
    return Quarter(records, label, None if is_over else before or last)


def _last_day(records: Records) -> date:
    """The last day of which an entry tells: that of the last one, or the end of its month, where every day on record is the first of one, so
    that months alone were written down; of its quarter where these are all first months of quarters. No later than the load or the ``as_of``.
    """
    last = records.last_day()
    is_month, is_quarter, many, loaded_on = records.connection.execute(
        "with entries as (select raised_on::date as day from tickets union select done_on from repairs) "
        "select bool_and(day(day) = 1), bool_and(month(day) % 3 = 1), count(*), "
        "(select max(loaded_at)::date from loads) from entries where day is not null"
    ).fetchall()[0]
    if not is_month or many < FEWEST_MONTHS:
        return last
    months = 3 if is_quarter and many > FEWEST_MONTHS else 1
    after = date(last.year + (last.month + months > 12), (last.month + months - 1) % 12 + 1, 1)
    as_of = records.report.as_of if records.report else None
    return max(last, min(filter(None, (after - timedelta(days=1), as_of, loaded_on))))


def _kept_to(records: Records, last: date) -> date:
    """The day to which the records were kept, the last entry's or later in its quarter."""
    as_of = records.report.as_of if records.report else None
    return as_of if as_of and as_of > last and quarter_of(as_of) == quarter_of(last) else last


def grace_days(records: Records, kept_to: date) -> int:
    """How many days may lie without an entry between the day to which records were kept and the end of a quarter that counts as whole."""
    end = quarter_days(quarter_of(kept_to))[1]
    if kept_to + timedelta(days=GRACE_DAYS) >= end or end >= date.today():
        return GRACE_DAYS
    days, begun, last = records.connection.execute(
        "select count(distinct day), min(day), max(day) from (select raised_on::date as day from tickets union all select done_on from repairs)"
    ).fetchall()[0]
    return max(GRACE_DAYS, min(MOST_GRACE, int(SELDOM * ((last - begun).days + 1) / days)))


def _last_before_a_silence(records: Records, label: str) -> date | None:
    """The last day with an entry before a quarter without any, where the few entries after it do not show that the log was kept in it: at
    the pace until then, days with entries should have come in the time between, by chance none of them once in a thousand.
    """
    first, end = quarter_days(label)
    begun, last, again, seen, later = records.connection.execute(
        "with entries as (select raised_on::date as day from tickets union select done_on from repairs) "
        "select min(day), max(day) filter (day <= $end), min(day) filter (day > $end), count(*) filter (day <= $end), "
        "count(*) filter (day > $end) from entries where day is not null",
        {"end": end},
    ).fetchall()[0]
    if last is None or last >= first or not 0 < later < FEWEST_FOR_A_VERDICT:
        return None
    expected = seen * (again - last).days / ((last - begun).days + 1)
    return last if math.exp(-expected) < 0.001 else None


def quarter_days(label: str) -> tuple[date, date]:
    """First and last day of a quarter.

    Examples
    --------
    >>> quarter_days("2026Q3")
    (datetime.date(2026, 7, 1), datetime.date(2026, 9, 30))
    """
    if not re.fullmatch(r"(19|20)\d\dQ[1-4]", str(label)):
        raise RecordsError(
            f"Quarter: found {str(label)!r}. A quarter is a year, Q and 1 to 4. Write it like 2026Q3."
        )
    year, number = int(label[:4]), int(label[5])
    after = date(year + number // 4, number % 4 * 3 + 1, 1)
    return date(year, number * 3 - 2, 1), after - timedelta(days=1)


def _label(said):
    """A quarter written in another way, such as Q3 2026 or 2026-q3, as 2026Q3; anything else as it is."""
    found = re.fullmatch(
        r"((?:19|20)\d\d)[ /_.-]*Q([1-4])|Q([1-4])[ /_.-]*((?:19|20)\d\d)", str(said).strip().upper()
    )
    return f"{found[1] or found[4]}Q{found[2] or found[3]}" if found else said


def quarter_of(day: date) -> str:
    """Label of the quarter a day lies in.

    Examples
    --------
    >>> quarter_of(date(2026, 9, 30))
    '2026Q3'
    """
    return f"{day.year}Q{(day.month + 2) // 3}"


def last_complete_quarter(last_day: date, grace: int = GRACE_DAYS) -> str:
    """Label of the last quarter whose end the records reach, give or take ``grace`` days without an entry."""
    reached = last_day + timedelta(days=grace)
    return quarter_of(quarter_days(quarter_of(reached + timedelta(days=1)))[0] - timedelta(days=1))

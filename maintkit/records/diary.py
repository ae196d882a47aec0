"""A plain text in which each entry begins with its day, as a diary is kept: each entry a row of its day and what it says."""

import re
from collections import defaultdict

from .days import moment_of, with_year
from .folding import SAME_WORD
from .known_words.meanings import begins_a_wanted_list
from .known_words.part_kinds import part_in_text, work_in_text
from .known_words.words import says
from .row_above import A_LEAP_YEAR, AROUND_TITLES, in_period, period_of

DAY = "day"  # what stands for a delimiter in mapping.toml: the day at the beginning parts a line in two
HEADINGS = ("Date", "Entry")
BULLET = re.compile(r"^\s*[-–—*•+]\s+")
_WORDS = re.compile(r"\S+")
_GOES_ON = re.compile(r"(?:(?:19|20)\d\d|'\d\d)[.,]?|\d{1,2}[:.h]\d\d(?::\d\d)?h?|uhr|am|pm|h", re.IGNORECASE)
_BARE_DAY = re.compile(
    r"((?:[^\W\d]{2,9}\.?,?\s+)?\d{1,2}(?:st|nd|rd|th)|(?:[^\W\d]{2,6}day|[^\W\d]{3,10}tag|mon|tue|wed|thu|fri|sat|sun|mo|di|mi|do|fr|sa|so)\.?,?\s+\d{1,2})"
    r"[\s:.,;–—-]+(\S.*)",
    re.IGNORECASE,
)
_ENDS = " \t:,;-–—|[]"
ORDERS = tuple(f"{order[0]}{mark}{order[1]}" for mark in "./-" for order in (("%d", "%m"), ("%m", "%d")))
_BEFORE = "*=_>#"  # as marks before a day
HEADED = re.compile(r"#{1,6}(?= )")  # before a title of a page with marks
_ASIDE = re.compile(r"\([^()]{1,12}\)")  # behind a day, such as (m) for a matinee
_A_YEAR = re.compile(r"(?:19|20)\d\d")
# behind a day: late, night shift, B shift, Frühdienst
_PARTS_OF_A_DAY = r"day|night|late|early|morning|midday|afternoon|evening|tag|nacht|früh|spät|mittag"
_SHIFT = re.compile(
    rf"(?:(?:{_PARTS_OF_A_DAY})(?:[ -]?(?:shift|turn|schicht|dienst))?|[^\W_]{{1,6}}[ -](?:shift|schicht)|(?:shift|schicht) [^\W_]{{1,2}})"
    r"(?P<mark>$|\s*[:,;–—-]+\s+|\s+)",
    re.IGNORECASE,
)
TITLE = "title"  # in the place of a day
# a word, and behind it or another the number of a slot: Heron 12, Heron ch 12, ch 12
_NAME_AND_SLOT = re.compile(r"([^\W\d_]+)\W{1,2}(?:[^\W\d_]+\W{1,2}){0,2}?(\d{1,3})(?![^\W_]|[.,:/%-]\d)")
_FIRST_WORD = re.compile(r"[^\W\d_]+")
FEWEST_ALIKE, NAMED_SO = 2, 0.5  # entries that begin with a name, and share of all that begin with one
WRAPPED = 0.7  # of the longest line, from which the next one may go on from a line that does not end
LONG_LINE = 40  # letters, from which the next line may go on from it
# share of the lines in capitals, at most, where one behind a blank line begins something else
SELDOM = 0.1
FEWEST_A_YEAR = 3  # entries, on average, whose days are followed by the same two digits where these are years
MOST_WORDS = 5  # of a day: Monday the 3 March 2025


def day_and_rest(line: str, year: int | None = A_LEAP_YEAR) -> tuple[str, str] | None:
    """The day at the beginning of a line, with its time if it has one, and what follows; None where it begins with none.

    Without a ``year`` a day that names none is no day.

    Examples
    --------
    >>> day_and_rest("** 6-Dec-10: ch 3 dead"), day_and_rest("Mon 6 May 2024 (e)")
    (('6-Dec-10', 'ch 3 dead'), ('Mon 6 May 2024', '(e)'))
    >>> [day_and_rest(one) for one in ("15.1.24: ch 14 crackles", "Mon 3 March 2025 9:30 - hum", "3/4 14 dead", "ch 3 dead")]
    [('15.1.24', 'ch 14 crackles'), ('Mon 3 March 2025 9:30', 'hum'), ('3/4', '14 dead'), None]
    """
    ends = [word.end() for _, word in zip(range(MOST_WORDS + 2), _WORDS.finditer(line))]
    first = next((at for at, end in enumerate(ends[:MOST_WORDS]) if is_day(line[:end], year)), None)
    if first is None:
        return None
    end = ends[first]
    for later in ends[first + 1 :]:
        if not (_GOES_ON.fullmatch(line[end:later].strip(_ENDS)) and is_day(line[:later], year)):
            break
        end = later
    behind = _ENDS + (_BEFORE if line.startswith((*_BEFORE,)) else "")  # as around == 3 May 2025 ==
    return line[:end].strip(_ENDS + _BEFORE), line[end:].strip(_ENDS).rstrip(behind)


def day_in(month: str, line: str) -> tuple[str, str] | None:
    """The day of a month that stands over it, by its weekday or as 6th, and what follows; None where a line begins with none.

    Examples
    --------
    >>> day_in("March 2024", "Friday 6th: all quiet"), day_in("March 2024", "ch 6 dead")
    (('6 March 2024', 'all quiet'), None)
    """
    found = _BARE_DAY.match(line)
    return (in_period(found[1].strip(_ENDS), month), found[2].strip(_ENDS)) if found else None


def month_over(line: str) -> tuple[str, str]:
    """The month and its year that a line names as a title over others, and the year; both '' where it names none, or a day.

    Examples
    --------
    >>> month_over("== March 2024 =="), month_over("7 March 2024"), month_over("March 7, 2024:")
    (('March 2024', '2024'), ('', ''), ('', ''))
    """
    bare = line.strip(AROUND_TITLES)
    return ("", "") if moment_of(bare) else period_of([bare])


def is_day(text: str, year: int | None) -> bool:
    """Whether a text is a day in whichever order, in full where there is no ``year`` for one that names none."""
    bare = text.strip(_ENDS + _BEFORE)
    return any(map(str.isdigit, bare)) and any(moment_of(bare, (order,), year) for order in ORDERS)


def diary_entries(lines):
    """The ``(line number, [day, text])`` of each entry of a diary.

    A line without a day goes on from the one above; after a day by itself every line is an entry that is not wrapped from the one
    above, and so is one that begins with a dash or a dot of a list, or as those behind the days do, by the name of a desk or a slot. What stands in brackets behind a day by itself is put behind its
    first entry. Below a day in a title of a page with marks all is one entry, up to the next title of its level or above. What
    stands before the first day has none, nor what follows a blank line and one in capitals, where others are not.
    """
    lines = [line.rstrip() for line in lines]
    is_seldom = sum(map(str.isupper, lines)) <= SELDOM * len(lines)
    days = without_shifts(_in_titles_alone(lines, [*_days_at(lines)]))
    names, longest = _names_at_the_beginning(days), max(map(len, lines), default=0)
    entries, day, aside, indent, last, level = [], "", "", None, "", 0
    each, is_whole, is_next, is_wanted = True, False, False, False
    for number, (line, begins) in enumerate(zip(lines, days, strict=True), start=1):
        text, above, last = BULLET.sub("", line, count=1).strip(), last, line
        if begins is TITLE:
            each = False
            continue
        if is_seldom and line.isupper() and not above and not begins:
            begins = ("", text)
        headed = HEADED.match(line)
        if headed and not begins and len(headed[0]) <= level:
            begins = ("", text)
        elif headed and begins:
            level = len(headed[0])
        if begins:
            day, text = begins
            aside = text if _ASIDE.fullmatch(text) else ""
            text = "" if aside else text
            each, indent, is_whole, is_next = not text, None, bool(headed), True
        if not any(map(str.isalnum, text)):
            continue
        is_listed = bool(BULLET.match(line))
        if begins_a_wanted_list(line):
            is_wanted, text = True, f"{text.rstrip(_ENDS)}:"
        else:
            is_wanted = is_wanted and is_listed and not begins
        is_named = not each and _begins_with(names, text) and not _is_cut(above, longest)
        is_own = (each or is_named) and not _goes_on(line, above, _indent(line) if is_named else indent)
        is_apart = is_own or (is_listed and not is_wanted)
        is_next = is_next or (not is_whole and is_apart)
        if entries and not is_next:
            entries[-1][2] += f" {text}"
        else:
            entries.append([number, day, text, aside])
            aside, indent = "", _indent(line) if indent is None else indent
        is_next = False
    return [(number, [day, f"{text} {aside}".strip()]) for number, day, text, aside in entries]


def _in_titles_alone(lines, days):
    """The days at the beginning of lines, those in titles alone where most stand in such."""
    in_titles = [
        begins if begins is TITLE or HEADED.match(line) else None for line, begins in zip(lines, days)
    ]
    told, titled = (sum(one not in (None, TITLE) for one in some) for some in (days, in_titles))
    return in_titles if titled > told / 2 else days


def without_shifts(days):
    """The days at the beginning of lines, without the shift behind them where a mark or nothing follows it, or where most name one of several."""
    told = [one for one in days if one not in (None, TITLE)]
    shifts = [found[0].casefold().strip(_ENDS) for _, rest in told if (found := _SHIFT.match(rest))]
    are_usual = len({*shifts}) > 1 and len(shifts) > len(told) / 2

    def without(day, rest):
        found = _SHIFT.match(rest)
        is_one = found and (are_usual or not found["mark"].isspace())
        return day, rest[found.end() :] if is_one else rest

    return [one if one in (None, TITLE) else without(*one) for one in days]


def _names_at_the_beginning(days):
    """The words, in small letters, with which most of what stands behind days begins, and the number of a slot behind them: of desks or for slots."""
    rests, numbers = [one[1] for one in days if one not in (None, TITLE) and one[1]], defaultdict(list)
    for found in filter(None, map(_NAME_AND_SLOT.match, rests)):
        numbers[found[1].casefold()].append(found[2])
    names = {
        name
        for name, some in numbers.items()
        if len({*some}) >= FEWEST_ALIKE
        and not (work_in_text(name) or part_in_text(name) or says("symptom", name))
    }
    return names if sum(len(numbers[name]) for name in names) > NAMED_SO * len(rests) else set()


def _begins_with(names, text):
    """Whether a line begins with one of some names, with the number of a slot behind it where it is a word for one."""
    first = _FIRST_WORD.match(text)
    is_name = first and first[0].casefold() in names
    return is_name and (first[0].casefold() not in SAME_WORD or bool(_NAME_AND_SLOT.match(text)))


def _is_cut(line, longest):
    """Whether a line is long beside others and ends in no sign, so that the next one may go on from it."""
    return len(line) >= WRAPPED * longest and not line.endswith((".", "!", "?", ")"))


def _goes_on(line, above, indent):
    """Whether a line goes on from the one above: it is further in than the first below the day, or that above is long or ends in a comma."""
    if indent is None or _indent(line) > indent:
        return indent is not None
    is_wrapped = len(above) >= LONG_LINE and line.lstrip()[:1].islower()
    return above.endswith(",") or (is_wrapped and not above.endswith((".", "!", "?")))


def _indent(line):
    return len(line) - len(line.lstrip())


def _days_at(lines):
    """Of each line the day with which it begins and what follows, None where it begins with none, ``TITLE`` where it stands over others.

    Where most days name their year, one that names none is no day, for ``1/2`` may be a half, but it is where it has its month in
    words and is all that stands below a blank line, and, alone or with such a month, below a year in a line of its own. A line of a year, or of a month and its year, is such a title: days below it that
    name neither are of it. Elsewhere the number in ``1 Oct 24`` is a year where others tell that it is one; else it begins the text.
    """
    told = [day_and_rest(line) for line in lines]
    in_full = [one and day_and_rest(line, None) for one, line in zip(told, lines, strict=True)]
    are_full = sum(map(bool, in_full)) > sum(map(bool, told)) / 2
    if not are_full and _name_years(lines, told, in_full):
        told = [full or one for one, full in zip(told, in_full, strict=True)]
    month, year = "", ""
    for above, line, begins, full in zip(["", *lines], lines, told, in_full):
        bare = line.strip(AROUND_TITLES)
        title = ("", bare) if _A_YEAR.fullmatch(bare) else month_over(bare)
        if title[1]:
            month, year = title
            yield TITLE
            continue
        is_heading = begins and not (above.strip() or begins[1]) and any(map(str.isalpha, begins[0]))
        if are_full and not (is_heading or (year and begins and _is_plainly_a_day(*begins))):
            begins = full
        if year:
            begins = begins and (with_year(begins[0], year), begins[1])
        yield begins or (day_in(month, line) if month else None)


def _name_years(lines, told, in_full):
    """Whether the numbers behind days such as ``1 Oct 24`` are years: they are near those of other days and of titles, or where there are
    none, a few that go on."""
    sure = {int(bare) for line in lines if _A_YEAR.fullmatch(bare := line.strip(AROUND_TITLES))}
    behind = []
    for one, full in zip(told, in_full, strict=True):
        year = full and next(filter(None, (moment_of(full[0], (order,)) for order in ORDERS))).year
        if full and full == one:
            sure.add(year)
        elif full:
            behind.append(year)
    if sure:
        return all(min(sure) - 1 <= year <= max(sure) + 1 for year in behind)
    return behind == sorted(behind) and len({*behind}) <= len(behind) / FEWEST_A_YEAR


def _is_plainly_a_day(day, rest):
    return not rest or bool(_ASIDE.fullmatch(rest)) or any(map(str.isalpha, day))

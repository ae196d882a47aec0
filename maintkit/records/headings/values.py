"""What the cells under a heading are: dates, numbers, durations, words of closed sets, parts, desks and slots."""

import re
from collections import Counter
from dataclasses import dataclass
from functools import cached_property, partial

from maintkit.records.durations import minutes_of
from maintkit.records.known_words.meanings import LETTERS, meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import fold, says, says_slot, vocabulary

from .day_formats import NUMBER, SERIAL_DAY, day_of, year_or_month
from .desk_codes import desks_in_codes
from .short_names import desks_before_spans

DAY_AS_NUMBER = re.compile(r"(?:[0-2]\d|3[01])\.(?:0[1-9]|1[0-2])")
FEWEST_NUMBERS = 5  # of such days
CLOCK = re.compile(r"\d{1,2}[:.h]\d{2}(:\d{2})?( ?[AaPp]\.?[Mm]\.?| Uhr)?")
YEARLY = re.compile(r"(\d{1,4})[/-](\d\d|20\d\d)")
YEAR_FIRST = re.compile(r"(\d\d|20\d\d)[/-](\d{1,4})")
NUMBERED = re.compile(r"(.*?)(\d{1,12})")
WHOLE = re.compile(r"\d+")
TWO_NUMBERS = re.compile(r"\d+(?: ?[-–] ?| +)\d+")  # numbers of orders, or strips
SPAN = re.compile(r"(\d{1,3}) ?[-–] ?(\d{1,3})")
LIKE_DESIGNATORS = re.compile(r"[A-Z]{1,4}\s?\d{1,4}[a-z]?([ ,;/+&-]+[A-Z]{0,4}\s?\d{1,4})*", re.IGNORECASE)
COMPONENT = re.compile(rf"({'|'.join(LETTERS)}|k|p|led|f)\s?\d{{1,3}}[a-z]?", re.IGNORECASE)
SERIAL = re.compile(r"[^\W\d]{1,4}[-/. ]\d{3,}[a-z]?|[^\W\d]{1,4}\d{3,}[a-z]?|\d{4,6}", re.IGNORECASE)
TWO_SERIALS = re.compile(  # K104 > K231, K104 by K231
    rf"({SERIAL.pattern})\s*([-=–]?>|→|»|/|\bby\b|\bdurch\b)\s*({SERIAL.pattern})", re.IGNORECASE
)
PART = re.compile(
    r"\d+([.,]\d+)?\s*(u|µ|n|p|m)?F?\b.*\d+\s*V|(?<![\w.,])\d+([.,]\d+)?\s*(k|M|R|Ω|ohm)\b.*(lin|log|pot)?|\b\d+[uµnp]\d*\b|"
    r"\b(elko|el cap|cap|pot|poti|fader|op.?amp|opv|relay|relais|switch|schalter|lamp|lampe|led|ic|transistor|fet)\b",
    re.IGNORECASE,
)
SLOT = r"(?:[^\W\d]{1,8}[ .-]{0,2})?\d{1,3}[a-z]?"
DESK_AND_SLOT = (  # Regie 1 / K 12, P1-07 and Heron 12, Heron ch 12, and the other way round
    re.compile(rf"(.*?\w.*?)\s*[/,;:|–]\s*({SLOT})", re.IGNORECASE),
    re.compile(rf"([^\W\d](?:[^\d/,;:|]*[^\W\d])?(?: ?\d)?)[ #.-]+({SLOT})", re.IGNORECASE),
    re.compile(rf"()({SLOT})\s*[/,;:|–]\s*([^\W\d].*)", re.IGNORECASE),
)
NOTHING = frozenset(("-", "--", "–", "—", "?", "/", "n/a", "N/A", "NA", "#N/A", "#REF!", "k.A.", "k. A."))
MOST_OF_THEM = 0.8  # cells of desk and slot; the others may be a module in the store
# words on average; different texts, at most, a cell, of those that come again and again
A_LONG_TEXT, FEW = 12, 0.1
COME_AGAIN = 0.5  # different cells, at most, a cell, of those that come again
SLOTS_A_DESK = 1.5  # on average at least, or the number is part of the desk's name
SOME_OF_THEM = 0.5  # of them with a plain slot; others that begin with such a desk have several, a side or a bus behind it
# Of things called by their kind and place: different kinds a row at most, names that are too many to be desks, places a kind on
# average at least, and places that have several kinds.
FEW_KINDS, MOST_NAMES, PLACES_A_KIND, SHARED = 0.1, 12, 3, 3
ENOUGH = 0.6  # share of the filled cells from which a column is what most of them are


def _share_of(is_one):
    """The share of the filled cells of ``Cells`` for which something holds, as a property that is reckoned once."""
    return cached_property(lambda cells: cells.share(is_one))


@dataclass(frozen=True)
class Cells:
    """The cells under one heading of a sheet, or of several that are alike, row by row."""

    column: tuple[str, ...]
    distinct: float = 0.0  # least share of different cells in one sheet
    coded: tuple[str, ...] = ()  # desks that stand as letters before their slots, as the sheet says

    @cached_property
    def texts(self) -> tuple[str, ...]:
        """The filled cells, without marks for nothing."""
        return tuple(text for text in self.column if text.strip("?") and text not in NOTHING)

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.column)

    def share(self, is_one) -> float:
        """The share of the filled cells for which something holds; 0 where none is filled."""
        return sum(many for text, many in self.unlike.items() if is_one(text)) / max(1, len(self.texts))

    @cached_property
    def unlike(self) -> Counter[str]:
        """The different filled cells, in the order in which they first stand, and how many there are of each."""
        return Counter(self.texts)

    @cached_property
    def folded(self) -> tuple[str, ...]:
        """The different filled cells in small letters, in the order in which they first stand."""
        return tuple(dict.fromkeys(text.casefold() for text in self.texts))

    @property
    def different(self) -> int:
        """How many different cells there are, case apart."""
        return len(self.folded)

    @cached_property
    def dates(self) -> float:
        """Share of dates; 0 where all are numbers of days, which five figures of another kind may be, of the year's entries, or from one to another.

        Numbers such as 31.01 are days where all are.
        """
        none = self.day_numbers == 1 or self.counts_years or self.spans
        of_numbers = len(self.texts) >= FEWEST_NUMBERS and self.share(DAY_AS_NUMBER.fullmatch) == 1
        return 0.0 if none else float(of_numbers) or self.share(day_of)

    # Shares of the filled cells: of what may be a spreadsheet's number of a day, of years alone or months with their year,
    # of times of day and of numbers.
    day_numbers = _share_of(SERIAL_DAY.fullmatch)
    years = _share_of(lambda text: year_or_month(text))
    clocks = _share_of(CLOCK.fullmatch)
    numbers = _share_of(NUMBER.fullmatch)
    whole = _share_of(WHOLE.fullmatch)
    # Of durations, bare numbers among them; of designators such as C12; of serials: letters and three figures or more, or four
    # figures or more; of two of these, such as K104 > K231; of parts such as 100u 25V.
    durations = _share_of(lambda text: minutes_of(text) is not None and not TWO_NUMBERS.fullmatch(text))
    designators = _share_of(LIKE_DESIGNATORS.fullmatch)
    serials = _share_of(SERIAL.fullmatch)
    two_serials = _share_of(TWO_SERIALS.fullmatch)
    parts = _share_of(lambda text: PART.search(text) and not SERIAL.fullmatch(text))
    # With a digit in them; with a word of what was wrong with a part; with one of kinds of modules, and no number.
    digits = _share_of(lambda text: any(map(str.isdigit, text)))
    findings = _share_of(partial(says, "finding"))
    module_types = _share_of(lambda text: says("module_type", text) and not any(map(str.isdigit, text)))

    @cached_property
    def complaints(self) -> float:
        """Share of cells with a word of complaints; 0 where a few long texts come again and again, as lists of groups do."""
        return 0.0 if self._are_lists else self.share(partial(says, "symptom"))

    @property
    def _are_lists(self):
        return self.mean_words >= A_LONG_TEXT and self.different <= FEW * len(self.texts)

    @cached_property
    def deeds(self) -> float:
        """Share of cells with a word of work; 0 where a few come again and say none that is known, as names such as Repair Shop North."""
        share = self.share(partial(says, "action"))
        come_again = share and self.different <= COME_AGAIN * len(self.texts)
        are_names = come_again and not any(map(work_in_text, self.unlike))
        return 0.0 if are_names or self._are_lists else share

    @cached_property
    def components(self) -> float:
        """Share of designators of components, of more than one kind; 0 where all begin alike, as slots do."""
        kinds = {match[1].upper() for match in map(COMPONENT.match, self.texts) if match}
        return self.share(COMPONENT.fullmatch) if len(kinds) > 1 else 0.0

    @cached_property
    def mean_words(self) -> float:
        """Words a cell, on average."""
        return sum(len(text.split()) for text in self.texts) / len(self.texts) if self.texts else 0.0

    @cached_property
    def slots(self) -> float:
        """Share of cells that name a slot by a word and a number, of those that are more than the word."""
        slot = vocabulary().in_cells["position"].match
        bare = self.share(lambda text: says_slot(text) and not slot(fold(text)))
        return self.share(lambda text: slot(fold(text))) / (1 - bare) if bare < 1 else 0.0

    @cached_property
    def small(self) -> float:
        """Share of small whole numbers, such as counts of parts."""
        return self.share(lambda text: WHOLE.fullmatch(text) and int(text) <= 50) if not self.running else 0.0

    @cached_property
    def counts_years(self) -> bool:
        """Whether they count up from year to year anew, such as 1/24, 2/24, 1/25 or 24/01, 24/02."""
        for pattern, number, of in ((YEARLY, 1, 2), (YEAR_FIRST, 2, 1)):
            found = [pattern.fullmatch(text) for text in self.texts]
            pairs = [(int(one[number]), one[of]) for one in found if one]
            steps = [b - a for (a, year), (b, other) in zip(pairs, pairs[1:]) if year == other]
            if len(found) == len(pairs) > 2 and len(steps) > len(pairs) / 2 and {*steps} == {1}:
                return True
        return False

    @cached_property
    def spans(self) -> bool:
        """Whether some are from one number to a higher one, such as the strips 1-8, and all others numbers."""
        found = [SPAN.fullmatch(text) for text in self.texts]
        rising = [one for one in found if one and int(one[1]) < int(one[2])]
        plain = sum(bool(WHOLE.fullmatch(text)) for text in self.texts)
        return bool(rising) and 0 < plain == len(found) - len(rising)

    @cached_property
    def running(self) -> bool:
        """Whether they are whole numbers, with the same letters before all of them, each above the last: numbers of rows."""
        split = [NUMBERED.fullmatch(text) for text in self.texts]
        numbers = [int(one[2]) for one in split if one]
        rising = sum(a < b for a, b in zip(numbers, numbers[1:]))
        # A year may stand before the number.
        alike = len({one[1] for one in split if one}) <= 1 + len(split) // 20
        all_numbered = len(numbers) == len(split) > 3
        return alike and all_numbered and rising >= 0.9 * (len(numbers) - 1)

    @cached_property
    def counts_up(self) -> bool:
        """Whether they are numbers each above the last, without one exception."""
        numbers = [int(one[2]) for one in map(NUMBERED.fullmatch, self.texts) if one]
        return self.running and numbers == sorted(set(numbers))

    @cached_property
    def desks(self) -> tuple[str, ...]:
        """The desks that the cells name beside a slot, as ``desks_of`` finds them."""
        return self.coded or desks_of(self)

    @cached_property
    def desk_codes(self) -> tuple[str, ...]:
        """The desks of cells that are codes of desk and slot, as ``desks_in_codes`` finds them."""
        return desks_in_codes(self.texts)

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of things with which cells such as ``lamp main stairs`` begin, the longest first; none where they are not such.

        Each is a word, the places behind it are many, and some of them come behind several.
        """
        pairs = [text.casefold().split(maxsplit=1) for text in self.texts]
        pairs = [one for one in pairs if len(one) == 2 and one[0].isalpha() and re.search(r"[^\W\d]", one[1])]
        times, wholes = Counter(kind for kind, _ in pairs), {(kind, place) for kind, place in pairs}
        of_place = Counter(place for _, place in wholes)
        are_few = 1 < len(times) <= FEW_KINDS * len(pairs)
        are_many = len(wholes) > MOST_NAMES and len(wholes) >= PLACES_A_KIND * len(times)
        shared = sum(many > 1 for many in of_place.values())
        if not (are_few and are_many and shared >= SHARED and len(pairs) >= MOST_OF_THEM * len(self.texts)):
            return ()
        spelled = {text.split()[0].casefold(): text.split()[0] for text in reversed(self.texts)}
        return tuple(sorted((spelled[kind] for kind in times), key=lambda kind: (-len(kind), kind)))

    def understood(self, section: str) -> float:
        """Share of cells that mean something in a closed set."""
        if section not in self._shares:
            self._shares[section] = self.share(partial(meaning_of_cell, section)) if section else 0.0
        return self._shares[section]

    @cached_property
    def _shares(self) -> dict[str, float]:
        return {}


def desks_of(cells: Cells) -> tuple[str, ...]:
    """The desks that cells such as ``Heron 12`` begin or end with, the longest name first; else those of codes; none where they are not such.

    Examples
    --------
    >>> desks_of(Cells(("Heron 12", "heron ch 7", "Big Room 7", "Big Room 3", "Heron 12", "Big Room 9")))
    ('Big Room', 'Heron')
    >>> desks_of(Cells(("R1 K 12", "R2 K. 3", "R1 K 7 left", "R2 K 9", "R1 master", "R1 K 15")))
    ('R1', 'R2')
    >>> desks_of(Cells(("Heron 12", "Heron mix bus 7", "Tern 7", "Tern 3", "Heron 4", "Tern meter 1", "Heron 9")))
    ('Heron', 'Tern')
    >>> desks_of(Cells(("Ch 1", "Ch 2", "Grp 3", "Grp 4", "Ch 5"))), desks_of(Cells(("C12", "C14", "R3", "R9", "C1")))
    ((), ())
    >>> desks_of(Cells(("Heron 12", "heron 1-8", "Rail 7", "Heron 9-16", "Heron 3", "Rail 9", "Rail 4"))), desks_of(Cells(("Room 1-04", "Room 1-12", "Room 2-3", "Room 2-9", "Room 1-7")))
    (('Heron', 'Rail'), ('Room 1', 'Room 2'))
    >>> desks_of(Cells(("Pellam 32", "Vosk 24", "Tern 12", "Marlpit 2", "Vosk 24", *["Pellam 32"] * 12)))
    ()
    """
    if len(cells.texts) < 5 or max(cells.dates, cells.durations, cells.parts) > 0.2:
        return ()
    for shape in DESK_AND_SLOT if cells.serials <= 0.2 else ():
        matches = [shape.fullmatch(text) for text in cells.texts]
        named = [(match[1] or match[3], match[2]) for match in matches if match]
        many = Counter(_desk_name(text).casefold() for text, _ in named)
        found = [(_without_section(text, many), slot) for text, slot in named]
        spans = desks_before_spans(matches)
        found = [(spans.get(desk, desk), slot) for desk, slot in found]
        named = {desk.casefold(): desk for desk, _ in reversed(found)}
        pairs = {(desk.casefold(), slot.casefold()) for desk, slot in found}
        more = sum(not match and _begins_with(named, text) for text, match in zip(cells.texts, matches))
        if (
            2 <= len(named) <= max(2, 0.25 * len(found))
            and len({slot for _, slot in pairs}) >= 4
            and len(pairs) >= SLOTS_A_DESK * len(named)
            and len(found) >= SOME_OF_THEM * len(cells.texts)
            and all(re.search(r"[^\W\d]", name) for name in named)
            and len(found) + more >= MOST_OF_THEM * len(cells.texts)
        ):
            return tuple(sorted(named.values(), key=lambda name: (-len(name), name)))
    return cells.desk_codes


def _begins_with(names, text):
    """Whether a cell begins with one of some names, in small letters, and more stands behind it."""
    behind = (text[len(name) :] for name in names if text.casefold().startswith(name))
    return any(not rest[:1].isalnum() and re.search(r"\w", rest) for rest in behind)


def _desk_name(text):
    """A name without the word for a slot at its end; '' where it is no more than that."""
    *first, last = text.split()
    return " ".join(first) if says_slot(last) else text


def _without_section(text, many):
    """The desk of a name such as ``Heron aux master`` where more cells have ``Heron`` alone before a number; ``many`` are those of each name.

    Examples
    --------
    >>> many = {"heron": 9, "heron mix": 1, "heron two": 1, "heron monitor": 1}
    >>> [_without_section(text, many) for text in ("Heron mix bus", "Heron Two", "Heron Monitor", "Heron", "aux")]
    ['Heron', 'Heron Two', 'Heron Monitor', 'Heron', '']
    """
    desk, words = _desk_name(text), text.split()
    for at in range(1, len(words)):
        shorter = " ".join(words[:at])
        is_commoner = many.get(shorter.casefold(), 0) > many.get(desk.casefold(), 0)
        if is_commoner and any(map(_says_section, words[at:])):
            return shorter
    return desk


def _says_section(word):
    """Whether a word is of a section of a desk; one of monitors may be a desk of its own."""
    return says_slot(word) or (says("module_type", word) and not word.casefold().startswith("monitor"))

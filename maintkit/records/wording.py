"""Symptoms as the users wrote them, sorted into section and symptom words by a vocabulary that can be edited."""

import difflib
import re
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from .errors import RecordsError
from .toml_text import beside, read_toml

FILE_NAME = "wording.toml"
KINDS = ("section", "symptom")
LETTERS = (
    "0-9_a-zß-ɏ"  # of a word in lower-case text: Latin letters with their accents, as a class of characters
)


@dataclass(frozen=True)
class Vocabulary:
    """Words by class, for the section and for the symptom; the first class with a word in the text is taken."""

    section: dict[str, tuple[str, ...]]
    symptom: dict[str, tuple[str, ...]]


@dataclass(frozen=True)
class Sorted:
    """How many tickets have a symptom text, and in how many a section or a symptom word was found."""

    tickets: int
    with_section: int
    with_symptom: int
    unsorted: int

    def __str__(self):
        return (
            f"{self.tickets:,} tickets have a symptom text: {self.with_symptom:,} have a symptom word, "
            f"{self.with_section:,} name a section, {self.unsorted:,} have neither and stay unsorted."
        )


def load_vocabulary(path: Path | None = None) -> Vocabulary:
    """Read a vocabulary file; the one of the kit when no path is given.

    Raises
    ------
    RecordsError
        When the file cannot be read or understood; the message says where and how a line must look.
    """
    source = files("maintkit.records") / FILE_NAME if path is None else Path(path)
    name = source.name
    content = read_toml(source, 'A line reads: "crackle" = ["crackl*", "crakl*"].')
    for kind in content:
        if kind not in KINDS:
            raise RecordsError(
                f"{name}: found the part [{kind}]. There are two parts, [section] and [symptom]."
            )
    return Vocabulary(*(_classes(name, kind, content.get(kind, {})) for kind in KINDS))


def _classes(name, kind, classes):
    if not isinstance(classes, dict):
        raise RecordsError(
            f'{name}: {kind} must be a section, [{kind}], with lines such as "crackle" = ["crackl*"].'
        )
    for title, words in classes.items():
        good = (
            isinstance(words, list)
            and words
            and all(isinstance(word, str) and word.strip(" *") for word in words)
        )
        if not good:
            raise RecordsError(
                f"{name} [{kind}] {title!r}: found {words!r}. It must be a list of words in quotes, "
                'such as ["crackl*", "crakl*"].'
            )
    return {title: tuple(words) for title, words in classes.items()}


def vocabulary_beside(source) -> Vocabulary:
    """The kit's vocabulary with the site's own before it: wording.toml in the records folder or beside the workbook or store.

    A word of the site's leaves the class in which the kit has it; classes of the site's own stand first.

    Raises
    ------
    RecordsError
        When that file cannot be read or understood.
    """
    own = beside(source, FILE_NAME)
    kit = load_vocabulary()
    if not own.is_file():
        return kit
    theirs = load_vocabulary(own)
    return Vocabulary(*(_together(getattr(theirs, kind), getattr(kit, kind)) for kind in KINDS))


def _together(own: dict[str, tuple[str, ...]], kit: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    taken = {word for words in own.values() for word in words}
    titles = [*(title for title in own if title not in kit), *kit]
    left = {title: tuple(word for word in words if word not in taken) for title, words in kit.items()}
    found = {title: own.get(title, ()) + left.get(title, ()) for title in titles}
    return {title: words for title, words in found.items() if words}


@dataclass(frozen=True)
class Heard:
    """What the words of one complaint were taken for.

    Attributes
    ----------
    symptom, section : str or None
        The classes of the vocabulary.
    also : str or None
        A second symptom, said in another clause than the first.
    words : tuple of str
        The words that decided.
    respelled : tuple of (str, str)
        Words that decided as they were written, and what they were read as.
    unknown : tuple of str
        Words that no class has; ``nearest`` names, for each, the class whose word is likest.
    """

    symptom: str | None
    section: str | None
    also: str | None
    words: tuple[str, ...]
    respelled: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]

    @property
    def symptoms(self) -> tuple[str | None, ...]:
        """The symptoms said; None alone where no class has a word of it."""
        return (self.symptom, self.also) if self.also else (self.symptom,)


CLAUSES = re.compile(r"\b(?:and|und|plus|sowie|also|auch|then|dann)\b|[,;.&+/]")
MET = "\0"  # in place of the word that decided
LONGEST = 2000  # letters of a complaint that are read
COMMON_WORDS = """
a an and at but by channel ch does do done for from has have i in is it its module my no not of on
only or other s so t than that the then there this to up very was when where with without you middle
left right again still aber am auch auf aus bei das dem den der des die ein eine er es hat im ist ja
kanal kein keine man mit nach nicht nur ob oder ohne sehr sich sie und vom von vor war wenn wie
wieder zu zum zur noch immer mal get gets got itself just now since some bit little warm cold please
check seems sometimes every time after before while turning turn turns press pressed pressing beim
dann drehen dreht drehn drehe da etwas bisschen klingt jetzt seit wird kalt heute gestern today
yesterday like sound sounds links rechts high hard ten minutes minuten touched touch ganz viel mehr
kommt beide weird wierd strange funny wrong komisch seltsam
"""
COMMON = frozenset(COMMON_WORDS.split())


def hear(complaint: str, vocabulary: Vocabulary) -> Heard:
    """Sort one complaint by the vocabulary; a misspelt word is read as the likest word there is.

    Examples
    --------
    >>> found = hear("thinn sound, no bass", load_vocabulary())
    >>> found.symptom, found.respelled
    ('thin sound', (('thinn', 'thin'),))
    """
    said = complaint[:LONGEST].lower()
    known = _single_words(vocabulary)
    respelled, unknown = [], []
    for word in dict.fromkeys(re.findall(r"[^\W\d_]{3,}", said)):
        if word in COMMON or _is_known(word, known):
            continue
        near = difflib.get_close_matches(word, [one for one in known if len(one) > 3], n=1, cutoff=0.8)
        if near and len(word) > 3:
            respelled.append((word, near[0]))
            said = re.sub(rf"\b{re.escape(word)}\b", near[0], said)
        elif len(word) > 3:
            unknown.append(word)
    (symptom, because), (section, where) = (
        _first_class(said, getattr(vocabulary, kind)) for kind in ("symptom", "section")
    )
    others = {title: words for title, words in vocabulary.symptom.items() if title != symptom}
    rest = CLAUSES.split(said.replace(because, MET, 1) if because else said)
    also, besides = _first_class(";".join(one for one in rest if MET not in one), others)
    words = tuple(word for word in (because, besides, where) if word)
    used = " ".join(words)
    return Heard(
        symptom,
        section,
        also,
        words,
        tuple(one for one in respelled if one[1] in used),
        tuple(one for one in unknown if one not in used),
    )


def _single_words(vocabulary: Vocabulary) -> dict[str, bool]:
    """Every word of the vocabulary, stars taken off, and whether any ending goes with it."""
    lists = (words for kind in KINDS for words in getattr(vocabulary, kind).values())
    pieces = (
        piece for words in lists for word in words for piece in re.split(r"[\s-]+", word.lower().strip())
    )
    found: dict[str, bool] = {}
    for piece in pieces:
        found[piece.rstrip("*")] = found.get(piece.rstrip("*"), False) or piece.endswith("*")
    return found


def _is_known(word: str, known: dict[str, bool]) -> bool:
    return word in known or any(star and stem and word.startswith(stem) for stem, star in known.items())


def _first_class(said: str, classes: dict[str, tuple[str, ...]]) -> tuple[str | None, str]:
    for title, words in classes.items():
        near = [word for word in words if re.split(r"[\s*-]+", word.strip().lower())[0] in said]
        if near and (found := re.search(class_pattern(near), said)):
            return title, found[1]
    return None, ""


def class_pattern(words) -> str:
    """The regular expression that finds any of the words as whole words in lower-case text, for Python and DuckDB alike.

    Letters are spelt out: to DuckDB no letter with an accent is one of a word.

    Examples
    --------
    >>> print(class_pattern(["crackl*", "dead leg"]))
    (?:^|[^0-9_a-zß-ɏ])(dead[\\s-]+leg|crackl[0-9_a-zß-ɏ]*)(?:[^0-9_a-zß-ɏ]|$)
    """
    longest_first = sorted(words, key=len, reverse=True)
    return rf"(?:^|[^{LETTERS}])({'|'.join(_word_pattern(word) for word in longest_first)})(?:[^{LETTERS}]|$)"


def _word_pattern(word):
    stem = word.strip().lower()
    parts = [re.escape(part) for part in re.split(r"[\s-]+", stem.rstrip("*"))]
    return r"[\s-]+".join(parts) + (f"[{LETTERS}]*" if stem.endswith("*") else "")


def sort_symptoms(connection, vocabulary: Vocabulary | None = None) -> Sorted:
    """Sort every ticket's symptom text into a section and a symptom word, without touching the text.

    Makes the temporary table ``symptom_words (ticket, section, symptom, matched)``, one row a ticket; ``section`` and
    ``symptom`` are null where no word was found, ``matched`` lists the words that decided.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book.
    vocabulary : Vocabulary, optional
        The kit's own when left out.

    Returns
    -------
    Sorted
        Counts of tickets sorted and not.
    """
    vocabulary = vocabulary or load_vocabulary()
    parameters = {}
    for kind in KINDS:
        classes = getattr(vocabulary, kind)
        parameters |= {
            f"{kind}_{number}": class_pattern(words) for number, words in enumerate(classes.values())
        }
        parameters[f"{kind}_names"] = list(classes)
    connection.execute(
        f"""
        create or replace temp table symptom_words as
        with texts as (select distinct lower(symptom) as said from tickets where symptom is not null),
        found as (
            select said, {", ".join(f"{_found_sql(kind, vocabulary)} as {kind}_words" for kind in KINDS)}
            from texts
        ),
        words as (
            select said, {", ".join(f"{_first_sql(kind)} as {kind}" for kind in KINDS)},
                   list_filter(symptom_words, lambda word: word <> '')[1] as symptom_word,
                   list_filter(section_words, lambda word: word <> '')[1] as section_word
            from found
        )
        select ticket, section, words.symptom,
               nullif(concat_ws(', ', symptom_word, section_word), '') as matched
        from tickets
        left join words on words.said = lower(tickets.symptom)
        order by ticket
        """,
        parameters,
    )
    counts = connection.execute("""
        select count(tickets.symptom), count(section), count(symptom_words.symptom),
               count(*) filter (where tickets.symptom is not null and section is null and symptom_words.symptom is null)
        from symptom_words
        join tickets using (ticket)
        """).fetchall()[0]
    return Sorted(*counts)


def _found_sql(kind, vocabulary):
    """The word of each class that stands in the text, '' where none does."""
    # Each pattern is named once: DuckDB compiles it wherever it stands, which for a few tickets is most of the work.
    count = len(getattr(vocabulary, kind))
    found = (f"regexp_extract(said, ${kind}_{number}, 1)" for number in range(count))
    return f"[{', '.join(found)}]::varchar[]"


def _first_sql(kind):
    """The name of the first class that has a word in the text."""
    return f"(${kind}_names::varchar[])[list_position(list_transform({kind}_words, lambda word: word <> ''), true)]"

"""Where a module came from and where it went back to, by the headings of a list of those that were out."""

from maintkit.records.known_words.words import heading_of, is_wholly, words_in

CAME_FROM = {*words_in("came from von kam van")}
WENT_BACK = {*words_in("back to into returned zurück nach terug")}
TO = {*words_in("to into nach naar")}  # which a day on which it was back does not say


def says_where_from(heading) -> bool:
    """Whether a heading says the place that a module came out of."""
    return bool(CAME_FROM & {*heading_of(heading).every}) or is_wholly("out_of", heading)


def says_where_to(heading) -> bool:
    """Whether a heading says the place that a module went to."""
    return bool(TO & {*heading_of(heading).every})


def went_back(headings) -> tuple[int, int] | None:
    """The places of the one heading that says where a module went back to, and of the one that says where it came from; None without both."""
    words = [{*heading_of(heading).every} for heading in headings]
    to, first = ([at for at, some in enumerate(words) if some & said] for said in (WENT_BACK, CAME_FROM))
    to = to if len(to) < 2 else [at for at in to if words[at] & TO]
    return (to[0], first[0]) if len(to) == len(first) == 1 and to != first else None

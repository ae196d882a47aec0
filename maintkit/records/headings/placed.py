"""Where a draft places the headings of each sheet, and which have no place."""

from collections import defaultdict

from .places import DESK_AND_SLOT


def placed_and_not(pages, sections):
    """Of each sheet by name: where its headings are placed, and those that have no place."""
    placed, unplaced = defaultdict(dict), defaultdict(dict)
    for page in pages:
        places, own = _places(page, sections), placed[page.name]
        own |= {heading: (*own.get(heading, ()), *names) for heading, names in places.items()}
        unplaced[page.name] |= dict.fromkeys(heading for heading in page.cells if heading not in places)
    return dict(placed), {name: tuple(headings) for name, headings in unplaced.items()}


def _places(page, sections):
    """Where the headings of a sheet are placed."""
    places = defaultdict(tuple)
    for placing in (section.placing for section in sections if page in section.pages):
        for heading, (name, _) in placing.columns.items():
            places[heading] += (f"{placing.table}.{name}",)
        for heading in placing.split:
            places[heading] += tuple(f"{placing.table}.{name}" for name in DESK_AND_SLOT)
    return {heading: places[heading] for heading in page.cells if heading in places}

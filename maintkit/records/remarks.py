"""Cells that hold a thread of remarks, each begun with its day: ``[08.10.2023 01:30 R.T.] C14 replaced``, as request lists keep them."""

from .diary import day_and_rest

DAY_OF = "(day)"  # what mapping.toml calls the day of a remark
OPENS, CLOSES = "[(", "])"
MOST_OF_A_NAME = 40  # letters between a day and the bracket that closes behind it


def remarks_in(text: str) -> list[tuple[str, str]]:
    """The day and the text of each remark of a cell; the day is blank of what stands before the first.

    A remark goes on in the lines below that begin with no day. Who wrote it is left out where it stands in brackets with the day.

    Examples
    --------
    >>> remarks_in("[08.10.2023 01:30 R.T.] listened\\n20.10.23 Wim - C14 replaced,\\nC15 too")
    [('08.10.2023 01:30', 'listened'), ('20.10.23', 'Wim - C14 replaced C15 too')]
    >>> remarks_in("switch cleaned"), remarks_in(" ")
    ([('', 'switch cleaned')], [])
    """
    found = []
    for line in filter(None, map(str.strip, text.splitlines())):
        begins = day_and_rest(line.lstrip(OPENS), None)
        if begins:
            found.append(
                (begins[0].strip(OPENS + CLOSES), _said(begins[1]) if line[0] in OPENS else begins[1])
            )
        elif found:
            found[-1] = (found[-1][0], f"{found[-1][1]} {line}")
        else:
            found.append(("", line))
    return found


def _said(rest):
    """What stands behind the bracket that closes after a day."""
    ends = [at for mark in CLOSES if 0 <= (at := rest.find(mark)) <= MOST_OF_A_NAME]
    return rest[min(ends) + 1 :].strip() if ends else rest


def with_remarks(records, place: int, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` once for every remark of its cell at ``place``
    that tells of work: with that in the cell, and its day behind the last cell. One without such has a blank there."""
    from .headings.part_kinds import work_in_text

    for number, fields, refusal in records:
        if refusal or number <= first_row or not any(map(str.strip, fields)):
            yield number, fields, refusal
            continue
        work = [(day, said) for day, said in remarks_in(fields[place]) if work_in_text(said)]
        for day, said in work or [("", "")]:
            yield number, [*fields[:place], said, *fields[place + 1 :], day], ""

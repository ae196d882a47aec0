"""What the command ``maintkit headings`` does: the draft written or shown, and in a few lines what was placed."""

from dataclasses import dataclass
from pathlib import Path

from maintkit.records.errors import MappingError
from maintkit.records.mapping import FILE_NAME

from .draft import Draft, draft_mapping
from .guess import IN_A_GRID


@dataclass(frozen=True)
class DraftSaid:
    """A draft and where it was written; ``str()`` is what a technician reads."""

    draft: Draft
    out: Path | None

    def __str__(self):
        if self.out is None:
            return self.draft.text.rstrip("\n")
        placed = sum(map(len, self.draft.placed.values()))
        of = placed + sum(map(len, self.draft.unplaced.values()))
        lines = [f"{self.draft.source.resolve().name}: {placed} of {of} headings have a place."]
        for page, places in self.draft.placed.items():
            width = max(map(len, places), default=0)
            lines.append(f"  {page}")
            lines += [f"    {one.ljust(width)}  is  {' and '.join(where)}" for one, where in places.items()]
            if rest := self.draft.unplaced[page]:
                lines.append(f"    without a place, kept beside the row: {', '.join(rest)}")
        for page, tables in self.draft.either.items():
            asks = f"{self.out.name} asks which it is"
            lines.append(f"  {page} may be {tables}: nothing of it is placed, {asks}.")
        if self.draft.unread and self.draft.placed:
            lines.append(f"Not read, for no table was recognised there: {', '.join(self.draft.unread)}.")
        lines += [f"Not read yet: {page}: {wants}." for page, wants in self.draft.waiting.items()]
        if self.draft.is_of_one_desk:
            lines.append(
                f'No column names the desk: every row is taken to be of one, "the desk". Write its name in {self.out.name}.'
            )
        if desks := self.draft.called_by_sheets:
            names = " and ".join(f'"{one}"' for one in desks)
            lines.append(
                f"No column names the desk of some rows, so they are of {names}, as their sheets are called. Where that is no desk, write its name in {self.out.name}."
            )
        if many := self.draft.left_out:
            texts = "1 text is" if many == 1 else f"{many} texts are"
            lines.append(
                f"{texts} taken for planned work or no report, and rows with it are no tickets: look through leave_out in {self.out.name}."
            )
        if grids := " and ".join(self.draft.twice):
            lines.append(
                f"{grids} tells by the month, another sheet by the day: where both tell the same faults, take {grids} out of {self.out.name}, or each counts twice."
            )
        if self.draft.asks:
            things = "1 thing" if self.draft.asks == 1 else f"{self.draft.asks} things"
            lines.append(f"{self.out.name} asks you {things}, in lines that begin with # ?.")
        return "\n".join([*lines, f"Written: {self.out}", *self._next()])

    def _next(self):
        source = self.draft.source
        if not self.draft.placed and not self.draft.either:
            if self.draft.grids:
                yield f"No sheet was recognised. {IN_A_GRID}"
            else:
                yield "No sheet was recognised. At least a date and what was reported are needed, under headings of their own; in a plain text, a day at the beginning of each entry."
            if self.draft.guessed:
                yield f"{self.out.name} takes {' and '.join(self.draft.guessed)} for a list of faults, by its cells alone: look its lines through and take away the # ?."
            return
        beside = (source if source.is_dir() else source.parent) / FILE_NAME
        if self.out.resolve() != beside.resolve():
            yield f"It holds once it stands beside the records, as {beside}."
        yield f'Look it through, then: maintkit review --records "{source}"'


def write_draft(source, out: Path | None) -> DraftSaid:
    """Draft the mapping of a folder, workbook or CSV file, and write it to a file that must not be there yet.

    Raises
    ------
    RecordsError
        When there is nothing to read, or ``out`` is there already; nothing is written then.
    """
    draft = draft_mapping(source)
    if out is not None:
        try:
            with out.open("x", encoding="utf-8") as handle:
                handle.write(draft.text)
        except FileExistsError as error:
            raise MappingError(
                f"{out} is there already and was left as it is. Name another file with --out, or take that one away."
            ) from error
    return DraftSaid(draft, out)

"""What every column of a table means and how it is shown: read from ``columns.toml``, the one place that says it."""

from dataclasses import dataclass
from functools import cache

from maintkit.report.resources import data_of
from maintkit.report.text import words


@dataclass(frozen=True)
class Kind:
    """How a sort of column is shown: its side, its digits, its unit and what turns the stored value into the shown one."""

    name: str
    side: str
    digits: int = 3
    unit: str = ""
    word: str = ""
    times: float = 1.0


@dataclass(frozen=True)
class Column:
    """A column: its name, what it means, its kind; ``limit`` says that it is the low or high limit of another."""

    name: str
    means: str
    kind: Kind
    limit: bool = False

    @property
    def heading(self) -> str:
        """The name as a heading, the unit in brackets in place of the word for it."""
        stem, _, last = self.name.rpartition("_")
        if not self.kind.unit:
            return words(self.name)
        if self.kind.word and last == self.kind.word and stem:
            return f"{words(stem)} ({self.kind.unit})"
        named = self.kind.word and self.kind.word in self.name.split("_")
        return words(self.name) if named else f"{words(self.name)} ({self.kind.unit})"


def column(name: str, table: str = "") -> Column | None:
    """What is known of a column of a table of that name, or None where it is not one of the kit's."""
    if found := _own(str(name), table):
        return found
    stem, _, side = str(name).rpartition("_")
    if side not in ("low", "high"):
        return None
    if not stem:
        return Column(side, f"{side} limit of the column before", _kinds()["number"], limit=True)
    of = _own(stem, table)
    return of and Column(str(name), f"{side} limit: {of.means}", of.kind, limit=True)


def _own(name: str, table: str) -> Column | None:
    columns = _registry()
    return columns.get((table, name)) or columns.get(("", name))


def _content() -> dict:
    return data_of("columns.toml")


@cache
def _kinds() -> dict[str, Kind]:
    return {name: Kind(name, **spec) for name, spec in _content()["kinds"].items()}


@cache
def _registry() -> dict[tuple[str, str], Column]:
    kinds, found = _kinds(), {}
    for kind in kinds:
        for name, means in _content().get(kind, {}).items():
            if ("", name) in found:
                raise ValueError(
                    f"columns.toml: {name} stands under two kinds. Give it one, and [in.TABLE] for the other."
                )
            found["", name] = Column(name, means, kinds[kind])
    for table, columns in _content().get("in", {}).items():
        for name, own in columns.items():
            own = own if isinstance(own, dict) else {"means": own}
            usual = found.get(("", name))
            kind = kinds[own["kind"]] if "kind" in own else usual.kind if usual else kinds["text"]
            found[table, name] = Column(name, own["means"], kind)
    return found

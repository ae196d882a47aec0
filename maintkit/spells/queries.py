"""The queries by name: each is a file, and says in it which values it takes."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import duckdb


@cache
def query(name: str) -> tuple[str, tuple[str, ...]]:
    """The text of a query and the names of the values it takes."""
    text = (files("maintkit.spells") / f"{name}.sql").read_text(encoding="utf-8")
    return text, tuple(sorted(set(re.findall(r"\$(\w+)", _without_comments(text)))))


@cache
def words(name: str) -> frozenset[str]:
    """Every word in a query but those of its comments."""
    return frozenset(re.findall(r"\w+", _without_comments(query(name)[0])))


def _without_comments(text: str) -> str:
    return re.sub(r"--.*", "", text)


def run(connection: duckdb.DuckDBPyConnection, name: str, values: dict) -> duckdb.DuckDBPyConnection:
    """Run a query with those of the values it takes."""
    text, takes = query(name)
    # Parsed anew each time: a statement that is kept holds on to the tables it read, after they are dropped.
    return connection.execute(text, {key: values[key] for key in takes})

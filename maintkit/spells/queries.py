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
    return text, tuple(sorted(set(re.findall(r"\$(\w+)", re.sub(r"--.*", "", text)))))


@cache
def _parsed(name: str) -> duckdb.Statement:
    import duckdb

    return duckdb.extract_statements(query(name)[0])[0]


@cache
def words(name: str) -> frozenset[str]:
    """Every word in the text of a query."""
    return frozenset(re.findall(r"\w+", query(name)[0]))


def run(connection: duckdb.DuckDBPyConnection, name: str, values: dict) -> duckdb.DuckDBPyConnection:
    """Run a query with those of the values it takes."""
    _, takes = query(name)
    return connection.execute(_parsed(name), {key: values[key] for key in takes})

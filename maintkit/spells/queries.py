"""The queries by name: each is a file, and says in it which values it takes."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

import duckdb

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def query(name: str) -> str:
    """The text of a query."""
    return (files("maintkit.spells") / f"{name}.sql").read_text(encoding="utf-8")


@cache
def words(name: str) -> frozenset[str]:
    """Every word in a query but those of its comments."""
    return frozenset(re.findall(r"\w+", re.sub(r"--.*", "", query(name))))


@cache
def _statement(name: str) -> duckdb.Statement:
    return duckdb.extract_statements(query(name))[0]


def run(connection: duckdb.DuckDBPyConnection, name: str, values: Mapping) -> duckdb.DuckDBPyConnection:
    """Run a query with those of the values it takes.

    It is read once and planned anew each time: a plan that is kept holds on to the tables it reads, after they are dropped.
    """
    statement = _statement(name)
    return connection.execute(statement, {key: values[key] for key in statement.named_parameters})

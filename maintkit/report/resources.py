"""The files that lie beside the modules of the report: styles, scripts, lists of words."""

import tomllib
from functools import cache
from importlib.resources import files


@cache
def resource(name: str) -> str:
    """The text of a file that lies beside this one."""
    return (files("maintkit.report") / name).read_text(encoding="utf-8")


@cache
def data_of(name: str) -> dict:
    """What such a file says in TOML; not to be changed."""
    return tomllib.loads(resource(name))

"""The sentences that go along with results, by name: ``notes.toml`` holds their words."""

import tomllib
from functools import cache
from importlib.resources import files
from numbers import Real


class _Number(float):
    """A number as a sentence prints it; ``{x:s}`` is the s of its plural."""

    def __format__(self, spec: str) -> str:
        return "s" * (self != 1) if spec == "s" else super().__format__(spec or "g")


def sentence(name: str, **told) -> str:
    """The sentence of that name, such as ``weibull.few``, with these numbers and names in it.

    Examples
    --------
    >>> sentence("cox.few", failures=1, fewest=5)
    'Only 1 failure: a comparison takes at least 5.'
    """
    numbers = {
        one: _Number(value) if isinstance(value, (float, int, Real)) else value for one, value in told.items()
    }
    return _template(name).format(**numbers)


@cache
def _template(name: str) -> str:
    section, _, key = name.partition(".")
    return _sentences()[section][key]


@cache
def _sentences() -> dict[str, dict[str, str]]:
    return tomllib.loads(files("maintkit").joinpath("notes.toml").read_text(encoding="utf-8"))

"""Things reckoned once for each quarter, however many questions ask for them."""

from collections.abc import Callable
from functools import wraps
from inspect import signature
from weakref import WeakKeyDictionary


def once_a_quarter(function: Callable) -> Callable:
    """The function, whose answer for a quarter and the same other arguments (hashable) is kept as long as the quarter is."""
    kept: WeakKeyDictionary = WeakKeyDictionary()
    face = signature(function)

    @wraps(function)
    def asked(quarter, *arguments, **named):
        bound = face.bind(quarter, *arguments, **named)
        bound.apply_defaults()
        answers, key = kept.setdefault(quarter, {}), tuple(bound.arguments.items())[1:]
        if key not in answers:
            answers[key] = function(quarter, *arguments, **named)
        return answers[key]

    return asked

"""The small record books of the questions."""

from tests.questions.conftest import least, opened

__all__ = ["least", "opened"]

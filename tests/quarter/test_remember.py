"""What several questions ask of a quarter is reckoned once for it, and anew for another."""

from maintkit.quarter.remember import once_a_quarter


class Book:
    pass


def test_the_same_arguments_are_reckoned_once_however_they_are_given():
    made = []

    @once_a_quarter
    def answer(quarter, *, hours=80, spares=None):
        """Said once."""
        made.append((quarter, hours, spares))
        return len(made)

    one, other = Book(), Book()
    assert [answer(one), answer(one, hours=80), answer(one, spares=None)] == [1, 1, 1]
    assert [answer(one, hours=40), answer(other), answer(one)] == [2, 3, 1]
    assert answer.__doc__ == "Said once."

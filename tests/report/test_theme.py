import pytest

from maintkit.report.theme import COLOURS, INKS, empty_figure, nice_ticks, pushed_apart, style


def luminance(colour: str) -> float:
    """Relative luminance, from the definition in WCAG 2.1 (from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_words_in_every_ink_can_be_read_on_white():
    # 4.5 to 1 is the least contrast of WCAG 2.1, criterion 1.4.3 (from memory).
    assert min(1.05 / (luminance(ink) + 0.05) for ink in INKS) >= 4.5


def test_the_first_two_groups_differ_in_grey():
    # Contrast of black and the next colour on grey paper; below 3 to 1 lines are hard to tell apart (common practice).
    assert (luminance(COLOURS[1]) + 0.05) / (luminance(COLOURS[0]) + 0.05) > 3


def test_no_two_groups_look_alike():
    looks = [(style(number)["colour"], style(number)["dash"]) for number in range(49)]
    assert len(set(looks)) == 49


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (0, 10, [0, 2, 4, 6, 8, 10]),
        (0, 5, [0, 1, 2, 3, 4, 5]),
        (0, 12.3, [0, 5, 10]),
        (0, 0.23, [0, 0.05, 0.1, 0.15, 0.2]),
        (2.5, 5.1, [3, 4, 5]),
        (-1, 1, [-1, -0.5, 0, 0.5, 1]),
        (3, 3, [3]),
    ],
)
def test_ticks_are_round(low, high, ticks):
    assert nice_ticks(low, high) == ticks


def test_labels_pushed_apart_keep_their_order_and_do_not_overlap():
    assert pushed_apart([50.0, 10.0, 12.0, 11.0], [16.0] * 4) == [58.0, 10.0, 42.0, 26.0]


def test_a_long_title_is_wrapped_and_the_figure_grows_by_a_line():
    short, long = (empty_figure(title, plot_px=300).figure() for title in ("Short.", "word " * 24))
    assert long.layout.title.text.count("<br>") == 1
    assert long.layout.height - short.layout.height == long.layout.margin.t - short.layout.margin.t == 21


def test_a_figure_takes_nothing_from_the_global_template():
    import plotly.io

    before = plotly.io.templates.default
    first = empty_figure("t", plot_px=300).figure().to_json()
    try:
        plotly.io.templates.default = "plotly_dark"
        assert empty_figure("t", plot_px=300).figure().to_json() == first
    finally:
        plotly.io.templates.default = before

"""A figure shown in a notebook: its own JSON, its title for those who see no figure, and no button that could send it away."""

import pandas as pd

from maintkit.report.dots import interval_figure

ROWS = pd.DataFrame({"label": ["Heron"], "value": [2.0], "low": [1.5], "high": [3.0]})


def test_it_is_its_data_and_layout_and_in_words_its_title():
    figure = interval_figure(ROWS, title="Heron fails twice as often.", axis="ratio")
    shown = figure._repr_mimebundle_()
    drawn = shown["application/vnd.plotly.v1+json"]
    assert set(drawn) == {"data", "layout", "config"}
    assert len(drawn["data"]) == len(figure.data) and drawn["layout"]["height"] == figure.layout.height
    assert shown["text/plain"] == "Heron fails twice as often."


def test_it_has_no_buttons():
    config = interval_figure(ROWS, title="t", axis="a")._repr_mimebundle_()["application/vnd.plotly.v1+json"][
        "config"
    ]
    assert config["displayModeBar"] is False and config["displaylogo"] is False


def test_a_notebook_is_handed_no_page_that_fetches_a_script():
    """IPython asks a figure for every form it has; plotly's HTML would load its script from another host."""
    from IPython.core.formatters import DisplayFormatter

    data, _ = DisplayFormatter().format(interval_figure(ROWS, title="t", axis="a"))
    assert set(data) == {"application/vnd.plotly.v1+json", "text/plain"}

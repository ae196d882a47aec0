"""Notebooks are compared by their sentences; tables as HTML and drawings as JSON are not."""


def pytest_collectstart(collector):
    """Tell the notebook collector what not to compare."""
    if hasattr(collector, "skip_compare"):
        collector.skip_compare += ("text/html", "application/vnd.plotly.v1+json")

"""The picture of each question that has one: facts and a title in, a figure out, None where there is nothing to draw."""

from maintkit.report.dots import quarters_figure


def what_happened(facts, title: str):
    """Faults a quarter of each desk over the years."""
    return quarters_figure(facts.history, title=title) if len(facts.history) else None

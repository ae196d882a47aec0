"""Figures in the making, and the strokes they are made of."""

INK = "#1b1a18"


class Sketch:
    """A plotly figure in the making: its parts as plain records, checked together once by ``figure``.

    plotly looks through all shapes and annotations whenever one is added, which takes seconds for hundreds of slots.
    """

    def __init__(self, layout: dict):
        self.layout, self.traces, self.shapes, self.annotations = layout, [], [], []

    @property
    def font_size(self) -> float:
        return self.layout["font"]["size"]

    def add(self, kind: str, **parts) -> None:
        """A trace of that kind of plotly's."""
        self.traces.append({"type": kind, **parts})

    def add_shape(self, **parts) -> None:
        self.shapes.append(parts)

    def write(self, text: str, x, y, **parts) -> None:
        """Words, already safe for a figure, without an arrow."""
        self.annotations.append({"text": text, "x": x, "y": y, "showarrow": False, **parts})

    def update_xaxes(self, **parts) -> None:
        self.layout["xaxis"] = {**self.layout.get("xaxis", {}), **parts}

    def update_yaxes(self, **parts) -> None:
        self.layout["yaxis"] = {**self.layout.get("yaxis", {}), **parts}

    def update_layout(self, **parts) -> None:
        self.layout |= parts

    def figure(self):
        """The ``plotly.graph_objects.Figure``."""
        from maintkit.report.drawing import Drawing

        return Drawing(self.traces, {**self.layout, "shapes": self.shapes, "annotations": self.annotations})


def line(
    figure, x0, y0, x1, y1, *, colour: str = INK, width: float = 0.9, dash: str = "solid", **where
) -> None:
    """A straight line from point to point."""
    style = {"color": colour, "width": width, "dash": dash}
    figure.add_shape(type="line", x0=x0, x1=x1, y0=y0, y1=y1, line=style, **where)


def bar(figure, x0, x1, y, half: float, fill: str, *, edge: str | None = None, width: float = 0.9) -> None:
    """A bar along a row, so high to either side of it."""
    style = {"color": edge or fill, "width": width if edge else 0}
    figure.add_shape(type="rect", x0=x0, x1=x1, y0=y - half, y1=y + half, fillcolor=fill, line=style)


def band(figure, x0, x1, y0, y1, fill: str, **where) -> None:
    """A shaded range behind everything."""
    look = dict(fillcolor=fill, line={"width": 0}, layer="below")
    figure.add_shape(type="rect", x0=x0, x1=x1, y0=y0, y1=y1, **look, **where)


def line_of(figure, x, y, colour, width: float, dash="solid", *, shape=None, **where) -> None:
    """A curve through points; what is None is plotly's own."""
    style = {"color": colour, "width": width, "dash": dash, "shape": shape}
    figure.add("scatter", x=list(x), y=list(y), line=style, **{"mode": "lines", "hoverinfo": "skip", **where})


def area(figure, x, y, fill: str, **where) -> None:
    """What lies within points, shaded, without an edge."""
    line_of(figure, x, y, None, 0, None, fill="toself", fillcolor=fill, **where)


def dots(figure, x, y, colour: str, size: float, *, edge: str | None = None, symbol=None, **where) -> None:
    """Dots at points; with an ``edge`` they are open."""
    look = {"size": size, "color": colour, "symbol": symbol, "line": edge and {"color": edge, "width": 1.4}}
    figure.add("scatter", x=list(x), y=list(y), mode="markers", marker=look, **{"hoverinfo": "skip", **where})

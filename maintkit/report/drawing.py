"""A plotly figure that hands a notebook its own JSON, so that no renderer need be started for it."""

import json

import plotly.graph_objects as go

PLAIN = {
    "displayModeBar": False,
    "displaylogo": False,
    "scrollZoom": False,
    "responsive": True,
}  # no button that sends anything away


class Drawing(go.Figure):
    """A figure as any other; a notebook draws it from ``application/vnd.plotly.v1+json``, which is all it shows."""

    _ipython_display_ = None  # plotly's own starts its renderers, which takes a second
    _repr_html_ = None  # plotly's own names a script from afar

    def _repr_mimebundle_(self, include=None, exclude=None, **_) -> dict:
        drawn = json.loads(self.to_json(validate=False)) | {"config": PLAIN}
        return {"application/vnd.plotly.v1+json": drawn, "text/plain": self.layout.meta["title"]}

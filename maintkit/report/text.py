"""Text that came out of the records, made safe and honest to show: nothing in it acts, nothing in it hides."""

import html
import re
import textwrap
import unicodedata

BLANK = "–"
_SPACES = re.compile(r"[\t\n\r\x0b\x0c]+")
_HIDDEN = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}


def visible(text: str) -> str:
    """The text with every character that would hide or reorder others written out as its code point.

    Tabs and line ends become one space; control, direction and zero-width characters become ``[U+202E]``.

    Examples
    --------
    >>> visible("LMO-0\\u202e17")
    'LMO-0[U+202E]17'
    """
    text = _SPACES.sub(" ", str(text))
    if text.isascii() and text.isprintable():
        return text
    return "".join(f"[U+{ord(one):04X}]" if unicodedata.category(one) in _HIDDEN else one for one in text)


def html_text(text: str) -> str:
    """The text for an HTML page or attribute: markup in it is shown, never followed.

    Examples
    --------
    >>> html_text("<b>17 & 18</b>")
    '&lt;b&gt;17 &amp; 18&lt;/b&gt;'
    """
    return html.escape(visible(text), quote=True)


def figure_text(text: str) -> str:
    """The text for a figure, whose labels would otherwise read ``<b>`` as bold and ``<a>`` as a link."""
    return html.escape(visible(text), quote=False)


def wrapped(text: str, *, width: int) -> list[str]:
    """The text in lines of at most ``width`` characters, each made safe for a figure."""
    return [figure_text(line) for line in textwrap.wrap(visible(text), width)] or [""]


def shortened(name, most: int) -> str:
    """A name of at most so many characters, the last of a longer one an ellipsis.

    Examples
    --------
    >>> shortened("Heron", 5), shortened("Lapwing", 5)
    ('Heron', 'Lapw…')
    """
    name = visible(str(name))
    return name if len(name) <= most else f"{name[: most - 1]}…"


def words(name: str) -> str:
    """A name as words: ``module_type`` reads "module type"."""
    return str(name).replace("_", " ").strip()

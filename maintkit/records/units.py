"""A measured value that names its unit, in another unit of its kind."""

import re
from unicodedata import normalize

WITH_UNIT = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*([pnuUμmkK]?)([Ff]|[Ωω]|[Oo]hms?|A)")
POWERS = {"p": -12, "n": -9, "u": -6, "U": -6, "μ": -6, "m": -3, "": 0, "k": 3, "K": 3}


def in_unit(cell: str, unit: str, decimal: str = ".") -> str:
    """A cell that names its unit as the number it is in another; as it stands where it names none or one of another kind.

    The other decimal sign than ``decimal`` is one too, but before three digits, where it may part thousands.

    Examples
    --------
    >>> in_unit("47", "µF"), in_unit("46,5 uF", "µF", ","), in_unit("850 mΩ", "Ω"), in_unit("0.8 ohm", "Ω"), in_unit("3 V", "Ω")
    ('47', '46,5', '0.85', '0.8', '3 V')
    >>> in_unit("2.4 Ω", "Ω", ","), in_unit("2,4 kΩ", "Ω"), in_unit("1.200 Ω", "Ω", ","), in_unit("1,200 mΩ", "Ω", ",")
    ('2,4', '2400', '1.200 Ω', '0,0012')
    """
    own, wanted = (WITH_UNIT.fullmatch(normalize("NFKC", text)) for text in (cell, f"1 {unit}"))
    if not own or not wanted or _base(own[3]) != _base(wanted[3]):
        return cell
    power = POWERS[own[2]] - POWERS[wanted[2]]
    if decimal not in own[1] and re.search(r"[.,]\d{3}$", own[1]):
        return cell
    number = own[1].replace(",", ".")
    return (number if not power else f"{float(number) * 10.0**power:.12g}").replace(".", decimal)


def _base(unit):
    return unit[0].casefold().replace("o", "ω")

"""Records: what the technician kept, read, checked and stored."""

from .errors import RecordsError, TurnedAway
from .intake import load_records, open_turned_away
from .report import LoadReport
from .store import Records, load_into, open_records

__all__ = ["LoadReport", "Records", "RecordsError", "TurnedAway", "load_into", "load_records", "open_records",
           "open_turned_away"]

"""The data dictionary: every table of the record book, in the order in which they are loaded."""

from .tables_service import TABLES_IN_SERVICE
from .tables_store import TABLES_BESIDE

TABLES = (*TABLES_IN_SERVICE, *TABLES_BESIDE)
TABLE = {table.name: table for table in TABLES}

"""What stops the work, as one tree; a message says what was found and what to do.

MaintkitError             anything the reader of the message can mend
├── RecordsError          anything that stops reading, storing or opening records
│   ├── MappingError      a mistake in mapping.toml
│   ├── LayoutError       files, sheets or headings that do not fit the record book; carries every fault found
│   └── StoreError        a store that cannot be opened, read or written
├── EvidenceError         evidence asked for in a way that cannot be answered
└── SpellError            numbers that no method of survival can take

The first three below RecordsError live in ``records/errors.py``, EvidenceError in ``spells/build.py`` and SpellError in
``survival/results.py``, beside what raises them. A mistake in the program itself is none of these and keeps its traceback.
"""


class MaintkitError(Exception):
    """The work stopped; the message says why and what to do."""

    def _render_traceback_(self) -> list[str]:
        """What a notebook shows of it: IPython asks an error how it wants to be shown, and this is the sentence alone."""
        return str(self).splitlines()

"""A mapping.toml drafted from a technician's own headings and cells."""

from .command import write_draft
from .draft import Draft, draft_mapping

__all__ = ["Draft", "draft_mapping", "write_draft"]

"""Time at risk, built in SQL over whole tables: modules, parts, faults and work as frames."""

from maintkit.spells.build import CAUSE_RULES, CLOCKS, EvidenceError, gather_evidence
from maintkit.spells.evidence import Evidence

__all__ = ["CLOCKS", "CAUSE_RULES", "Evidence", "EvidenceError", "gather_evidence"]

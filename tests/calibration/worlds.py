"""The worlds in which the kit must hold: one description each, and nothing that draws."""

from dataclasses import dataclass


@dataclass(frozen=True)
class World:
    """What is different from the base: Weibull lives, gamma frailty of the module, effects of zone and era.

    Attributes
    ----------
    name : str
    lives : str
        ``weibull`` or ``lognormal`` (same medians).
    spread : str
        ``gamma`` (variance 0.45) or ``lognormal`` (variance 2).
    spread_of : str
        What carries the factor: ``module`` or ``slot``.
    swapped : float
        Share of the modules that changed slots in pairs ``swapped_years_ago``; others move now and then.
    reported_before : float
        Share of the first desk's faults that were reported until two years ago.
    use_doubles : bool
        The first desk runs twice as hard since a year ago, and nobody wrote it down.
    bad_batch : bool
        30 % of the first desk's modules were re-capped in the last three years, with capacitors that last a fifth as long.
    level_wanders : bool
        The hazards of the whole house fall by half over two years and rise again over the next two.
    worst_first : str
        ``no``, ``works`` or ``useless``: the modules with most faults in the year before are re-capped each quarter.
    designators : bool
        Whether it is written down which of the like parts was replaced.
    work_missing : float
        Share of the first desk's repairs that were never written.
    late_days : float
        Mean days after the ticket on which the work is written down; 0 writes all of it.
    """

    name: str
    lives: str = "weibull"
    spread: str = "gamma"
    spread_of: str = "module"
    swapped: float = 0.05
    swapped_years_ago: float = 3.0
    reported_before: float = 1.0
    use_doubles: bool = False
    bad_batch: bool = False
    level_wanders: bool = False
    worst_first: str = "no"
    designators: bool = True
    work_missing: float = 0.0
    late_days: float = 0.0


WORLDS = {
    world.name: world
    for world in (
        World("base"),
        World("lognormal lives", lives="lognormal"),
        World("wide frailty", spread="lognormal"),
        World("frailty of the slot", spread_of="slot", swapped=0.5, swapped_years_ago=1.5),
        World("reporting starts", reported_before=0.5),
        World("use doubles", use_doubles=True),
        World("bad batch", bad_batch=True),
        World("level wanders", level_wanders=True),
        World("worst first, re-caps work", worst_first="works"),
        World("worst first, re-caps useless", worst_first="useless"),
        World("no designators", designators=False),
        World("missing work", work_missing=1 / 3),
        World("work written late", late_days=45.0),
    )
}

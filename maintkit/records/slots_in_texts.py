"""The texts of a sheet that tell slots, of which each may be a row of its own, and those that go along with them."""

from .several import slots_recapped, slots_told


def tell_several(plan):
    """The lookup of the slot in texts, of the row or its report, where those stand that may tell of several, each of a row of its own, and what tells them."""
    lookup = plan.mapping.lookups.get("position") or plan.slot_told
    several, recapped = (
        {*map(str.casefold, some)} for some in (plan.mapping.several, plan.mapping.recaps_each)
    )
    texts = (lookup.heading, *lookup.also) if lookup and lookup.within else ()
    tells = dict.fromkeys(recapped, slots_recapped) | dict.fromkeys(several, slots_told)
    told = {one: tells.get(one.casefold()) for one in texts if plan.has(one)}
    return lookup, {plan.place(one): tell for one, tell in told.items() if tell}


def texts_beside(plan, told):
    """Where the texts stand, but for those ``told``, which say, behind the number of a slot, what is of its report alone."""
    others = [one.heading for name, one in plan.mapping.lookups.items() if name not in ("desk", "position")]
    own = {plan.index[name] for name in ("action", "finding") if name in plan.index}
    return sorted({*own, *map(plan.place, filter(plan.has, others))} - {*told})

"""Every slot of every desk in service, the modules in it, and the hours it will run next quarter."""

import re

from maintkit.hours import HOURS_PER_WEEK
from maintkit.quarter.quarter import Quarter
from maintkit.records.drafting import WHOLE_DESK, is_whole_desk
from maintkit.records.folding import BESIDE_CHANNELS, CHANNEL, SAME_WORD, fold_slot

SHOWN = 15  # slots that open the work list
EXPECTED = ["expected_faults", "expected_faults_low", "expected_faults_high", "expected_minutes_lost"]
# of a row of the work list, and of priority.csv
COLUMNS = ["desk", "position", *EXPECTED, "rank", "rank_low", "rank_high", "reason"]
PRIORITY_COLUMNS = [*COLUMNS, "module_factor", "slot_factor", "level"]


STANDS_OUT = 0.95  # of the draws in which the first slots carry more than as many of the others would


def stand_out(forecast, number: int) -> bool:
    """Whether the first slots of the list are expected to bring more than as many slots alike would, beyond what chance orders."""
    is_known = (
        named_slots(forecast.slots)["expected_faults"]
        .notna()
        .reindex(forecast.slots.index, fill_value=False)
        .to_numpy()
    )
    cost = forecast.slots["minutes_per_fault"].to_numpy()[is_known]
    draws = forecast.draws[:, is_known] * (cost if (cost > 0).any() else 1.0)
    if draws.shape[1] <= number:
        return True
    return bool((draws[:, :number].mean(axis=1) > draws.mean(axis=1)).mean() >= STANDS_OUT)


def named_slots(slots):
    """The slots without those that stand for a whole desk, where there are others: to work on a whole desk is no advice."""
    return slots[~slots["position"].map(is_whole_desk).astype(bool)] if told_apart(slots) else slots


def told_apart(slots) -> bool:
    """Whether these slots are more than one, and any is more than what stands for a whole desk: only then can one come before another."""
    return len(slots) > 1 and not all(map(is_whole_desk, slots["position"]))


def slots_in_service(quarter: Quarter):
    """A row per module in a slot of a desk in service, and per empty slot.

    Columns ``desk, position, serial, module_type, hours_ahead, is_desk``; in order of desk and position as the record book has
    them. Slots come from ``positions``, but for those taken out of use; without that table, from the modules that sit in one.
    """
    import pandas as pd

    desks = _desks(quarter)
    sitting = quarter.evidence.roster[["desk", "position", "serial", "module_type"]]
    sitting = sitting.dropna(subset=["desk", "position"])
    known = quarter.table("positions")
    ended = pd.to_datetime(known["in_use_to"]) < pd.Timestamp(quarter.last_day)
    known = known.loc[~ended, ["desk", "position"]]
    places = pd.concat([known, sitting[["desk", "position"]]]).drop_duplicates()
    places = places[places["desk"].isin(desks.index)]
    places = places.assign(order=places["position"].map(natural))
    places = places.sort_values(["desk", "order"], kind="stable")
    slots = places.drop(columns="order").merge(sitting, on=["desk", "position"], how="left")
    slots["is_desk"] = slots["position"].eq(WHOLE_DESK)
    slots["hours_ahead"] = slots["desk"].map(desks) * quarter.days_ahead / 7
    return slots.reset_index(drop=True)


def _desks(quarter: Quarter):
    """Powered hours a week at the end of the quarter of each desk then in service."""
    import pandas as pd

    end = pd.Timestamp(quarter.last_day)
    desks = quarter.table("desks")
    begun, in_use = desks["records_from"] <= end, desks["retired_on"].isna() | (desks["retired_on"] > end)
    desks = desks[begun & in_use].set_index("desk")
    hours = desks["powered_hours_per_week"].fillna(HOURS_PER_WEEK)
    power = quarter.table("power")
    power = power[(power["from_on"] <= end) & power["powered_hours_per_week"].notna()]
    latest = power.sort_values("from_on", kind="stable").groupby("desk")["powered_hours_per_week"].last()
    return latest.reindex(hours.index).fillna(hours)


def natural(text: str) -> tuple:
    """A sort key along a desk: slot 9 before slot 10, channels by their number however it is written, groups and the like behind, and what
    stands for all of them last.

    Examples
    --------
    >>> sorted(["all chs", "grp 2", "10", "Groups 1", "ch 11", "A2", "9"], key=natural)
    ['9', '10', 'ch 11', 'A2', 'Groups 1', 'grp 2', 'all chs']
    """
    pieces = [piece for piece in re.split(r"(\d+)", fold_slot(str(text))) if piece]
    if pieces and not pieces[0].isdigit():
        word = SAME_WORD.get(pieces[0], pieces[0])
        pieces = pieces[1:] if word in (CHANNEL, "input") and pieces[1:] else [word, *pieces[1:]]
    return (kind_of_slot(text) != CHANNEL) + (kind_of_slot(text) == ""), *(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece) for piece in pieces
    )


def kind_of_slot(text: str) -> str:
    """What a slot is by its name: a channel, or one of those of which a desk has a few beside them, such as a group; '' where it stands
    for all slots.

    Examples
    --------
    >>> [kind_of_slot(text) for text in ("12", "Strip 3", "A2", "Groups 5", "aux 2", "master", "all chs", WHOLE_DESK)]
    ['channel', 'channel', 'channel', 'group', 'aux', 'master', '', '']
    """
    if text == WHOLE_DESK or re.match(r"(?:all|alle)\b(?!\W*\d)", text, re.IGNORECASE):
        return ""
    word = re.sub(r"[\d\W].*", "", fold_slot(text))
    word = SAME_WORD.get(word, word)
    return word if word in BESIDE_CHANNELS else CHANNEL

"""When re-capping pays, board by board, reckoned once a quarter with the prices of the site."""

from maintkit.decide.replacement_boards import Recaps, Rules, recap_boards
from maintkit.decide.replacement_costs import Costs, unit_costs
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.records.prices import Prices, prices_beside


@once_a_quarter
def prices_of(quarter: Quarter) -> Prices:
    """The prices set beside the records."""
    return prices_beside(quarter.records.source)


def rules_of(quarter: Quarter, rules: Rules | None = None) -> Rules:
    """The rules asked for, or the usual ones at the prices of the site."""
    if rules is not None:
        return rules
    prices = prices_of(quarter)
    return Rules(Costs(prices.bench_hour, prices.session_hour))


def recaps(quarter: Quarter, rules: Rules | None = None) -> Recaps:
    """The interval of each kind of board and every module beside it."""
    return _recaps(quarter, rules_of(quarter, rules))


@once_a_quarter
def _recaps(quarter: Quarter, rules: Rules) -> Recaps:
    forecast, prices = quarter.forecast, unit_costs(quarter.table("part_types"))
    return recap_boards(quarter.evidence, forecast, prices=prices, rules=rules, shared=forecast.shared)


def modules_with_costs(quarter: Quarter, rules: Rules | None = None):
    """A row per module with electrolytics in service: desk, costs of a fault and of a re-cap, interval of its board."""
    costs = rules_of(quarter, rules).costs
    return recaps(quarter, rules).modules.assign(bench_hour=costs.bench_hour if costs.in_money else 1.0)

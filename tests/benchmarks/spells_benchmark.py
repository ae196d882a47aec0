"""Time and memory of building the evidence from a large made-up record book.

    python tests/benchmarks/spells_benchmark.py --tickets 1000000

As many repairs as tickets, one module for every fifty tickets; the tables are made inside DuckDB, so what is timed is
the building of the spells, and reading them as frames, alone.
"""

import argparse
import re
import resource
import time
from datetime import date

import duckdb

from maintkit.records.keeping import create_tables
from maintkit.records.tables import TABLES
from maintkit.spells import gather_evidence

RECORDS_FROM, RECORD_END, DAYS = date(2014, 1, 1), date(2025, 12, 31), 4382
DESKS, PART_TYPES = 40, 14

FILL = (
    """insert into desks (desk, family, coupling, records_from, powered_hours_per_week)
       select 'desk ' || d, 'family ' || d % 2, case when d % 2 = 0 then 'dc' else 'capacitor' end, $records_from, 168
       from range($desks) t(d)""",
    """insert into power (desk, from_on, powered_hours_per_week)
       select 'desk ' || d, $records_from::date + 1500, 84 from range($desks) t(d) where d % 2 = 0""",
    """insert into positions (desk, position, zone, use_weight)
       select 'desk ' || m % $desks, 'slot ' || m // $desks, case when m % 3 = 0 then 'edge' else 'middle' end, 1
       from range($modules) t(m)""",
    """insert into modules (serial, family, module_type, origin, rework_cycles_before, made_on)
       select 'M' || m, 'family ' || m % 2, 'channel', 'original', 0, date '1990-01-01' from range($modules) t(m)""",
    # every module sits in its slot, spends two weeks in the store, and comes back
    """insert into fitments (serial, desk, position, fitted_on, removed_on)
       select 'M' || m, 'desk ' || m % $desks, 'slot ' || m // $desks,
              case when half = 0 then date '1990-06-01' else $records_from::date + (1000 + m % 2000)::integer end,
              case when half = 0 then $records_from::date + (986 + m % 2000)::integer end
       from range($modules) t(m), range(2) h(half)""",
    """insert into part_types (part_type, kind)
       select 'part ' || p, case when p < 4 then 'electrolytic' when p < 8 then 'ic' else 'switch' end
       from range($part_types) t(p)""",
    """insert into parts_list (family, module_type, part_type, quantity)
       select 'family ' || f, 'channel', 'part ' || p, 2 + p from range(2) a(f), range($part_types) t(p)""",
    """insert into tickets (ticket, raised_on, desk, position, symptom, impact, minutes_lost, outcome, restored_on,
                            closed_on)
       select 'T' || t, raised_on, 'desk ' || m % $desks, 'slot ' || m // $desks,
              'symptom ' || hash(t, 3) % 20, 'nuisance', 5,
              case when hash(t, 4) % 10 < 7 then 'fault found' when hash(t, 4) % 10 < 9 then 'no fault found'
                   else 'open' end,
              raised_on, raised_on + (hash(t, 5) % 10)::integer
       from (select t, (hash(t, 1) % $modules)::bigint as m,
                    $records_from::date + (hash(t, 2) % $days)::integer as raised_on
             from range($tickets) r(t))""",
    """insert into repairs (repair, done_on, serial, ticket, action, part_type, quantity, cause, as_found,
                            bench_minutes, planned)
       select 'R' || t, least($records_from::date + (hash(t, 2) % $days)::integer + (hash(t, 6) % 5)::integer,
                          $record_end),
              'M' || hash(t, 1) % $modules, case when hash(t, 7) % 10 < 7 then 'T' || t end,
              case when hash(t, 8) % 100 < 60 then 'replace' when hash(t, 8) % 100 < 63 then 're-cap' else 'clean' end,
              case when hash(t, 8) % 100 < 60 then 'part ' || hash(t, 9) % $part_types end,
              1 + (hash(t, 10) % 2)::integer,
              case when hash(t, 11) % 10 < 7 then 'confirmed' when hash(t, 11) % 10 < 9 then 'suspected'
                   else 'unknown' end,
              'failed', 20, case when hash(t, 8) % 100 between 60 and 62 then 'yes' else 'no' end
       from range($tickets) r(t)""",
)


def made_up_book(
    tickets: int, modules: int | None = None, desks: int = DESKS, more: tuple[str, ...] = ()
) -> duckdb.DuckDBPyConnection:
    """A record book in memory with so many tickets, as many repairs, and a module for every fifty if not said otherwise."""
    book = duckdb.connect()
    values = {
        "records_from": RECORDS_FROM,
        "record_end": RECORD_END,
        "days": DAYS,
        "desks": desks,
        "tickets": tickets,
        "modules": modules or max(tickets // 50, desks),
        "part_types": PART_TYPES,
    }
    create_tables(book)
    for statement in (*FILL, *more):
        book.execute(statement, {name: values[name] for name in set(re.findall(r"\$(\w+)", statement))})
    return book


def write_csv(book: duckdb.DuckDBPyConnection, folder) -> None:
    """Every table that has rows as a CSV file in the folder."""
    for table in TABLES:
        names = ", ".join(f'"{column.name}"' for column in table.columns)
        if book.execute(f'select count(*) from "{table.name}"').fetchone()[0]:
            book.execute(
                f"copy (select {names} from \"{table.name}\") to '{folder / table.name}.csv' (header)"
            )


def main() -> None:
    """Make the book, build the evidence, say how long it took and how much memory stood at the peak."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--tickets", type=int, default=1_000_000, help="how many tickets, and as many repairs"
    )
    book = made_up_book(parser.parse_args().tickets)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    started = time.perf_counter()
    evidence = gather_evidence(book, record_end=RECORD_END)
    built = time.perf_counter() - started
    rows = [len(frame) for frame in (evidence.stays, evidence.part_spells, evidence.faults, evidence.work)]
    took = time.perf_counter() - started
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(
        f"{rows[0]:,} stays, {rows[1]:,} part spells, {rows[2]:,} faults, {rows[3]:,} pieces of work built in {built:.1f} s, "
        f"read as frames in {took - built:.1f} s; peak memory {peak:.2f} GiB ({before:.2f} GiB with the book alone)"
    )


if __name__ == "__main__":
    main()

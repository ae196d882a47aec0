-- Recorded work on modules that are known, with the state of the board before it and the fault it answers.
-- grain: repair    bench_minutes: hands-on minutes    no parameters
create or replace temp table work as
with cycled as (
    select repairs_placed.*, rework_cycles
    from repairs_placed
    left join re_caps on re_caps.serial = repairs_placed.serial and repairs_placed.done_on > re_caps.done_on
                     and repairs_placed.done_on <= next_on
)
select repair, done_on, serial, desk, position, module_type, family, board_era, action, part_type, kind, ref,
       quantity, cause,
       as_found, planned, ticket, donor_serial, bench_minutes, rework_cycles, event_id
from cycled
join known_modules using (serial)
left join event_work using (repair)
where in_records
order by done_on, repair

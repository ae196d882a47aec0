-- Days a module was re-capped since its records began, with the re-caps its board had been through once that day was
-- over, and the day of the next (exclusive).
-- grain: serial, done_on; the row dated 0001-01-01 holds the cycles before the records    no parameters
create or replace temp table re_caps as
with days as (
    select distinct serial, done_on, done_on >= records_from as recorded
    from repairs_placed
    join known_modules using (serial)
    where action = 're-cap'
),
earlier as (
    -- re-caps dated before the records and the stated number may speak of the same ones: the larger holds
    select serial, greatest(any_value(rework_cycles_before), count(*) filter (where not recorded)) as cycles
    from known_modules
    left join days using (serial)
    group by serial
),
counted as (
    select serial, date '0001-01-01' as done_on, cycles
    from earlier
    union all
    select serial, done_on, 1
    from days
    where recorded
)
select serial, done_on, lead(done_on, 1, date '9999-12-31') over (partition by serial order by done_on) as next_on,
       sum(cycles) over (partition by serial order by done_on)::bigint as rework_cycles
from counted
order by serial, done_on

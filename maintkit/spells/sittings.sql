-- A module sitting in a slot, one row per unbroken sitting, known to the end of the last recorded day.
-- grain: serial, from_on    to_on is exclusive    $record_end: date, last day of the records
-- work_from, work_to: work on the module on these days, both inclusive, belongs to this sitting: from the day after it was
-- fitted (from that day where it sat nowhere before) to the day it is fitted again
-- A slot taken out of use ends the sitting in it.
-- Without fitments each slot stands for what sits in it, there since its desk's records began: for the modules that are said
-- to sit there today, else for one named desk/position.
create or replace temp table sittings as
with named_slots as (
    select desk, position from positions
    union
    select desk, position from tickets where position is not null and raised_on::date <= $record_end
    union
    select desk, position from repairs where desk is not null and position is not null and done_on <= $record_end
    union
    select desk, position from modules where desk is not null and position is not null
),
slots as (
    select desk, position from named_slots
    union
    -- a desk with entries of which none names a slot stands for one
    select desk, 'whole desk' from (select desk from tickets union select desk from repairs)
    where desk not in (select desk from named_slots) and not exists (from fitments where fitted_on <= $record_end)
),
given as (
    select serial, desk, position, fitted_on, removed_on, false as invented
    from fitments
    where fitted_on <= $record_end
    union all
    select coalesce(modules.serial, desk || '/' || position), desk, position, records_from, null, true
    from slots
    join desks using (desk)
    left join modules using (desk, position)
    where not exists (from fitments where fitted_on <= $record_end) and records_from <= $record_end
),
followed as (
    -- a module cannot sit in two slots: the later fitting ends the earlier
    select *, lead(fitted_on) over (
        partition by serial order by fitted_on, coalesce(removed_on, date '9999-12-31'), desk, position) as next_on
    from given
),
bounded as (
    select serial, desk, position, invented, records_from, fitted_on as from_on,
           least(coalesce(removed_on, date '9999-12-31'), coalesce(next_on, date '9999-12-31'),
                 coalesce(retired_on, date '9999-12-31'), coalesce(in_use_to + 1, date '9999-12-31'),
                 $record_end::date + 1) as to_on,
           coalesce(next_on < least(coalesce(removed_on, date '9999-12-31'), $record_end::date + 1), false)
               as overlapped
    from followed
    join desks using (desk)
    left join positions using (desk, position)
)
select serial, desk, position, from_on, to_on, records_from, invented, overlapped,
       from_on + case when row_number() over own = 1 then 0 else 1 end as work_from,
       lead(from_on, 1, date '9999-12-31') over own as work_to
from bounded
where to_on > from_on
window own as (partition by serial order by from_on)
order by serial, from_on

-- Replacements of a part that had just been fitted: by work that this is a return from, or for the very same fault, which ends
-- one life in one place (that of a reference, or the only one the module has for such a part). Neither is a new failure of a part.
-- grain: repair    $return_days: whole number of days
create or replace temp table refitted as
with fitted as (
    select repairs_placed.repair, event_id, serial, part_type, ref, done_on, planned,
           coalesce(inventory.quantity = 1, false) as is_single
    from repairs_placed
    join event_work using (repair)
    left join inventory using (serial, part_type)
    where action = 'replace'
),
returned as (
    select later.repair
    from returns
    join fitted as later on later.event_id = returns.event_id
    join fitted as earlier on earlier.repair = return_of and earlier.serial = later.serial
                          and earlier.part_type = later.part_type and coalesce(earlier.ref = later.ref, true)
    where not later.planned
),
once_more as (
    select later.repair
    from fitted as earlier
    join fitted as later on later.event_id = earlier.event_id and later.serial = earlier.serial
                        and later.part_type = earlier.part_type and (later.is_single or later.ref = earlier.ref)
                        and later.done_on between earlier.done_on and earlier.done_on + $return_days::integer
                        and (later.done_on > earlier.done_on or later.repair > earlier.repair)
    where not earlier.planned and not later.planned
)
select repair from returned
union
select repair from once_more
order by repair

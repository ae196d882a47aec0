-- A fault of a slot or its supply, and another report from a slot of the same bay within three days: look at the supply.
-- grain: event_id (the fault of the slot or supply), other_id    first_on, last_on: days of the earlier and the later
-- looked_on: first work on a rail or cable of that bay, or of the desk at large, from the later on; null where there is none
-- Three days: own choice. A fault that names no slot stands for its whole desk.    no parameters
create or replace temp table supply_flags as
with reports as (
    select event_id, happened_on, desk, position, bay, class
    from fault_rows
    where class in ('fault', 'return', 'open', 'slot or supply', 'no fault found')
),
around as (
    select event_id, happened_on, desk, position, bay,
           unnest(range(happened_on - 3, happened_on + 4, interval 1 day))::date as near_on
    from reports
    where class = 'slot or supply'
),
pairs as (
    select around.desk, coalesce(around.bay, reports.bay) as bay, around.position,
           reports.position as other_position, least(around.happened_on, reports.happened_on) as first_on,
           greatest(around.happened_on, reports.happened_on) as last_on, around.event_id, reports.event_id as other_id
    from around
    join reports on reports.desk = around.desk and reports.happened_on = near_on
    where reports.position <> coalesce(around.position, '') and (reports.bay = around.bay or around.position is null)
          and (class <> 'slot or supply' or around.position is null or around.event_id < reports.event_id)
),
looked as (
    select desk, bay, done_on
    from repairs_placed
    left join positions using (desk, position)
    where of_slot in ('rail', 'cable')
)
select pairs.desk, pairs.bay, position, other_position, first_on, last_on, event_id, other_id, min(done_on) as looked_on
from pairs
left join looked on looked.desk = pairs.desk and coalesce(looked.bay = pairs.bay, true) and done_on >= last_on
group by all
order by last_on desc, pairs.desk, pairs.bay, event_id, other_id

-- A place for parts in a module: one seat a designator, and the rest of that part together as a cohort (ref null).
-- grain: serial, part_type, ref    seats: how many parts the place holds    stream: 1, 2, … in that order
-- no parameters
create or replace temp table streams as
with seats as (
    select distinct serial, part_type, ref
    from replaced_parts
    where ref is not null
),
places as (
    select serial, part_type, kind, ref, 1 as seats, quantity
    from seats
    join inventory using (serial, part_type)
    union all
    select serial, part_type, any_value(kind), null, any_value(quantity) - count(ref), any_value(quantity)
    from inventory
    left join seats using (serial, part_type)
    group by serial, part_type
)
select row_number() over (order by serial, part_type, ref nulls last) as stream, serial, part_type, kind, ref, seats,
       quantity
from places
where seats > 0
order by stream

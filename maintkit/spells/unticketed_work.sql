-- Unplanned work that nobody raised a ticket for, with the event it makes: all of a module, or of a slot, and day is one.
-- grain: repair    evidence: 3 confirmed, 2 suspected, 1 unknown cause    no parameters
create or replace temp table unticketed_work as
with unasked as (
    select coalesce(serial, desk || chr(31) || coalesce(position, '')) as unit, done_on, repair, serial, desk,
           position, in_window,
           case cause when 'confirmed' then 3 when 'suspected' then 2 else 1 end as evidence
    from repairs_placed
    join actions using (action)
    anti join answers using (repair)
    where not repairs_placed.planned and in_records and mends
)
select 'repair ' || min(repair) over (partition by unit, done_on) as event_id, * exclude (unit)
from unasked

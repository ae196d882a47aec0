-- Unplanned work that nobody raised a ticket for, with the event it makes: all of a module, or of a slot, and day is one.
-- grain: repair    Cleaning unasked is care, and makes no fault.    no parameters
create or replace temp table unticketed_work as
with unasked as (
    select coalesce(serial, desk || chr(31) || coalesce(position, '') || chr(31) || coalesce(of_slot, '')) as unit,
           of_slot, done_on, repair, serial, desk,
           position, in_window and desk is not null as in_window
    from repairs_placed
    anti join answers using (repair)
    where in_records and shows_by_itself
)
select 'repair ' || min(repair) over (partition by unit, done_on) as event_id, * exclude (unit)
from unasked

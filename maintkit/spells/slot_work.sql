-- Recorded work on a slot itself or its cable: on no module, whichever it was taken down for.
-- grain: repair    no parameters
create or replace temp table slot_work as
select repair, done_on, desk, position, action, part_type, cause, as_found, planned
from repairs_placed
where of_slot in ('slot', 'cable') and position is not null and in_records
order by done_on, repair

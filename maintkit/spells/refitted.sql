-- Replacements of a part that the work they return from had just fitted: a return, no new failure of a part.
-- grain: repair    no parameters
create or replace temp table refitted as
select distinct later.repair
from returns
join event_work using (event_id)
join repairs_placed as later on later.repair = event_work.repair and later.action = 'replace' and not later.planned
join repairs_placed as earlier on earlier.repair = return_of and earlier.action = 'replace'
                              and earlier.serial = later.serial and earlier.part_type = later.part_type
                              and coalesce(earlier.ref = later.ref, true)
order by later.repair

-- Modules that left the records by being scrapped. In a book without fitments a slot goes on, whatever sat in it.
-- grain: serial    $record_end: date, last day of the records
create or replace temp table scrapped as
select serial, min(done_on) as scrapped_on
from repairs_placed
where action = 'scrap' and serial is not null
      and (exists (from fitments where fitted_on <= $record_end) or serial not in (select serial from sittings))
group by serial
order by serial

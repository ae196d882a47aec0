-- One row: work on a module, or a fitment of it, after the day it was scrapped.    Days.    No parameters.
with scrapped as (
    select serial, min(done_on) as scrapped_on
    from repairs
    where action = 'scrap' and serial is not null
    group by serial
),
later as (
    select source_file, source_row, serial, done_on as happened_on, 'was worked on' as what from repairs
    where serial is not null
    union all
    select source_file, source_row, serial, fitted_on, 'was fitted' from fitments
)
select source_file, source_row,
       format('{} {} on {} and had been scrapped on {}', serial, what, happened_on, scrapped_on) as said
from later
join scrapped using (serial)
where happened_on > scrapped_on
order by source_file, source_row

-- One row: a ticket raised on a desk, or a module fitted in it, after the day it left service.    Days.    No parameters.
with events as (
    select source_file, source_row, desk, ticket as name, raised_on as happened_on, 'was raised' as what from tickets
    union all
    select source_file, source_row, desk, serial, fitted_on, 'was fitted' from fitments
)
select events.source_file, events.source_row,
       format('{} {} on {} and {} left service on {}', name, what, happened_on, desk, retired_on) as said
from events
join desks using (desk)
where happened_on > retired_on
order by events.source_file, events.source_row

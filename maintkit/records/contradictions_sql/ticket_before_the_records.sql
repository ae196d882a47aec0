-- One row: a ticket raised before the day from which its desk's tickets are complete.    Days.    No parameters.
select tickets.source_file, tickets.source_row,
       format('{} was raised on {} and the records of {} start on {}', ticket, raised_on, desk, records_from) as said
from tickets
join desks using (desk)
where raised_on < records_from
order by tickets.source_file, tickets.source_row

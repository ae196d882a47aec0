-- One row: work done before the ticket it answers was raised.    Days.    No parameters.
select repairs.source_file, repairs.source_row,
       format('{} was done on {}, its ticket {} was raised on {}', repair, done_on, ticket, raised_on) as said
from repairs
join tickets using (ticket)
where done_on < raised_on
order by repairs.source_file, repairs.source_row

-- One row: a ticket closed, or its service restored, before it was raised.    Days.    No parameters.
select source_file, source_row,
       format('{} was raised on {} and {} on {}', ticket, raised_on,
              if(closed_on < raised_on, 'closed', 'restored'),
              if(closed_on < raised_on, closed_on, restored_on)) as said
from tickets
where closed_on < raised_on or restored_on < raised_on
order by source_file, source_row

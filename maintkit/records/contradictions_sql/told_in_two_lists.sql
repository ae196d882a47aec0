-- One row: a report of a slot of which another list has an earlier one of the same day, or one that stands before it there.
-- No parameters.
with in_two_lists as (
    select desk, position, raised_on::date as day
    from tickets
    where position is not null
    group by all
    having min(source_file) <> max(source_file)
),
told as (
    select tickets.*, day, first_value(source_file) over same_day as first_file, first_value(source_row) over same_day as first_row
    from tickets
    join in_two_lists on in_two_lists.desk = tickets.desk and in_two_lists.position = tickets.position
                     and day = raised_on::date
    window same_day as (partition by tickets.desk, tickets.position, day order by raised_on, ticket)
)
select source_file, source_row,
       format('{} {} on {} is told in {}, row {}, too', desk, position, day, first_file, first_row) as said
from told
where source_file <> first_file
order by source_file, source_row

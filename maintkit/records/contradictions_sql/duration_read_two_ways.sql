-- One row: a duration such as 1.30 h, taken as 1.3 hours, or a bare 1.5, taken as minutes, which may be meant otherwise.
-- Minutes; the cell as it was written stands beside the row.    No parameters.
with written as (
    select source_file, source_row, as_written['minutes_lost'] as cell, minutes_lost as minutes
    from tickets
    union all
    select source_file, source_row, as_written['bench_minutes'], bench_minutes
    from repairs
)
select source_file, source_row, format('{} is taken as {:.4g} minutes', cell, minutes) as said
from written
where cell is not null and minutes is not null
order by source_file, source_row

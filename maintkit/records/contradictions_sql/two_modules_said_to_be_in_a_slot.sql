-- One row: a module said to sit today where another of its type is said to sit.
-- No parameters.
with sitting as (
    select *, min(serial) over (partition by desk, position, module_type) as other
    from modules
    where position is not null
)
select source_file, source_row, format('{} and {} are both in {} {}', other, serial, desk, position) as said
from sitting
where serial <> other and desk is not null
order by source_file, source_row

-- One row: a fitment in place of a module, though the last one of its type put into that slot before was another.
-- Days.    No parameters.
with earlier as (
    select fitments.*, lag(serial) over in_the_slot as sitting, lag(fitted_on) over in_the_slot as since
    from fitments
    left join (select serial, module_type from modules) using (serial)
    window in_the_slot as (partition by desk, position, module_type order by fitted_on, source_row)
)
select source_file, source_row,
       format('{} went into {} {} on {} in place of {}, and the last put in there was {} on {}',
              serial, desk, position, fitted_on, old_serial, sitting, since) as said
from earlier
where old_serial <> sitting
order by source_file, source_row

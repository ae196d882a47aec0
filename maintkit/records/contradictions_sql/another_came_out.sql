-- One row: a fitment in place of a module, though the last one of its type put into that slot before was another.
-- Days; what came out again on the day on which it went in was never the last.    No parameters.
with typed as (
    select fitments.*, coalesce(module_type, '') as module_type
    from fitments
    left join (select serial, module_type from modules) using (serial)
),
out_again as (
    select old_serial as serial, desk, position, fitted_on
    from fitments
    where old_serial is not null
),
lasting as (
    from typed anti join out_again using (serial, desk, position, fitted_on)
)
select own.source_file, own.source_row,
       format('{} went into {} {} on {} in place of {}, and the last put in there was {} on {}', own.serial, own.desk,
              own.position, own.fitted_on, own.old_serial, lasting.serial, lasting.fitted_on) as said
from typed as own
asof join lasting on lasting.desk = own.desk and lasting.position = own.position
                 and lasting.module_type = own.module_type and lasting.fitted_on < own.fitted_on
where own.old_serial <> lasting.serial
      and (own.old_serial, own.desk, own.position, own.fitted_on) not in (
          select (serial, desk, position, fitted_on) from fitments)
order by own.source_file, own.source_row

-- One row: work without serial, and of no slot or supply, whose slot, or that of its ticket, held no module that day, or several that its ticket cannot tell apart.
-- A list of swaps alone, without one removal and without a list of slots, names no module before the first swap, and the next ends each.
-- Days; a module is in its slot from fitted_on until the day before removed_on.    No parameters.
with nameless as (
    select repairs.source_file, repairs.source_row, repair, done_on, coalesce(repairs.desk, tickets.desk) as desk,
           coalesce(repairs.position, tickets.position) as position, tickets.module_type
    from repairs
    left join tickets using (ticket)
    where repairs.serial is null and "where" is null and exists (select 1 from fitments)
),
candidates as (
    select nameless.source_file, nameless.source_row, repair, done_on, nameless.desk, nameless.position,
           count(fitments.serial) as candidates
    from nameless
    left join (fitments left join modules using (serial))
      on fitments.desk = nameless.desk and fitments.position = nameless.position
     and fitted_on <= done_on and done_on < coalesce(removed_on, 'infinity'::date)
     and (nameless.module_type is null or modules.module_type is null or modules.module_type = nameless.module_type)
    group by all
)
select source_file, source_row,
       if(desk is null or position is null, format('{} on {}: neither a serial nor a slot stands there', repair, done_on),
          format('{} on {} {}: {} sat there on {}', repair, desk, position,
                 if(candidates = 0, 'no module', candidates || ' modules'), done_on)) as said
from candidates
where candidates <> 1
  and (desk is null or position is null or exists (from positions) or exists (from fitments where removed_on is not null))
order by source_file, source_row

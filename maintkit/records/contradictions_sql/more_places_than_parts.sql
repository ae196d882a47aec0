-- One row: the first work that names one reference designator more than the module has parts of that kind.
-- Counts of reference designators; a parts list row for the module's own era wins over one for every era.    No parameters.
with held as (
    select modules.serial, parts_list.part_type, quantity as held
    from modules
    join parts_list
      on (parts_list.family is null or parts_list.family = modules.family) and parts_list.module_type = modules.module_type
     and (parts_list.board_era is null or parts_list.board_era = modules.board_era)
    qualify row_number() over (partition by modules.serial, parts_list.part_type
                               order by parts_list.board_era is null, parts_list.family is null, quantity desc) = 1
),
first_named as (
    select serial, part_type, ref, min((done_on, repair)) as first_work
    from repairs
    where serial is not null and ref is not null and part_type is not null
    group by serial, part_type, ref
),
numbered as (
    select *, row_number() over (partition by serial, part_type order by first_work, ref) as places,
           count(*) over (partition by serial, part_type) as all_places
    from first_named
)
select source_file, source_row,
       format('{} has {} places of {} in its repairs, and holds {}', numbered.serial, all_places, numbered.part_type,
              held) as said
from numbered
join held using (serial, part_type)
join repairs on repairs.repair = numbered.first_work[2]
where places = held + 1
order by source_file, source_row

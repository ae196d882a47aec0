-- One row: work on a module that replaced more parts of a kind than the parts list gives it.
-- Counts of parts; a parts list row for the module's own era wins over one for every era.    No parameters.
with held as (
    select modules.serial, parts_list.part_type, quantity as held
    from modules
    join parts_list
      on (parts_list.family is null or parts_list.family = modules.family) and parts_list.module_type = modules.module_type
     and (parts_list.board_era is null or parts_list.board_era = modules.board_era)
    qualify row_number() over (partition by modules.serial, parts_list.part_type
                               order by parts_list.board_era is null, parts_list.family is null, quantity desc) = 1
)
select source_file, source_row,
       format('{} has {} of {} for {}, which holds {}', repair, quantity, part_type, serial, held) as said
from repairs
join held using (serial, part_type)
where quantity > held
order by source_file, source_row

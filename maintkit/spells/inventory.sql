-- How many of each part a module holds; a row for the module's own board era wins over one for every era.
-- grain: serial, part_type    no parameters
create or replace temp table inventory as
with candidates as (
    select serial, part_type, quantity, parts_list.board_era is not null as era_given
    from known_modules
    join parts_list on parts_list.family = known_modules.family and parts_list.module_type = known_modules.module_type
                   and coalesce(parts_list.board_era, known_modules.board_era, '')
                     = coalesce(known_modules.board_era, '')
),
chosen as (
    select serial, part_type, quantity
    from candidates
    qualify row_number() over (partition by serial, part_type order by era_given desc, quantity desc) = 1
)
select serial, part_type, kind, quantity
from chosen
left join part_types using (part_type)
order by serial, part_type

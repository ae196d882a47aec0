-- How many of each part a module holds; a row for the module's own board era wins over one for every era, then one for its
-- own family over one for every family.
-- grain: serial, part_type    no parameters
create or replace temp table inventory as
with listed as (
    -- a part may have a row for each role it plays
    select family, module_type, board_era, part_type, sum(quantity)::bigint as quantity
    from parts_list
    group by family, module_type, board_era, part_type
),
candidates as (
    select serial, part_type, quantity, listed.board_era is not null as era_given,
           listed.family is not null as family_given
    from known_modules
    join listed on (listed.family is null or listed.family = known_modules.family) and listed.module_type = known_modules.module_type
                   and coalesce(listed.board_era, known_modules.board_era, '')
                     = coalesce(known_modules.board_era, '')
),
chosen as (
    select serial, part_type, quantity
    from candidates
    qualify row_number() over (partition by serial, part_type order by era_given desc, family_given desc, quantity desc) = 1
)
select serial, part_type, kind, quantity
from chosen
left join part_types using (part_type)
order by serial, part_type

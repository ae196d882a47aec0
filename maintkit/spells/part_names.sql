-- The parts that occur, numbered, so that spells carry a number and not two words each.
-- grain: part_code (0, 1, … by part_type)    no parameters
create or replace temp table part_names as
select row_number() over (order by part_type) - 1 as part_code, part_type, any_value(kind) as kind
from inventory
group by part_type
order by part_code

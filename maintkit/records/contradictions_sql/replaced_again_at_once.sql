-- One row: a part replaced in a place where the same one had been replaced just before: for the same ticket within 30 days, or by
-- a row alike but for its number and day within 7, where it tells what was found or how long it took.    Days.    No parameters.
-- A place is told by its reference, or where the module holds one such part alone.
with only_one as (
    select distinct serial, part_type
    from modules
    join parts_list on (parts_list.family is null or parts_list.family = modules.family)
                   and parts_list.module_type = modules.module_type
                   and (parts_list.board_era is null or parts_list.board_era = modules.board_era)
    group by serial, part_type
    having max(quantity) = 1
),
placed as (
    select repairs.*, coalesce(serial, concat_ws(' ', desk, position), '') as unit, upper(trim(ref)) as place,
           coalesce(quantity, 1) as number
    from repairs
    left join only_one using (serial, part_type)
    where action = 'replace' and part_type is not null and (ref is not null or only_one.serial is not null)
)
select later.source_file, later.source_row,
       format('{} replaced {} of {} on {}, and {} had on {}', later.repair, concat_ws(' ', later.part_type, later.ref),
              later.unit, later.done_on, earlier.repair, earlier.done_on) as said
from placed as later
join placed as earlier
  on earlier.unit = later.unit and earlier.part_type = later.part_type and earlier.place is not distinct from later.place
 and (earlier.done_on, earlier.source_row) < (later.done_on, later.source_row)
 and (earlier.ticket = later.ticket and later.done_on - earlier.done_on <= 30
      or earlier.ticket is not distinct from later.ticket and later.done_on - earlier.done_on <= 7
         and later.unit <> '' and (later.finding is not null or later.bench_minutes is not null)
         and earlier.number = later.number and earlier.finding is not distinct from later.finding
         and earlier.cause is not distinct from later.cause and earlier.as_found is not distinct from later.as_found
         and earlier.planned is not distinct from later.planned
         and earlier.bench_minutes is not distinct from later.bench_minutes)
qualify row_number() over (partition by later.repair order by earlier.done_on desc, earlier.repair) = 1
order by later.source_file, later.source_row

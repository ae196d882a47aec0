-- One row: a module said to sit today in a slot, where the last that its fitments tell is another or that it came out.
-- Days; of a day on which it came out and went in, it went in last.    No parameters.
with moves as (
    select serial, fitted_on as moved_on, true as is_in, desk, position from fitments
    union all
    select serial, removed_on, false, desk, position from fitments where removed_on is not null
    union all
    select old_serial, fitted_on, false, desk, position from fitments where old_serial is not null
),
last_moves as (
    from moves
    qualify row_number() over (partition by serial order by moved_on desc, is_in desc, desk, position) = 1
)
select source_file, source_row,
       format('{} is said to sit in {} {}, and {} {} {} on {}', serial, modules.desk, modules.position,
              if(is_in, 'went into', 'came out of'), last_moves.desk, last_moves.position, moved_on) as said
from modules
join last_moves using (serial)
where modules.desk is not null and modules.position is not null
  and not (is_in and modules.desk = last_moves.desk and modules.position = last_moves.position)
order by source_file, source_row

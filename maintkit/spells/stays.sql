-- A module's stay in a slot under one power regime and one number of re-caps, inside the recorded window.
-- grain: serial, entry    entry, exit: hours on the module's clock, spell (entry, exit]    to_on is exclusive
-- stay: 1, 2, … in that order    next_entry: of the module's next stay, beyond all clocks where there is none
-- $whole_desk: text, stands for the slot of a desk that has none
create or replace temp table stays as
with windows as (
    select sittings.serial, desk, position, greatest(from_on, records_from) as from_on,
           least(to_on, coalesce(scrapped_on, to_on)) as to_on
    from sittings
    left join scrapped on scrapped.serial = sittings.serial
    where least(to_on, coalesce(scrapped_on, to_on)) > greatest(from_on, records_from)
),
even as (
    select serial, windows.desk, position, greatest(windows.from_on, regimes.from_on) as from_on,
           least(windows.to_on, regimes.to_on) as to_on
    from windows
    join regimes on regimes.desk = windows.desk and regimes.from_on < windows.to_on and regimes.to_on > windows.from_on
),
cuts as (
    select serial, desk, position, from_on, to_on
    from even
    union all
    select even.serial, desk, position, done_on, to_on
    from even
    join re_caps on re_caps.serial = even.serial and done_on > from_on and done_on < to_on
),
pieces as (
    select serial, desk, position, from_on,
           least(to_on, lead(from_on, 1, to_on) over (partition by serial order by from_on)) as to_on
    from cuts
),
clocked as (
    -- a stay lies within one mark, so both its ends are read off the same
    select pieces.*,
           clock_hours(before_hours, clock_marks.from_on, clock_marks.to_on, weekly_hours, pieces.from_on) as entry,
           clock_hours(before_hours, clock_marks.from_on, clock_marks.to_on, weekly_hours, pieces.to_on) as exit
    from pieces
    join clock_marks on clock_marks.serial = pieces.serial and pieces.from_on >= clock_marks.from_on
                    and pieces.from_on < clock_marks.next_on
),
counted as (
    select clocked.*, rework_cycles
    from clocked
    join re_caps on re_caps.serial = clocked.serial and clocked.from_on >= re_caps.done_on
                and clocked.from_on < re_caps.next_on
)
select row_number() over (order by serial, entry) as stay, serial, desk, position, bay, zone, room,
       -- a whole desk is no module among those of other desks
       if(position = $whole_desk, known_modules.family, desks.family) as family,
       if(position = $whole_desk and exists (from sittings where position <> $whole_desk), null, coupling) as coupling,
       module_type, board_era, origin, coalesce(use_weight, 1) as use_weight, air_c, rework_cycles,
       from_on, to_on, entry, exit, exit - entry as exposure_hours, age_known,
       lead(entry, 1, 9223372036854775807) over (partition by serial order by entry) as next_entry
from counted
join desks using (desk)
left join positions using (desk, position)
join known_modules using (serial)
where exit > entry
order by serial, entry

-- A module sitting in a slot, one row per unbroken sitting, known to the end of the last recorded day.
-- grain: serial, from_on    to_on is exclusive    $record_end: date, last day of the records
-- $whole_desk: text, stands for the slot of a desk that has none
-- work_from, work_to: work on the module on these days, both inclusive, belongs to this sitting: from the day after it was
-- fitted (from that day where it sat nowhere before) to the day it is fitted again
-- A slot taken out of use ends the sitting in it.
-- On a desk without fitments (with an entry, where others have some) each slot stands for what sits in it, there since the desk's records began: for the modules that
-- are said to sit there today, else for one named desk/position.
-- Fittings without one removal and without a list of slots are a list of swaps alone: a slot that entries or modules name stands
-- for what sat in it until its first swap, or for the module that is said to sit there today where it never had one; and the next
-- module of a kind in a slot ends the sitting of the one before it.
-- Work that names the module it put in says so too: from that day on it sits there, and what sat there does not.
create or replace temp table sittings as
with swaps as (
    select put_in as serial, desk, position, done_on as fitted_on, old_serial,
           repair = first_value(repair) over (partition by put_in order by done_on desc, repair desc) as is_last_of_it,
           repair = first_value(repair) over (partition by desk, position order by done_on desc, repair desc) as is_last_here
    from (select repair, put_in, done_on, repairs.serial as old_serial, coalesce(repairs.desk, tickets.desk) as desk,
                 coalesce(repairs.position, tickets.position) as position
          from repairs
          left join tickets on tickets.ticket = repairs.ticket
          where put_in is not null and done_on <= $record_end)
    where position is not null and serial is distinct from old_serial
),
told_stays as (
    select serial, desk, position, fitted_on, removed_on, old_serial from fitments
    union all
    select swaps.serial, swaps.desk, swaps.position, swaps.fitted_on, null, coalesce(max(swaps.old_serial), if(count(*) = 1, min(fitments.serial), null))
    from swaps
    left join fitments on fitments.desk = swaps.desk and fitments.position = swaps.position
                       and fitments.fitted_on < swaps.fitted_on and removed_on is null
    where exists (from fitments)
    group by all
),
homes as (
    -- the place of a module today: that of the last swap, none for what sat there, else that of the list of modules
    select serial, module_type,
           case when is_last_here then moved.desk when moved.desk is null and taken.desk is null then modules.desk end as desk,
           case when is_last_here then moved.position when moved.desk is null and taken.desk is null then modules.position end as position
    from modules
    full join (from swaps where is_last_of_it) as moved using (serial)
    left join (select distinct desk, position from swaps) as taken on taken.desk = modules.desk and taken.position = modules.position
),
listed_slots as (
    select desk, position from positions
    union
    select desk, position from modules where desk is not null and position is not null
),
entries as (
    select desk, nullif(position, $whole_desk) as position, raised_on::date as day
    from tickets
    where raised_on::date <= $record_end
    union all
    select desk, if("where" is not distinct from 'rail', null, nullif(position, $whole_desk)), done_on
    from repairs
    where desk is not null and done_on <= $record_end
),
fitted_desks as (
    select distinct desk from told_stays where fitted_on <= $record_end
),
named_slots as (
    from listed_slots
    union
    select desk, position from (select desk, position from entries union from numbered_slots)
    where position is not null
      -- where one in five entries of a desk or fewer names a slot they do not tell where its faults are: own choice
      and desk not in (select desk from entries anti join listed_slots using (desk) group by desk
                       having count(position) < 0.2 * count(*))
),
slots as (
    select desk, position from named_slots
    union
    -- a desk with entries of which none, or hardly any, names a slot stands for one
    select desk, $whole_desk from entries
    where desk not in (select desk from named_slots) and desk not in (select desk from fitted_desks)
),
entered as (
    select desk, position, min(day) as first_on
    from (from entries union all select desk, position, null from modules)
    where desk is not null and position is not null
    group by all
),
unfitted as (
    select desk, position, min(fitted_on) as first_fitted_on
    from entered
    left join (from told_stays where fitted_on <= $record_end) using (desk, position)
    group by desk, position, first_on
    having coalesce(min(fitted_on) > first_on, true)
),
swaps_only as (
    select count(removed_on) = 0 and not exists (from positions) as alone from told_stays
),
fitted as (
    select serial, desk, position, fitted_on, removed_on, old_serial, lead(fitted_on) over of_its_kind as next_fitted_on,
           row_number() over of_its_kind = 1 as is_first
    from told_stays
    left join (select serial, module_type from modules) using (serial)
    -- of several put in on a day the last is the one that did not come out again
    left join (select distinct old_serial as serial, desk, position, fitted_on, true as passed
               from told_stays where old_serial is not null) using (serial, desk, position, fitted_on)
    where fitted_on <= $record_end
    window of_its_kind as (partition by desk, position, module_type order by fitted_on, passed, serial)
),
came_out as (
    select old_serial as serial, desk, position, fitted_on as out_on, is_first
    from fitted
    where old_serial <> serial
),
sat_before as (
    select serial, desk, position, out_on
    from came_out
    left join (select serial, min(fitted_on) as first_on from fitted group by serial) using (serial)
    where is_first and coalesce(first_on >= out_on, true)
    qualify row_number() over (partition by serial order by out_on, desk, position) = 1
),
given as (
    select fitted.serial, fitted.desk, fitted.position, fitted_on,
           least(removed_on, out_on, case when alone then next_fitted_on end) as removed_on, false as invented
    from fitted
    cross join swaps_only
    asof left join came_out on came_out.serial = fitted.serial and came_out.desk = fitted.desk
                           and came_out.position = fitted.position and fitted_on <= out_on
    union all
    select serial, desk, position, records_from, out_on, true
    from sat_before
    join desks using (desk)
    where records_from < out_on
    union all
    select coalesce(if(first_fitted_on is null, unmoved.serial, null), desk || '/' || position), desk, position, records_from,
           first_fitted_on, true
    from unfitted
    join desks using (desk)
    left join (from homes anti join told_stays using (serial) anti join came_out using (serial)) as unmoved
           using (desk, position)
    anti join sat_before using (desk, position)
    anti join (from slots where position = $whole_desk) as whole using (desk)
    cross join swaps_only
    where alone and exists (from fitted) and records_from < coalesce(first_fitted_on, $record_end::date + 1)
    union all
    select coalesce(homes.serial, desk || '/' || position), desk, position, records_from, null, true
    from slots
    join desks using (desk)
    left join homes using (desk, position)
    cross join swaps_only
    where desk not in (select desk from fitted_desks) and records_from <= $record_end
      -- beside desks that are followed one without an entry may be empty, and what a list of swaps alone leaves out is above
      and (not exists (from fitted) or (desk in (select desk from entries) and (not alone or position = $whole_desk)))
),
followed as (
    -- a module cannot sit in two slots: the later fitting ends the earlier
    select *, lead(fitted_on) over (
        partition by serial order by fitted_on, coalesce(removed_on, date '9999-12-31'), desk, position) as next_on
    from given
),
bounded as (
    select serial, desk, position, invented, records_from, fitted_on as from_on,
           least(coalesce(removed_on, date '9999-12-31'), coalesce(next_on, date '9999-12-31'),
                 coalesce(retired_on, date '9999-12-31'), coalesce(in_use_to + 1, date '9999-12-31'),
                 $record_end::date + 1) as to_on,
           coalesce(next_on < least(coalesce(removed_on, date '9999-12-31'), $record_end::date + 1), false)
               as overlapped
    from followed
    join desks using (desk)
    left join positions using (desk, position)
)
select serial, desk, position, from_on, to_on, records_from, invented, overlapped,
       from_on + case when row_number() over own = 1 then 0 else 1 end as work_from,
       lead(from_on, 1, date '9999-12-31') over own as work_to
from bounded
where to_on > from_on
window own as (partition by serial order by from_on)
order by serial, from_on

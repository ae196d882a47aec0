-- Every piece of work to the end of the records with its module: the serial given; else the module of its ticket, where the
-- work names no other slot; else the module in that slot that day, where the part's place on one parts list may choose between two (null if
-- none can be told). In a book without fitments a serial tells where its module sits in a slot today, where nothing else says the place, and what was scrapped.
-- Where a slot stands for its module, which sat there all along, a re-cap of the slot from before the records is that module's too.
-- of_slot: slot, rail or cable where the fault was none of a module's, else null
-- grain: repair    $record_end: date, last day of the records
create or replace temp table repairs_resolved as
with asked as (
    select repairs.*, exists (from fitments where fitted_on <= $record_end) or action = 'scrap'
                      or (position is null and ticket is null)
                      or exists (from sittings where sittings.serial = repairs.serial) as serials_tell
    from repairs
    where done_on <= $record_end
),
listed as (
    select distinct family, module_type, part_type
    from parts_list
),
occupants as (
    select repair, sittings.serial, sittings.from_on < done_on as since_before,
           listed.part_type is not null as lists_part
    from asked
    join (select *, invented and serial = desk || '/' || position as stands_for from sittings) as sittings
                  on sittings.desk = asked.desk and sittings.position = asked.position
                 and done_on between if(action = 're-cap' and stands_for, date '0001-01-01', sittings.from_on) and sittings.to_on
    join known_modules on known_modules.serial = sittings.serial
    left join listed on (listed.family is null or listed.family = known_modules.family) and listed.module_type = known_modules.module_type
                    and listed.part_type = asked.part_type
    where asked.serial is null or not serials_tell
),
likeliest as (
    select distinct repair, serial
    from occupants
    qualify rank() over (partition by repair order by lists_part desc, since_before desc) = 1
),
single as (
    select repair, min(serial) as serial
    from likeliest
    group by repair
    having count(*) = 1
)
select asked.repair, done_on, began_on,
       case when serials_tell and asked.serial is not null then known_modules.serial
            when asked.desk <> tickets_placed.desk or asked.position <> tickets_placed.position
            then coalesce(single.serial, tickets_placed.serial)
            else coalesce(tickets_placed.serial, single.serial) end as serial,
       coalesce(asked.desk, tickets_placed.desk) as desk, coalesce(asked.position, tickets_placed.position) as position,
       asked.desk is not null and asked.position is not null as names_slot,
       tickets_placed.ticket, asked.action, asked.part_type, kind, nullif(upper(trim(ref)), '') as ref,
       coalesce(quantity, 1) as quantity, cause,
       coalesce(as_found, 'not measured') as as_found,
       if(asked.planned is null, actions.planned, asked.planned = 'yes') as planned,
       -- work of a kind that is planned by default was not where it answers a report
       not if(asked.planned is null, actions.planned and asked.ticket is null, asked.planned = 'yes')
           and makes_fault <> 'never' as shows_fault,
       shows_fault and makes_fault = 'always' as shows_by_itself, mends, donor_serial, bench_minutes,
       "where" as of_slot
from asked
left join known_modules on known_modules.serial = asked.serial
left join tickets_placed on tickets_placed.ticket = asked.ticket
left join single on single.repair = asked.repair
join actions on actions.action = asked.action
left join part_types on part_types.part_type = asked.part_type
order by asked.repair

-- Every ticket of the recorded window with the module that sat in the slot that day (null where that cannot be told).
-- grain: ticket    raised_at: with the hour where one is given    $record_end: date, last day of the records
-- Every ticket of a desk for which one slot stands is of that.    $whole_desk: text, its name
-- A ticket that names no slot is of the one that all work of its number names, or in which the modules sat that day that this work names.
-- What was written after the last day is not known yet: a ticket closed (or restored, where nothing closed it) later has
-- no outcome.
-- Several modules in one slot: module_type picks; then the module the ticket's own work names; then the module that was
-- already in on the evening before over one fitted that day. Still several: the ticket stays with the slot.
create or replace temp table tickets_placed as
with answered as (
    select tickets.ticket, min(coalesce(repairs.position, sittings.position)) as position
    from tickets
    join (from repairs where done_on <= $record_end and coalesce(position <> $whole_desk, true)) as repairs
      on repairs.ticket = tickets.ticket and coalesce(repairs.desk = tickets.desk, true)
    left join sittings on sittings.serial = repairs.serial and sittings.desk = tickets.desk
                      and raised_on::date between from_on and to_on
    where tickets.position is null
    group by tickets.ticket
    having count(distinct coalesce(repairs.position, sittings.position)) = 1
),
asked as (
    select ticket, raised_on::date as raised_on, raised_on::timestamp as raised_at, desk,
           if(desk in (select desk from sittings where position = $whole_desk), $whole_desk,
              coalesce(tickets.position, answered.position)) as position,
           module_type,
           case when coalesce(closed_on, restored_on, raised_on)::date <= $record_end then outcome end as outcome,
           case when restored_on::date <= $record_end then restored_on::date end as restored_on,
           case when closed_on::date <= $record_end then closed_on::date end as closed_on, retired_on
    from tickets
    join desks using (desk)
    left join answered using (ticket)
    where raised_on::date between records_from and $record_end
),
named as (
    select distinct ticket, serial
    from repairs
    where ticket is not null and serial is not null and done_on <= $record_end
),
occupants as (
    select asked.ticket, sittings.serial, named.serial is not null as is_named,
           sittings.from_on < raised_on as since_before
    from asked
    join sittings on sittings.desk = asked.desk and sittings.position = asked.position
                 and raised_on between sittings.from_on and sittings.to_on
    join known_modules on known_modules.serial = sittings.serial
    left join named on named.ticket = asked.ticket and named.serial = sittings.serial
    where asked.module_type is null or known_modules.module_type is null
       or lower(asked.module_type) = lower(known_modules.module_type)
),
ranked as (
    select ticket, serial, 2 * is_named::integer + since_before::integer as likelihood
    from occupants
),
likeliest as (
    select ticket, serial
    from ranked
    qualify rank() over (partition by ticket order by likelihood desc) = 1
),
single as (
    select ticket, serial
    from likeliest
    qualify count(*) over (partition by ticket) = 1
)
select asked.ticket, raised_on, raised_at, desk, position, serial, outcome, restored_on, closed_on,
       raised_on <= coalesce(retired_on, raised_on) as in_window
from asked
left join single using (ticket)
order by asked.ticket

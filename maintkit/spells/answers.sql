-- Which ticket a piece of work answers, by its ticket number or, failing that, by module (or slot) and date.
-- grain: repair    found_by: 'ticket' or 'date'    no parameters
-- By date: unplanned work begun or done from the day the ticket was raised to the day it was closed (30 days where it never
-- was), on a ticket that may be a fault before one said to be none, nearest ticket first.
-- Where all that is known of a slot is what sits there today, work that names the slot answers by that, whatever its serial.
create or replace temp table answers as
with unclaimed as (
    select repair, unnest(list_distinct([least(began_on, done_on), done_on])) as on_day, serial, desk, position, names_slot
    from repairs_placed
    where ticket is null and not planned
),
today_alone as (
    select desk, position, true as known_today
    from sittings
    group by desk, position
    having bool_and(invented) and count(*) = 1
),
claiming as (
    select ticket, serial, desk, position, raised_on, raised_at, coalesce(closed_on, raised_on + 30) as until_on,
           coalesce(outcome, 'open') in ('fault found', 'open') as maybe_fault, known_today
    from tickets_placed
    left join today_alone using (desk, position)
),
candidates as (
    select repair, ticket, raised_at, maybe_fault
    from unclaimed
    join claiming on claiming.serial = unclaimed.serial and on_day between raised_on and until_on
    union all
    select repair, ticket, raised_at, maybe_fault
    from unclaimed
    join claiming on claiming.desk = unclaimed.desk and claiming.position = unclaimed.position
                 and on_day between raised_on and until_on
    where claiming.serial is null or unclaimed.serial is null or (names_slot and known_today)
),
nearest as (
    select repair, ticket
    from candidates
    qualify row_number() over (partition by repair order by maybe_fault desc, raised_at desc, ticket) = 1
)
select repair, ticket, 'ticket' as found_by from repairs_placed where ticket is not null
union all
select repair, ticket, 'date' as found_by from nearest
order by repair

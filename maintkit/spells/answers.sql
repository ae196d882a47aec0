-- Which ticket a piece of work answers, by its ticket number or, failing that, by module (or slot) and date.
-- grain: repair    found_by: 'ticket' or 'date'    no parameters
-- By date: unplanned work from the day the ticket was raised to the day it was closed (30 days where it never was), on a
-- ticket that may be a fault before one said to be none, nearest ticket first.
create or replace temp table answers as
with unclaimed as (
    select repair, done_on, serial, desk, position
    from repairs_placed
    where ticket is null and not planned
),
claiming as (
    select ticket, serial, desk, position, raised_on, raised_at, coalesce(closed_on, raised_on + 30) as until_on,
           coalesce(outcome, 'open') in ('fault found', 'open') as maybe_fault
    from tickets_placed
),
candidates as (
    select repair, ticket, raised_at, maybe_fault
    from unclaimed
    join claiming on claiming.serial = unclaimed.serial and done_on between raised_on and until_on
    union all
    select repair, ticket, raised_at, maybe_fault
    from unclaimed
    join claiming on claiming.desk = unclaimed.desk and claiming.position = unclaimed.position
                 and done_on between raised_on and until_on
    where claiming.serial is null or unclaimed.serial is null
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

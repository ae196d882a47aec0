-- Every ticket with what the work that answers it found out, and which of the tickets for one lasting fault stands
-- for it.
-- grain: ticket    evidence: 3 confirmed, 2 suspected, 1 work with unknown cause, 0 no unplanned work
-- root: the ticket that stands for the fault; the others in its row of reports carry its number    $record_end: date
-- A ticket that nobody closed is open to its last work; without work to that day if a fault was found, else to the end.
create or replace temp table ticket_evidence as
with worked as (
    select answers.ticket,
           max(case when planned then 0 when cause = 'confirmed' then 3 when cause = 'suspected' then 2 else 1 end)
               as evidence, max(done_on) as last_work_on
    from answers
    join repairs_placed using (repair)
    group by answers.ticket
),
judged as (
    select tickets_placed.ticket, raised_on, tickets_placed.serial, desk, position, in_window,
           coalesce(evidence, 0) as evidence,
           symptom_key, coalesce(module_type, '') as module_type, coalesce(position, '') as slot,
           case when outcome in ('not the desk', 'no fault found') then outcome
                when outcome = 'fault found' or evidence >= 2 then 'fault'
                else 'open' end as base_class,
           coalesce(closed_on, restored_on, last_work_on,
                    case when outcome = 'fault found' then raised_on else $record_end::date end) as until_on
    from tickets_placed
    left join known_modules on known_modules.serial = tickets_placed.serial
    left join worked on worked.ticket = tickets_placed.ticket
    left join ticket_words on ticket_words.ticket = tickets_placed.ticket
),
overlapping as (
    select *, raised_on <= max(until_on) over (
        partition by desk, slot, module_type, symptom_key order by raised_on, ticket
        rows between unbounded preceding and 1 preceding) as again
    from judged
    where base_class in ('fault', 'open') and symptom_key is not null
),
runs as (
    select *, count(*) filter (where not coalesce(again, false)) over (
        partition by desk, slot, module_type, symptom_key order by raised_on, ticket rows unbounded preceding) as run
    from overlapping
),
reports as (
    select ticket, max(evidence) over together as evidence,
           first_value(ticket) over (
               partition by desk, slot, module_type, symptom_key, run order by base_class = 'open', raised_on, ticket) as root
    from runs
    window together as (partition by desk, slot, module_type, symptom_key, run)
    qualify count(*) over together > 1
)
select judged.ticket, raised_on, serial, desk, position, in_window, base_class, symptom_key,
       coalesce(reports.evidence, judged.evidence) as evidence, coalesce(root, judged.ticket) as root
from judged
left join reports on reports.ticket = judged.ticket
order by judged.ticket

-- Everything that happened to a desk: tickets, and unplanned work nobody raised a ticket for (one a module and day).
-- grain: event_id    root: the event that stands for the fault    no parameters
create or replace temp table events as
with unasked as (
    select coalesce(serial, desk || chr(31) || coalesce(position, '')) as unit, done_on, repair, serial, desk,
           position, in_window,
           case cause when 'confirmed' then 3 when 'suspected' then 2 else 1 end as evidence
    from repairs_placed
    anti join answers using (repair)
    where not planned and in_records and action in ('replace', 'clean', 're-solder', 'bridge track', 'adjust')
),
found_at_work as (
    select 'repair ' || min(repair) as event_id, done_on, any_value(serial) as serial, arg_min(desk, repair) as desk,
           arg_min(position, repair) as position, bool_and(in_window) as in_window, max(evidence) as evidence,
           list(repair) as repairs
    from unasked
    group by unit, done_on
)
select ticket as event_id, 'ticket' as source, raised_on as happened_on, serial, desk, position, in_window,
       base_class, evidence,
       root, symptom_key, null::varchar[] as repairs
from ticket_evidence
union all
select event_id, 'repair', done_on, serial, desk, position, in_window, 'fault', evidence,
       event_id, null, repairs
from found_at_work
order by event_id

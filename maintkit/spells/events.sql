-- Everything that happened to a desk: tickets, and unplanned work nobody raised a ticket for (one a module and day).
-- grain: event_id    root: the event that stands for the fault    no parameters
create or replace temp table events as
with found_at_work as (
    select event_id, done_on, serial, desk, position, bool_and(in_window) over together as in_window,
           max(evidence) over together as evidence
    from unticketed_work
    window together as (partition by event_id)
    qualify row_number() over (partition by event_id order by repair) = 1
)
select ticket as event_id, 'ticket' as source, raised_on as happened_on, serial, desk, position, in_window,
       base_class, evidence, root, symptom_key
from ticket_evidence
union all
select event_id, 'repair', done_on, serial, desk, position, in_window, 'fault', evidence, event_id, null
from found_at_work
order by event_id

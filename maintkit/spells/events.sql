-- Everything that happened to a desk: tickets, and unplanned work nobody raised a ticket for (one a module and day).
-- grain: event_id    root: the event that stands for the fault    unit: the module, else the slot    no parameters
create or replace temp table events as
with found_at_work as (
    select event_id, done_on, serial, desk, position, of_slot, bool_and(in_window) over together as in_window
    from unticketed_work
    window together as (partition by event_id)
    qualify row_number() over (partition by event_id order by repair) = 1
),
together as (
    select ticket as event_id, 'ticket' as source, raised_on as happened_on, serial, desk, position, in_window,
           base_class, root, symptom_key, decided_on, as_report, of_slot
    from ticket_evidence
    union all
    select event_id, 'repair', done_on, serial, desk, position, in_window,
           if(of_slot is null, 'fault', 'slot or supply'), event_id, null, done_on, false, of_slot
    from found_at_work
)
select *, coalesce(serial, desk || chr(31) || position) as unit
from together
order by event_id

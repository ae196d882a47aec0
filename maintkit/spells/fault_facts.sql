-- Tickets and ticketless unplanned repairs with what they turned out to be.
-- grain: event_id    time: module clock, whole hours    counts: a fresh fault inside the recorded window
-- decided_on: the day it was known what it was, null where that is not known    no parameters
-- A fault on the first day of a stay has no spell behind it: it is put at the end of that day.
create or replace temp table fault_facts as
with work_found as (
    -- the first replacement of a named part, else the first replacement, else the first other work
    select event_id, action, case when action = 'replace' then part_type end as part_type,
           case when action = 'replace' and part_type is not null then kind end as kind,
           sum(bench_minutes) over (partition by event_id) as bench_minutes,
           bool_or(not planned and cause = 'confirmed') over (partition by event_id) as confirmed
    from event_work
    join repairs_placed using (repair)
    qualify row_number() over (partition by event_id order by action <> 'replace', part_type is null, done_on, repair) = 1
),
latest as (
    select event_id, return_of
    from returns
    qualify row_number() over (partition by event_id order by done_on desc, return_of desc) = 1
),
classed as (
    select events.*, return_of,
           case when base_class in ('fault', 'slot or supply', 'open') and root <> event_id then 'report'
                when base_class = 'fault' and return_of is not null then 'return'
                else base_class end as class
    from events
    left join latest using (event_id)
),
first_days as (
    -- nothing before it that day: the module came in, or the records began
    select opened.serial, opened.from_on
    from stays as opened
    anti join stays as before on before.serial = opened.serial and before.to_on = opened.from_on
),
timed as (
    select event_id, classed.serial, happened_on,
           happened_on + case when first_days.serial is null then 0 else 1 end as timed_on
    from classed
    left join first_days on first_days.serial = classed.serial and first_days.from_on = happened_on
    where classed.serial is not null
),
clocked as (
    select timed.*, clock_hours(before_hours, from_on, to_on, weekly_hours, timed_on) as time
    from timed
    left join clock_marks on clock_marks.serial = timed.serial and timed_on >= from_on and timed_on < next_on
),
cycled as (
    select event_id, time, rework_cycles
    from clocked
    left join re_caps on re_caps.serial = clocked.serial and happened_on > done_on and happened_on <= next_on
),
confirmed as (
    select desk, position, happened_on
    from classed
    join work_found using (event_id)
    where class in ('fault', 'return', 'slot or supply') and work_found.confirmed
),
intermittent as (
    select distinct event_id
    from classed
    join confirmed on confirmed.desk = classed.desk and confirmed.position = classed.position
                  and confirmed.happened_on > classed.happened_on and confirmed.happened_on <= classed.happened_on + 60
    where class = 'no fault found'
)
select event_id, source, happened_on, classed.serial, desk, position, module_type, rework_cycles, time, class,
       class = 'fault' and in_window as counts, in_window, decided_on, as_report, return_of,
       case when root <> event_id then root end as same_as, intermittent.event_id is not null as likely_intermittent,
       work_found.part_type, work_found.kind, work_found.action, symptom_key, bench_minutes,
       case when class = 'slot or supply' then of_slot end as of_slot
from classed
left join cycled using (event_id)
left join known_modules on known_modules.serial = classed.serial
left join work_found using (event_id)
left join intermittent using (event_id)
order by event_id

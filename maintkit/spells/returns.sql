-- Faults within $return_days (whole number) days of unplanned work on that module that was about the same thing.
-- grain: event_id, return_of    The same thing: the same reference; where either lacks one, the same part type; where
-- either lacks that, the same complaint. Work on the very day counts where it answered an earlier fault.
create or replace temp table returns as
with pairs as (
    select events.event_id, work_done.repair as return_of, done_on, work_done.ref, work_done.part_type,
           events.symptom_key = work_done.symptom_key as same_complaint
    from events
    join work_done on work_done.unit = events.unit
                  and stretch = date_diff('day', date '0001-01-01', happened_on) // ($return_days::integer + 1)
                  and done_on between happened_on - $return_days::integer and happened_on
                  and work_done.event_id <> events.event_id
                  and (done_on < happened_on or answered_on < happened_on)
    where base_class = 'fault' and events.root = events.event_id
),
compared as (
    select pairs.event_id, return_of, done_on, same_complaint,
           bool_or(found.ref = pairs.ref) as same_ref, bool_or(found.part_type = pairs.part_type) as same_part
    from pairs
    left join event_work on event_work.event_id = pairs.event_id
    left join (select repair, ref, part_type from repairs_placed where not planned) as found
      on found.repair = event_work.repair
    group by all
)
select event_id, return_of, done_on
from compared
where coalesce(same_ref, same_part, same_complaint, false)
order by event_id, return_of

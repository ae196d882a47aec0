-- Faults on a module within $return_days (whole number) days of work on it that did not answer that same fault.
-- grain: event_id    return_of: the latest such piece of work
-- Work on the very day counts where it answered an earlier fault.
create or replace temp table returns as
select events.event_id, repair as return_of
from events
join work_done on work_done.serial = events.serial
              and stretch = date_diff('day', date '0001-01-01', happened_on) // ($return_days::integer + 1)
              and done_on between happened_on - $return_days::integer and happened_on
              and work_done.root is distinct from events.root
              and (done_on < happened_on or answered_on < happened_on)
where base_class = 'fault' and events.root = events.event_id
qualify row_number() over (partition by events.event_id order by done_on desc, repair desc) = 1
order by events.event_id

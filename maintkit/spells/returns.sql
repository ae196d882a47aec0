-- Faults on a module within $return_days (whole number) days of work on it that did not answer that same fault.
-- grain: event_id    return_of: the latest such piece of work
-- Work on the very day counts where it answered an earlier fault. A test or a scrapping is no work that could fail to
-- hold.
-- stretch: days are cut into stretches of $return_days + 1, so that only the work of one and the one before is compared
create or replace temp table returns as
with work_done as (
    select repair, repairs_placed.serial, done_on, root, happened_on as answered_on,
           unnest([0, 1]) + date_diff('day', date '0001-01-01', done_on) // ($return_days::integer + 1) as stretch
    from repairs_placed
    left join event_work using (repair)
    left join events using (event_id)
    where action not in ('test', 'scrap') and repairs_placed.serial is not null
)
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

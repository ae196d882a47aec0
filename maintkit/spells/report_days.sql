-- When the fault was reported that an unplanned renewal of parts answers, where that was before the work.
-- grain: repair    reported_hours: module clock, whole hours    no parameters
-- Only where the ticket is about the module that was worked on.
create or replace temp table report_days as
with reported as (
    select repair, repairs_placed.serial, happened_on as reported_on
    from repairs_placed
    join event_work using (repair)
    join events using (event_id)
    where action in ('replace', 're-cap') and not planned and repairs_placed.serial = events.serial
          and happened_on < service_on
)
select repair, reported_on, clock_hours(before_hours, from_on, to_on, weekly_hours, reported_on) as reported_hours
from reported
join clock_marks on clock_marks.serial = reported.serial and reported_on >= from_on and reported_on < next_on
order by repair

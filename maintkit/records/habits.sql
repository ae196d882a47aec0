-- One row: a habit of recording and a year, or a desk: how many entries it could show in, and in how many it did not.
-- Entries from the year in which the first desk's records begin up to $last_day.    $last_day: date
-- Work without a desk is of its ticket's. A report has work where a
-- repair has its number or, without one, its slot and days, and where it was made while another of its slot waited for work, as of a
-- fault told twice; one said to be none, or of the last thirty days, wants none yet.
with work as (
    select r.*, coalesce(r.desk, t.desk) as at_desk, coalesce(r.position, t.position) as at_position,
           t.raised_on as asked_on
    from repairs as r left join tickets as t on t.ticket = r.ticket
    where done_on <= $last_day
),
waited as (  -- how long the reports of a slot up to a day waited for work
    select at_desk as desk, at_position as position, asked_on,
           max(max(done_on)) over (partition by at_desk, at_position order by asked_on) as until_on
    from work where asked_on is not null group by at_desk, at_position, asked_on
),
reports as (from tickets where raised_on <= $last_day),
may_be_faults as (
    select raised_on, reports.desk, outcome, ticket in (select ticket from work where ticket is not null)
           or coalesce(raised_on <= until_on, false) or exists (
               from work
               where work.ticket is null and work.desk = reports.desk and work.position = reports.position
                     and done_on between raised_on and coalesce(closed_on, raised_on + 30)
           ) as is_worked
    from reports
    asof left join waited
        on waited.desk = reports.desk and waited.position = reports.position and waited.asked_on <= raised_on
    where coalesce(outcome, 'open') in ('fault found', 'open') and raised_on <= $last_day - 30 and exists (from work)
),
cells as (
    select year(done_on) as year, at_desk as desk, 'cause of unplanned work' as habit, coalesce(cause, 'unknown') = 'unknown' as missing
    from work where planned = 'no'
    union all
    select year(done_on), at_desk, 'serial of the module worked on', serial is null from work
    union all
    select year(done_on), at_desk, 'ticket of unplanned work', ticket is null from work where planned = 'no'
    union all
    select year(done_on), at_desk, 'state of a part replaced', as_found = 'not measured'
    from work join actions using (action) where renews <> ''
    union all
    select year(done_on), at_desk, 'place of a part replaced', ref is null from work where action = 'replace'
    union all
    select year(done_on), at_desk, 'bench minutes', bench_minutes is null from work
    union all
    select year(raised_on), desk, 'slot of the ticket', position is null from reports where coalesce(outcome, '') <> 'not the desk'
    union all
    select year(raised_on), desk, 'symptom', symptom is null from reports
    union all
    select year(raised_on), desk, 'impact on the session', impact is null from reports
    union all
    select year(raised_on), desk, 'outcome', outcome is null from reports
    union all
    select year(raised_on), desk, 'work on a report', not is_worked from may_be_faults
    union all
    select year(raised_on), desk, 'work on a report, or its outcome', not is_worked and coalesce(outcome, 'open') = 'open'
    from may_be_faults
)
select habit, year, desk, count(*) as entries, count(*) filter (missing) as missing
from cells
where year >= (select year(min(records_from)) from desks)
group by grouping sets ((habit, year), (habit, desk))
having year is not null or desk is not null
order by habit, year, desk

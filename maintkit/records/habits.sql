-- One row: a habit of recording and a year: how many entries it could show in, and in how many it did not.
-- Entries from the year in which the first desk's records begin up to $last_day.    $last_day: date
with cells as (
    select year(done_on) as year, 'cause of unplanned work' as habit, coalesce(cause, 'unknown') = 'unknown' as missing
    from repairs where planned = 'no' and done_on <= $last_day
    union all
    select year(done_on), 'serial of the module worked on', serial is null from repairs where done_on <= $last_day
    union all
    select year(done_on), 'ticket of unplanned work', ticket is null from repairs where planned = 'no' and done_on <= $last_day
    union all
    select year(done_on), 'state of a part replaced', as_found = 'not measured'
    from repairs join actions using (action) where renews <> '' and done_on <= $last_day
    union all
    select year(done_on), 'place of a part replaced', ref is null from repairs where action = 'replace' and done_on <= $last_day
    union all
    select year(done_on), 'bench minutes', bench_minutes is null from repairs where done_on <= $last_day
    union all
    select year(raised_on), 'slot of the ticket', position is null
    from tickets where coalesce(outcome, '') <> 'not the desk' and raised_on <= $last_day
    union all
    select year(raised_on), 'symptom', symptom is null from tickets where raised_on <= $last_day
    union all
    select year(raised_on), 'impact on the session', impact is null from tickets where raised_on <= $last_day
    union all
    select year(raised_on), 'outcome', outcome is null from tickets where raised_on <= $last_day
)
select habit, year, count(*) as entries, count(*) filter (missing) as missing
from cells
where year >= (select year(min(records_from)) from desks)
group by habit, year
order by habit, year

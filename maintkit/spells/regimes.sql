-- Hours a week each desk is switched on, one row per desk and unbroken regime.
-- grain: desk, from_on    to_on is exclusive    $hours_per_week: of a desk that says nothing
create or replace temp table regimes as
with changes as (
    select desk, date '0001-01-01' as from_on, coalesce(powered_hours_per_week, $hours_per_week) as weekly_hours
    from desks
    union all
    select desk, from_on, powered_hours_per_week
    from power
),
carried as (
    -- a change of air temperature alone leaves the hours as they were
    select desk, from_on,
           last_value(weekly_hours ignore nulls) over (partition by desk order by from_on) as weekly_hours
    from changes
    join desks using (desk)
),
changed as (
    select desk, from_on, weekly_hours,
           lag(weekly_hours) over (partition by desk order by from_on) as weekly_hours_before
    from (select desk, from_on, weekly_hours from carried)
)
select desk, from_on, lead(from_on, 1, date '9999-12-31') over (partition by desk order by from_on) as to_on,
       weekly_hours
from changed
where weekly_hours is distinct from weekly_hours_before
order by desk, from_on

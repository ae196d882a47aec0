-- Stretches over which a module's clock runs evenly, one row per stretch; between stretches it stands still.
-- grain: serial, from_on    before_hours: whole hours on the clock at from_on
-- to_on, next_on: the stretch ends, the next begins; both exclusive
-- $clock: 'powered' (a module in the store does not age), 'use' (powered x use_weight) or 'calendar'
create or replace temp table clock_marks as
with places as (
    select serial, desk, position, from_on, to_on
    from sittings
    union all
    select serial, first_desk, first_position, zero_on, first_on
    from known_modules
    where zero_on < first_on
),
powered as (
    select serial, greatest(places.from_on, regimes.from_on) as from_on, least(places.to_on, regimes.to_on) as to_on,
           weekly_hours * case when $clock = 'use' then coalesce(use_weight, 1) else 1 end as weekly_hours
    from places
    join regimes on regimes.desk = places.desk and regimes.from_on < places.to_on and regimes.to_on > places.from_on
    left join positions on positions.desk = places.desk and positions.position = places.position
    where $clock <> 'calendar'
),
marks as (
    select serial, from_on, to_on, weekly_hours
    from powered
    union all
    select serial, zero_on, date '9999-12-31', $hours_per_week
    from known_modules
    where $clock = 'calendar' and zero_on is not null
)
select serial, from_on, to_on, weekly_hours,
       lead(from_on, 1, date '9999-12-31') over (partition by serial order by from_on) as next_on,
       coalesce(sum(round(date_diff('day', from_on, to_on) * weekly_hours / 7)::bigint) over (
           partition by serial order by from_on rows between unbounded preceding and 1 preceding), 0)::bigint
           as before_hours
from marks
order by serial, from_on

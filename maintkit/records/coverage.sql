-- One row: a desk and a calendar month, from the day its records begin to the day it left service or $last_day.
-- Days of that month it was on record, and tickets raised on those days.    $last_day: date
with kept as (
    select desk, records_from as first_day, least(coalesce(retired_on, $last_day), $last_day) as last_day
    from desks
),
months as (
    select desk, first_day, last_day, unnest(generate_series(date_trunc('month', first_day)::timestamp,
                                                             last_day::timestamp, interval 1 month))::date as month
    from kept
    where first_day <= last_day
),
raised as (
    select desk, date_trunc('month', raised_on)::date as month, count(*) as tickets
    from tickets
    join kept using (desk)
    where raised_on between first_day and last_day
    group by all
)
select desk, month,
       date_diff('day', greatest(month, first_day), least((month + interval 1 month)::date, last_day + 1)) as days,
       coalesce(tickets, 0) as tickets
from months
left join raised using (desk, month)
order by desk, month

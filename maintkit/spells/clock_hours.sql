-- The reading of a module's clock on a day: whole hours since its own zero, at the start of that day.
-- From the clock mark in force: hours before it, then days at so many hours a week; flat once the mark is over.
-- Before the first mark the clock reads 0. Whole hours, so that ties stay ties.
create or replace temp macro clock_hours(before_hours, from_on, to_on, weekly_hours, day) as
    coalesce(before_hours + round(date_diff('day', from_on, least(day, to_on)) * weekly_hours / 7)::bigint, 0)

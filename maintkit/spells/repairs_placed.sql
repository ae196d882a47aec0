-- Every piece of work with the place its module had that day, or last had (bench work is done out of the desk).
-- grain: repair    hours: module clock, whole hours
-- service_on: that day, or the day the module had come out before it
-- A module moved on the very day of the work counts where it was that morning.    no parameters
create or replace temp table repairs_placed as
with earlier as (
    select repair, sittings.desk, sittings.position, least(done_on, sittings.to_on) as service_on
    from repairs_resolved
    asof join sittings on sittings.serial = repairs_resolved.serial and repairs_resolved.done_on > sittings.from_on
),
same_day as (
    select repair, sittings.desk, sittings.position, done_on as service_on
    from repairs_resolved
    join sittings on sittings.serial = repairs_resolved.serial and repairs_resolved.done_on = sittings.from_on
    anti join earlier using (repair)
),
placed as (
    select repair, desk, position, service_on from earlier
    union all
    select repair, desk, position, service_on from same_day
),
days as (
    select repair, repairs_resolved.serial, done_on, coalesce(service_on, done_on) as service_on
    from repairs_resolved
    left join placed using (repair)
),
done as (
    select days.*, clock_hours(before_hours, from_on, to_on, weekly_hours, done_on) as done_hours
    from days
    asof left join clock_marks on clock_marks.serial = days.serial and days.done_on >= clock_marks.from_on
),
served as (
    select repair, done.service_on, done_hours,
           clock_hours(before_hours, from_on, to_on, weekly_hours, service_on) as service_hours
    from done
    asof left join clock_marks on clock_marks.serial = done.serial and done.service_on >= clock_marks.from_on
),
housed as (
    select repairs_resolved.* exclude (desk, position), service_on, done_hours, service_hours,
           coalesce(placed.desk, repairs_resolved.desk) as desk,
           coalesce(placed.position, repairs_resolved.position) as position
    from repairs_resolved
    left join (select repair, desk, position from placed) as placed using (repair)
    left join served using (repair)
)
select repair, done_on, housed.serial, desk, position, service_on, done_hours, service_hours, ticket, action,
       part_type, kind,
       ref, quantity, cause, as_found, planned, donor_serial, bench_minutes,
       done_on >= coalesce(desks.records_from, known_modules.records_from, (select min(records_from) from desks))
           as in_records,
       service_on <= coalesce(retired_on, service_on) as in_window
from housed
left join desks using (desk)
left join known_modules on known_modules.serial = housed.serial
order by repair

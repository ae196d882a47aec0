-- Every piece of work with the slot that it names, else the place its module had that day, or last had (bench work is
-- done out of the desk).
-- grain: repair    hours: module clock, whole hours
-- service_on: that day, or the day the module had come out before it
-- Work on a slot, rail or cable is work on no module, whatever sits there.
-- A module moved on the very day of the work counts where it was that morning.    no parameters
create or replace temp table repairs_placed as
with placed as (
    select repairs_resolved.* exclude (serial, desk, position),
           case when of_slot is null then repairs_resolved.serial end as serial,
           if(names_slot, repairs_resolved.desk, coalesce(sittings.desk, repairs_resolved.desk)) as desk,
           if(names_slot, repairs_resolved.position, coalesce(sittings.position, repairs_resolved.position)) as position,
           coalesce(least(done_on, to_on), done_on) as service_on
    from repairs_resolved
    left join sittings on sittings.serial = repairs_resolved.serial and done_on between work_from and work_to
),
housed as (
    select placed.*,
           clock_hours(done.before_hours, done.from_on, done.to_on, done.weekly_hours, done_on) as done_hours,
           clock_hours(served.before_hours, served.from_on, served.to_on, served.weekly_hours, service_on)
               as service_hours
    from placed
    left join clock_marks as done on done.serial = placed.serial and done_on >= done.from_on and done_on < done.next_on
    left join clock_marks as served on served.serial = placed.serial and service_on >= served.from_on
                                   and service_on < served.next_on
)
select repair, done_on, began_on, housed.serial, desk, position, names_slot, service_on, done_hours, service_hours, ticket, action,
       part_type, kind,
       ref, quantity, cause, as_found, planned, shows_fault, shows_by_itself, mends,
       donor_serial, bench_minutes, of_slot,
       done_on >= coalesce(desks.records_from, known_modules.records_from, (select min(records_from) from desks))
           as in_records,
       service_on <= coalesce(retired_on, service_on) as in_window
from housed
left join desks using (desk)
left join known_modules on known_modules.serial = housed.serial
order by repair

-- Parts replaced one piece of work at a time (re-caps apart), on modules whose parts list holds that part.
-- grain: repair    counted_from: the strictest cause rule under which the part failed, 'returned' where it had just been
-- fitted, null where it was cut short    reported_on, reported_hours: when it failed, null where only the work tells
-- interval_censored: planned work found it failed or out of limit    named: told apart by its designator    no parameters
create or replace temp table replaced_parts as
with replaced as (
    select repair, serial, repairs_placed.part_type, ref, repairs_placed.quantity, inventory.quantity as held, done_on,
           done_hours, service_hours, donor_serial, in_records,
           case when planned then null when refitted.repair is not null then 'returned'
                else cause_rule_of(cause) end as counted_from, reported_on, reported_hours,
           planned and as_found in ('failed', 'out of limit') as interval_censored,
           ref is not null and repairs_placed.quantity = 1 as with_ref
    from repairs_placed
    join inventory using (serial, part_type)
    left join refitted using (repair)
    left join report_days using (repair)
    where action = 'replace'
),
told_apart as (
    -- designators hold only where they leave room for the parts replaced without one, unless that was all there are
    select serial, part_type,
           count(distinct ref) filter (where with_ref) + max(case when with_ref or quantity >= held then 0 else 1 end)
               <= any_value(held) as by_ref
    from replaced
    group by serial, part_type
)
select repair, serial, part_type, case when by_ref and with_ref then ref end as ref, quantity, done_on, done_hours,
       service_hours, donor_serial, in_records, counted_from, reported_on, reported_hours, interval_censored
from replaced
join told_apart using (serial, part_type)
order by repair

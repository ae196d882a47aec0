-- Parts of one stream leaving on a day, as many arriving in their stead.
-- grain: move (1, 2, … by stream and day)    parts: how many    parts_before: how many had left that stream earlier
-- As many as the module holds, replaced without a designator, are those with one too.
-- A day's replacements come first, by repair number, then its re-cap, which renews the whole stream.    no parameters
create or replace temp table moves as
with single as (
    select stream, seats, done_on, 0 as phase, repair,
           case when streams.ref is null or replaced_parts.ref is not null then replaced_parts.quantity else 1 end as asked,
           done_hours, service_hours,
           counted_from, reported_on, reported_hours, interval_censored, donor_serial, in_records
    from replaced_parts
    join streams on streams.serial = replaced_parts.serial and streams.part_type = replaced_parts.part_type
                and (streams.ref is not distinct from replaced_parts.ref
                     or replaced_parts.ref is null and replaced_parts.quantity >= streams.quantity)
),
renewed as (
    select stream, seats, done_on, repair, repairs_placed.quantity, done_hours, service_hours, in_records, planned,
           cause, as_found, reported_on, reported_hours,
           -- which parts a re-cap found bad is known only where it touched one kind of part, none with a designator
           count(*) over (partition by repair) = 1 as one_stream
    from repairs_placed
    join streams on streams.serial = repairs_placed.serial
                and (streams.part_type = repairs_placed.part_type
                     or repairs_placed.part_type is null and streams.kind = 'electrolytic')
    left join report_days using (repair)
    where action = 're-cap'
),
found as (
    select *, one_stream and planned and as_found in ('failed', 'out of limit') as interval_censored,
           case when one_stream and not planned then cause_rule_of(cause) end as counted_from
    from renewed
),
together as (
    select stream, seats, done_on, 1 as phase, repair, least(quantity, seats) as asked, done_hours, service_hours,
           counted_from, reported_on, reported_hours, interval_censored, null::varchar as donor_serial, in_records
    from found
    where interval_censored or counted_from is not null
    union all
    select stream, seats, done_on, 2, repair,
           case when interval_censored or counted_from is not null then seats - least(quantity, seats) else seats end,
           done_hours, service_hours, null, null, null, false, null, in_records
    from found
),
all_moves as (
    select * from single
    union all
    select * from together
    where asked > 0
),
counted as (
    select stream, repair, done_on, phase, done_hours, service_hours, least(asked, seats)::bigint as parts,
           asked - least(asked, seats) as beyond, counted_from, reported_on, reported_hours, interval_censored,
           donor_serial, in_records,
           coalesce(sum(least(asked, seats)) over (
               partition by stream order by done_on, phase, repair
               rows between unbounded preceding and 1 preceding), 0)::bigint as parts_before
    from all_moves
    order by stream, done_on, phase, repair
)
-- numbered as they come: a window over all of them at once would not leave memory
select row_number() over () as move, * exclude (phase)
from counted

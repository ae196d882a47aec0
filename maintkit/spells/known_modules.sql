-- Every module known, with the zero of its clock and whether that zero is the module's true beginning.
-- grain: serial    $clock: 'powered', 'use' or 'calendar'    $whole_desk: text, stands for the slot of a desk that has none
-- What stands for a whole desk is of no family but its own: it is no module like those of others. $supply_slots, $whole_slots: lists
-- of slots that are called so; a supply is of a type of its own, and a desk as a whole is of none.
-- A first fitting within 366 days of making starts the clock; an original made earlier is taken to have run in its
-- first desk since it was made; a bought module starts at its first fitting; a donor's earlier running is unknown.
-- A module of which only today's slot is known has no age there, whenever it was made: it may have come yesterday.
-- One that came out of a slot, or failed, before it was first put in had run before, nobody knows how long.
create or replace temp table known_modules as
with first_sitting as (
    select serial, arg_min(desk, from_on) as first_desk, arg_min(position, from_on) as first_position,
           min(from_on) as first_on, min(records_from) as records_from, bool_or(invented) as invented
    from sittings
    group by serial
),
only_type as (
    select family, min(module_type) as module_type
    from (select family, module_type from parts_list union select family, module_type from modules)
    group by family
    having count(distinct module_type) = 1
),
listed as (
    select serial, family, module_type, board_era, origin, made_on, rework_cycles_before
    from modules
    where exists (from fitments where fitted_on <= $record_end) or exists (from modules where position is not null)
),
described as (
    select serial,
           case when first_position = $whole_desk then first_desk else coalesce(listed.family, desks.family) end as family,
           case when not invented or listed.serial is not null then listed.module_type
                when first_position in (select unnest($supply_slots::varchar[])) then 'supply'
                when first_position not in (select unnest($whole_slots::varchar[])) then only_type.module_type end as module_type,
           board_era, origin, made_on, coalesce(rework_cycles_before, 0) as rework_cycles_before,
           first_desk, first_position, first_on, coalesce(invented, false) as invented,
           coalesce(first_sitting.records_from, (select min(records_from) from desks)) as records_from
    from listed
    full join first_sitting using (serial)
    left join desks on desks.desk = first_desk
    left join only_type on only_type.family = desks.family
),
seen_before as (
    select distinct serial
    from (select old_serial as serial, fitted_on as seen_on from fitments where old_serial <> serial
          union all
          select serial, done_on + 1 from repairs where action = 'replace' and planned is distinct from 'yes')
    join first_sitting using (serial)
    where seen_on <= first_on and not invented
),
judged as (
    select described.*, made_on >= first_on - 366 and not invented as made_near,
           made_on < first_on - 366 and coalesce(origin, 'original') = 'original' and not invented as ran_before,
           origin is distinct from 'donor' and not invented and seen_before.serial is null as may_be_new
    from described
    left join seen_before using (serial)
)
select serial, family, module_type, board_era, origin, made_on, rework_cycles_before, first_desk, first_position,
       first_on,
       records_from, invented, coalesce(ran_before, false) and $clock <> 'calendar' as age_assumed,
       case when $clock = 'calendar' and not invented then least(coalesce(made_on, first_on), first_on)
            when ran_before then made_on
            else first_on end as zero_on,
       case when invented then false
            when $clock = 'calendar' then made_on is not null or may_be_new
            else coalesce(made_near, false) or coalesce(ran_before, false)
                 or (may_be_new and (made_on is null or origin = 'bought')) end as age_known,
       case when invented then null when made_on is not null then made_on when may_be_new then first_on end as born_on
from judged
order by serial

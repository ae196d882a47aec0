-- Faults that follow a module through slots, or stay with a slot through modules, by one symptom or one kind of part; and reports, however
-- worded, of which nothing was found: no work but tests answers them, or no fault found was written down.
-- grain: pattern, unit (a module, or a slot and module type), told_by
-- the longest run of faults within three years (1,096 days)
-- usual_faults: how many of that sort a module of the type has in three years on the clock (26,298 h), over the whole
-- book
-- At least three faults, in two slots or through two modules.    no parameters
create or replace temp table slot_patterns as
with tested as (
    select event_id, bool_and(action in ('test', 'swap module')) and bool_or(action = 'test') as only_tested
    from event_work
    join repairs_placed using (repair)
    group by event_id
),
placed as (
    select event_id, happened_on, serial, desk, position, module_type, symptom_key, kind, class in ('fault', 'return') as is_fault,
           class = 'no fault found' or (only_tested and class in ('fault', 'return', 'open')) as is_nothing,
           desk || chr(31) || position as slot
    from fault_rows
    left join tested using (event_id)
    where serial is not null and position is not null
),
found as (
    select placed.*, symptom_key as word, 'symptom' as told_by from placed where is_fault and symptom_key is not null
    union all
    select placed.*, kind, 'part kind' from placed where is_fault and kind is not null
    union all
    select placed.*, 'nothing found', 'nothing found' from placed where is_nothing
),
usual as (
    select told_by, word, found.module_type, count(*) / any_value(hours) * 26298 as usual_faults
    from found
    join (select module_type, sum(exposure_hours) as hours from stays group by module_type) as watched
      on watched.module_type is not distinct from found.module_type
    group by told_by, word, found.module_type
),
grouped as (
    select 'follows the module' as pattern, serial as unit, slot as through, * from found
    union all
    select 'stays with the slot', slot || chr(31) || coalesce(module_type, ''), serial, * from found
),
possible as (
    select pattern, unit, told_by, word
    from grouped
    group by pattern, unit, told_by, word
    having count(*) >= 3 and min(through) < max(through)
),
runs as (
    -- each fault with what followed it within three years
    select pattern, unit, told_by, word, event_id, happened_on as first_on, count(*) over next_years as faults,
           max(happened_on) over next_years as last_on,
           min(through) over next_years < max(through) over next_years as several
    from grouped
    semi join possible using (pattern, unit, told_by, word)
    window next_years as (
        partition by pattern, unit, told_by, word order by happened_on
        range between current row and interval 1096 days following)
),
longest as (
    select *
    from runs
    where faults >= 3 and several
    -- a run of one symptom must not hide behind a longer one of a kind of part
    qualify row_number() over (
        partition by pattern, unit, told_by order by faults desc, first_on, word, event_id) = 1
),
described as (
    select pattern, unit, told_by, word, faults, first_on, last_on,
           string_agg(distinct serial, ', ' order by serial) as serials,
           arg_max({'desk': desk, 'position': position, 'module_type': module_type},
                   {'on': happened_on, 'id': grouped.event_id})
               as place
    from longest
    join grouped using (pattern, unit, told_by, word)
    where happened_on between first_on and last_on
    group by pattern, unit, told_by, word, faults, first_on, last_on
)
select place.desk as desk, place.position as position, place.module_type as module_type, pattern, serials, faults,
       first_on,
       last_on, described.word as symptom, described.told_by, usual_faults
from described
left join usual on usual.told_by = described.told_by and usual.word = described.word
               and usual.module_type is not distinct from described.place.module_type
order by pattern, faults desc, desk, position, module_type, serials, described.told_by, first_on, described.word

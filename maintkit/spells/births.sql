-- When the parts that arrived with a move began, on the module's clock; move 0 of a stream holds the parts it began
-- with.
-- grain: stream, move    born_hours: reading of the module's clock at the part's own zero
-- born_on: date, null unknown
-- Electrolytics of a board re-capped on days nobody wrote down have no age until a dated renewal. A part out of a donor
-- has no age, since what it had run there is not on this module's clock.    no parameters
create or replace temp table births as
with dated as (
    select distinct serial
    from repairs_placed
    join known_modules using (serial)
    where action = 're-cap' and done_on < records_from
),
first_parts as (
    select stream,
           streams.kind is not distinct from 'electrolytic' and rework_cycles_before > 0 and dated.serial is null as renewed_unseen,
           known_modules.born_on, known_modules.age_known
    from streams
    join known_modules on known_modules.serial = streams.serial
    left join dated on dated.serial = streams.serial
)
select stream, 0 as move, 0 as born_hours, case when not renewed_unseen then born_on end as born_on,
       age_known and not renewed_unseen as age_known
from first_parts
union all
select moves.stream, move, done_hours, case when donor_serial is null then done_on end,
       donor_serial is null and (known_modules.age_known or coalesce(done_on >= zero_on, false))
from moves
join streams using (stream)
join known_modules using (serial)
order by stream, move

-- Every module known and where it is at the end of the records.
-- grain: serial    in_service: it sits in a desk in use    $record_end: date, last day of the records
create or replace temp table roster as
with last_places as (
    select serial, arg_max({'desk': desk, 'position': position}, from_on) as place, max(from_on) as from_on
    from sittings
    where to_on > $record_end
    group by serial
),
left_behind as (
    select serial, arg_max({'desk': desk, 'position': position}, fitted_on) as place
    from fitments
    join desks using (desk)
    where coalesce(removed_on, date '9999-12-31') > $record_end and fitted_on <= $record_end
          and retired_on <= $record_end
    group by serial
),
bridged as (
    select serial, sum(quantity)::bigint as bridged_tracks
    from repairs_placed
    where action = 'bridge track' and serial is not null
    group by serial
),
cycles as (
    select serial, max(rework_cycles) as rework_cycles
    from re_caps
    group by serial
)
select serial, family, module_type, board_era, origin, made_on,
       case when scrapped_on is null then coalesce(last_places.place.desk, left_behind.place.desk) end as desk,
       case when scrapped_on is null then coalesce(last_places.place.position, left_behind.place.position) end
           as position,
       coalesce(cycles.rework_cycles, 0) as rework_cycles, coalesce(bridged_tracks, 0) as bridged_tracks,
       scrapped_on is null and last_places.place is null and left_behind.place is not null as retired_desk,
       scrapped_on, scrapped_on is null and last_places.place is not null as in_service
from known_modules
left join last_places using (serial)
left join left_behind using (serial)
left join bridged using (serial)
left join cycles using (serial)
left join scrapped using (serial)
order by serial

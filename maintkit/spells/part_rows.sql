-- A piece in one stay of its module, as a spell (entry, exit] of the part's own age in whole hours.
-- grain: piece, stay (and a hidden failure's own row)    from_on, to_on: the same as dates, to_on exclusive
-- is_last: the piece's last row; leaves: the piece leaves at exit, seen by the records    no parameters
-- window_hours: hours of the row inside the recorded window; less than exit - entry only where a hidden failure's
-- last proof of health is older than the records.
create or replace temp table part_rows as
with lives as (
    select piece, serial, weight, departed, born_hours, age_known, born_on, good_on, counted_from,
           coalesce(leaving.hidden, false) as hidden, arriving.done_on as arrived_on, leaving.done_on as left_on,
           coalesce(arriving.done_hours, 0) as from_hours,
           coalesce(leaving.service_hours, 9223372036854775807) as to_hours,
           greatest(coalesce(arriving.done_hours, born_hours), coalesce(good_hours, born_hours)) as good_hours
    from pieces
    join streams using (stream)
    join births on births.stream = pieces.stream and births.move = arrived
    left join (select move, done_on, done_hours from moves) as arriving on arriving.move = arrived
    left join (select move, done_on, service_hours, counted_from, hidden from moves) as leaving
           on leaving.move = departed
    left join known_good on known_good.move = departed
),
last_stays as (
    -- the stay a piece was last in, and whether the records saw it leave there
    select piece, stay as last_stay, stays.exit >= to_hours as is_seen
    from (select piece, serial, to_hours from lives) as ends
    asof join stays on stays.serial = ends.serial and ends.to_hours > stays.entry
),
within_stays as (
    select lives.* exclude (serial, hidden), stay, stay = last_stay as is_last, is_seen,
           hidden and is_seen as is_doubtful,
           greatest(stays.from_on, coalesce(arrived_on, stays.from_on)) as from_on,
           least(stays.to_on, coalesce(left_on, stays.to_on)) as to_on,
           greatest(stays.entry, from_hours) as entry_hours, least(stays.exit, to_hours) as exit_hours
    from lives
    join last_stays using (piece)
    join stays on stays.serial = lives.serial and stays.exit > from_hours and stays.entry < to_hours
),
certain as (
    select * replace (case when is_doubtful then least(to_on, coalesce(good_on, to_on)) else to_on end as to_on,
                      case when is_doubtful then least(exit_hours, good_hours) else exit_hours end as exit_hours)
    from within_stays
),
doubtful as (
    select piece, any_value(weight) as weight, any_value(departed) as departed, any_value(age_known) as age_known,
           any_value(born_on) as born_on, any_value(born_hours) as born_hours, max(stay) as stay, max(to_on) as to_on,
           min(coalesce(greatest(good_on, born_on), from_on)) as from_on, any_value(good_hours) as entry_hours,
           max(exit_hours) as exit_hours,
           sum(greatest(exit_hours - greatest(entry_hours, good_hours), 0)) as window_hours
    from within_stays
    where is_doubtful
    group by piece
)
select piece, stay, weight, departed, age_known, born_on, false as is_hidden, is_last and not is_doubtful as is_last,
       from_on, to_on, entry_hours - born_hours as entry, exit_hours - born_hours as exit,
       exit_hours - entry_hours as window_hours,
       is_last and is_seen and departed > 0 and not is_doubtful as leaves,
       case when is_last and is_seen and not is_doubtful then counted_from end as counted_from
from certain
where exit_hours > entry_hours
union all
select piece, stay, weight, departed, age_known, born_on, true, true, from_on, to_on, entry_hours - born_hours,
       exit_hours - born_hours, window_hours::bigint, true, null
from doubtful
where exit_hours > entry_hours
order by piece, entry

-- A piece in one stay of its module, as a spell (entry, exit] of the part's own age in whole hours.
-- grain: piece, stay (and an interval-censored failure's own row), in order of piece, entry
-- from_on, to_on: the same as dates, to_on exclusive    leaves: the piece leaves at exit, seen by the records
-- exposure_hours: hours of the row inside the recorded window; less than exit - entry only where an interval-censored failure's
-- last proof of health is older than the records.
-- Labels of the stay, names of the part and the cause rule are looked up by number afterwards.
-- A part that failed leaves on the day its fault was reported, where it was in by then and its module under watch;
-- else on the day of the work.
-- stay: of stays; part_code: of part_names; rank: 0 strict, 1 usual, 2 loose, 3 none, 4 returned
-- $cause_rule: 'strict', 'usual', 'loose'
create or replace temp table part_spells as
with departures as (
    -- is_seen: the module was in a slot on the records when the parts left it
    select move, done_on, service_hours, counted_from, interval_censored, stays.serial is not null as is_seen,
           reported_on, reported_hours, reporting.serial is not null as report_seen
    from moves
    join streams using (stream)
    left join stays on stays.serial = streams.serial and service_hours > stays.entry and service_hours <= stays.exit
    left join stays as reporting on reporting.serial = streams.serial and reported_hours > reporting.entry
                                and reported_hours <= reporting.exit
),
lives as (
    select piece, streams.serial, part_code, ref, weight, departed > 0 as departs, born_hours, age_known, born_on,
           good_on, leaving.counted_from,
           coalesce(report_seen and reported_hours > coalesce(arriving.done_hours, 0), false) as by_report,
           by_report or coalesce(leaving.is_seen, false) as is_seen,
           coalesce(leaving.interval_censored and leaving.is_seen, false) as is_doubtful,
           arriving.done_on as arrived_on, case when by_report then reported_on else leaving.done_on end as left_on,
           coalesce(left_on, scrapped_on) as ended_on, departed = 0 and in_service as stays_fitted,
           coalesce(arriving.done_hours, 0) as from_hours,
           coalesce(case when by_report then reported_hours else service_hours end, 9223372036854775807) as to_hours,
           greatest(coalesce(arriving.done_hours, born_hours), coalesce(good_hours, born_hours)) as good_hours
    from pieces
    join streams using (stream)
    join part_names using (part_type)
    join births on births.stream = pieces.stream and births.move = arrived
    left join (select move, done_on, done_hours from moves) as arriving on arriving.move = arrived
    left join departures as leaving on leaving.move = departed
    left join known_good on known_good.move = departed
    left join roster on roster.serial = streams.serial
),
within_stays as (
    select lives.* exclude (serial), stay, next_entry >= to_hours as is_last,
           greatest(stays.from_on, coalesce(arrived_on, stays.from_on)) as from_on,
           least(stays.to_on, coalesce(left_on, stays.to_on)) as to_on,
           greatest(stays.entry, from_hours) as entry_hours, least(stays.exit, to_hours) as exit_hours
    from lives
    join stays on stays.serial = lives.serial and stays.exit > from_hours and stays.entry < to_hours
),
certain as (
    select * replace (case when is_doubtful then least(to_on, coalesce(good_on, to_on)) else to_on end as to_on,
                      case when is_doubtful then least(exit_hours, good_hours) else exit_hours end as exit_hours),
           is_last and not is_doubtful as ends
    from within_stays
),
doubtful as (
    select piece, any_value(part_code) as part_code, any_value(ref) as ref, any_value(weight) as weight,
           any_value(age_known) as age_known, any_value(born_on) as born_on, any_value(ended_on) as ended_on,
           any_value(stays_fitted) as stays_fitted, any_value(born_hours) as born_hours, max(stay) as stay,
           max(to_on) as to_on, min(coalesce(greatest(good_on, born_on), from_on)) as from_on,
           any_value(good_hours) as entry_hours, max(exit_hours) as exit_hours,
           sum(greatest(exit_hours - greatest(entry_hours, good_hours), 0)) as window_hours
    from within_stays
    where is_doubtful
    group by piece
),
spells as (
    select piece, stay, part_code, ref, weight, age_known, born_on, ended_on, from_on, to_on,
           entry_hours - born_hours as entry, exit_hours - born_hours as exit, exit_hours - entry_hours as window_hours,
           false as interval_censored, ends and is_seen and departs as leaves,
           coalesce(case when ends and is_seen then cause_rank(counted_from) end, 3) as rank,
           ends and stays_fitted as still_fitted
    from certain
    where exit_hours > entry_hours
    union all
    select piece, stay, part_code, ref, weight, age_known, born_on, ended_on, from_on, to_on, entry_hours - born_hours,
           exit_hours - born_hours, window_hours::bigint, true, true, 3, stays_fitted
    from doubtful
    where exit_hours > entry_hours
)
select stay::integer as stay, part_code::integer as part_code, rank::tinyint as rank, ref, piece::integer as piece,
       born_on as fitted_on, ended_on, from_on, to_on, entry::integer as entry, exit::integer as exit,
       window_hours::integer as exposure_hours, rank <= cause_rank($cause_rule) as event, interval_censored,
       weight::integer as weight, age_known, coalesce(still_fitted, false) as still_fitted, leaves
from spells
order by piece, entry

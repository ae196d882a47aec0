-- What became of the parts, one row; parts are counted by the piece they left with.    no parameters
-- unplaced_failures: parts that failed but could not be put at a spell's end: no time since they were fitted, more
-- than the module holds, or outside the recorded stays.
with left_counts as (
    select coalesce(sum(weight) filter (where rank = 0), 0)::bigint as failures_strict,
           coalesce(sum(weight) filter (where rank <= 1), 0)::bigint as failures_usual,
           coalesce(sum(weight) filter (where rank <= 2), 0)::bigint as failures_loose,
           coalesce(sum(weight) filter (where interval_censored), 0)::bigint as hidden_failures,
           coalesce(sum(weight) filter (where leaves and not interval_censored and rank = 3), 0)::bigint as planned_censored
    from part_spells
),
asked_counts as (
    select coalesce(sum(parts + beyond), 0)::bigint as asked
    from moves
    where in_records and (interval_censored or counted_from <> 'returned')
),
part_counts as (
    select (select coalesce(sum(quantity), 0) from inventory)::bigint as parts_total,
           coalesce(sum(weight) filter (where not age_known), 0)::bigint as parts_age_unknown,
           coalesce(sum(weight), 0)::bigint as parts_watched
    from (select piece, any_value(weight) as weight, bool_and(age_known) as age_known from part_spells group by piece)
)
select left_counts.*, asked - failures_loose - hidden_failures as unplaced_failures, part_counts.*
from left_counts, asked_counts, part_counts

-- One row: a fitment of a module that began before it had left its slot before.
-- Days; a module may go into its next slot on the day it came out, and out it came too where another went in in its place.
-- In a list of swaps alone, without one removal and without a list of slots, the next module ends the stay of the one before.
-- No parameters.
with swaps_only as (
    select count(removed_on) = 0 and not exists (from positions) as alone from fitments
),
ended as (
    select fitments.*,
           case when alone then lead(fitted_on) over (partition by desk, position, module_type order by fitted_on, source_row) end
               as next_on
    from fitments
    cross join swaps_only
    left join (select serial, module_type from modules) using (serial)
),
stays as (
    select ended.*, coalesce(least(ended.removed_on, other.fitted_on, next_on), 'infinity'::date) as left_on
    from ended
    asof left join fitments as other on other.old_serial = ended.serial and other.desk = ended.desk
                                    and other.position = ended.position and ended.fitted_on <= other.fitted_on
),
earlier as (
    select *, max(left_on) over before_it as busy_until, arg_max(desk || ' ' || position, left_on) over before_it as sitting
    from stays
    window before_it as (partition by serial order by fitted_on, left_on, source_row
                         rows between unbounded preceding and 1 preceding)
)
select source_file, source_row,
       format('{} went into {} {} on {}, and had not come out of {}', serial, desk, position, fitted_on, sitting) as said
from earlier
where fitted_on < busy_until and left_on > fitted_on
order by source_file, source_row

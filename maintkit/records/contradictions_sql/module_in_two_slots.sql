-- One row: a fitment of a module that began before it had left its slot before.
-- A list of swaps alone, without one removal and without a list of slots, says no removals: the next stay of a module ends the one before.
-- Days; a module may go into its next slot on the day it came out, and out it came too where another went in in its place.
-- No parameters.
with stays as (
    select fitments.*, coalesce(least(fitments.removed_on, other.fitted_on), 'infinity'::date) as left_on
    from fitments
    asof left join fitments as other on other.old_serial = fitments.serial and other.desk = fitments.desk
                                    and other.position = fitments.position and fitments.fitted_on <= other.fitted_on
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
  and (exists (from positions) or exists (from fitments where removed_on is not null))
order by source_file, source_row

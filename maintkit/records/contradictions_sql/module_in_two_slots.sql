-- One row: a fitment of a module that began before it had left its slot before.
-- A list of swaps alone, without one removal and without a list of slots, says no removals: the next stay of a module ends the one before.
-- Days; a module may go into its next slot on the day it came out.    No parameters.
with earlier as (
    select *,
           max(coalesce(removed_on, 'infinity'::date)) over before_it as busy_until,
           arg_max(desk || ' ' || position, coalesce(removed_on, 'infinity'::date)) over before_it as sitting
    from fitments
    window before_it as (partition by serial order by fitted_on, source_row
                         rows between unbounded preceding and 1 preceding)
)
select source_file, source_row,
       format('{} went into {} {} on {}, and had not come out of {}', serial, desk, position, fitted_on, sitting) as said
from earlier
where fitted_on < busy_until and coalesce(removed_on, 'infinity'::date) > fitted_on
  and (exists (from positions) or exists (from fitments where removed_on is not null))
order by source_file, source_row

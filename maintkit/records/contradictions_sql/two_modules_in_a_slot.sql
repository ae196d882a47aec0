-- One row: a fitment that began while another module of the same type was still in the slot.
-- Days; a module may go in on the day the other came out, as it did where this one went in in its place.    No parameters.
-- In a list of swaps alone, without one removal and without a list of slots, the next module ends the stay of the one before.
with typed as (
    select fitments.*, modules.module_type,
           coalesce(least(fitments.removed_on, other.fitted_on), 'infinity'::date) as left_on
    from fitments
    join modules using (serial)
    asof left join fitments as other on other.old_serial = fitments.serial and other.desk = fitments.desk
                                    and other.position = fitments.position and fitments.fitted_on <= other.fitted_on
),
earlier as (
    select *,
           max(left_on) over before_it as busy_until,
           arg_max(serial, left_on) over before_it as sitting
    from typed
    window before_it as (partition by desk, position, module_type order by fitted_on, source_row
                         rows between unbounded preceding and 1 preceding)
)
select source_file, source_row,
       format('{} went into {} {} on {}, while {} was still in', serial, desk, position, fitted_on, sitting) as said
from earlier
where fitted_on < busy_until and left_on > fitted_on
  and (exists (from positions) or exists (from fitments where removed_on is not null))
order by source_file, source_row

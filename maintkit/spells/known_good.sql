-- The last time before planned work found it bad that a part was shown to be good, for parts that can be told apart.
-- grain: move    good_on: date    good_hours: module clock    no parameters
-- Proof: a capacitance of at least 80 % of the first measured value (of the print where there is none), or work that
-- found the part in limit and left it there. The 80 % line is common practice, no source.
create or replace temp table known_good as
with bad as (
    select move, moves.done_on, serial, part_type, ref
    from moves
    join streams using (stream)
    where interval_censored and seats = 1
),
proofs as (
    select serial, part_type, nullif(upper(trim(ref)), '') as ref, measured_on as good_on
    from readings
    where measure = 'capacitance' and value >= 0.8 * coalesce(baseline, nominal)
    union all
    select serial, part_type, ref, done_on
    from repairs_placed
    join actions using (action)
    where as_found = 'in limit' and renews = ''
),
latest as (
    select move, bad.serial, max(good_on) as good_on
    from bad
    join proofs on proofs.serial = bad.serial and proofs.part_type = bad.part_type and good_on < done_on
               and (proofs.ref = bad.ref or bad.ref is null)
    group by move, bad.serial
)
select move, good_on, clock_hours(before_hours, from_on, to_on, weekly_hours, good_on) as good_hours
from latest
left join clock_marks on clock_marks.serial = latest.serial and good_on >= from_on and good_on < next_on
order by move

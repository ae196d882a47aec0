-- One row: a reading whose unit, print or value looks mistyped.
-- Values in the reading's own unit; a power of ten is meant within a factor of 1.6.    No parameters.
-- A capacitor may truly read a tenth of its print, never ten times it; other measures may rise tenfold with age.
with usual as (
    select part_type, measure, mode(unit order by unit) as usual_unit, median(nominal) as usual_nominal
    from readings
    group by part_type, measure
),
compared as (
    select readings.*, usual_unit, usual_nominal,
           if(nominal > 0 and usual_nominal > 0, log10(nominal / usual_nominal), 0) as print_powers,
           if(measure = 'capacitance' and nominal > 0 and value > 0, log10(value / nominal), 0) as value_powers
    from readings
    join usual using (part_type, measure)
)
select source_file, source_row,
       case when unit <> usual_unit then
                format('{} {} of {} is in {}, and the others of its kind are in {}', measure, value, serial, unit, usual_unit)
            when abs(print_powers) >= 0.8 then
                format('{} of {} has a print of {} {}, and others of its kind {}', measure, serial, nominal, unit, usual_nominal)
            else
                format('{} of {} is {} {} at a print of {}', measure, serial, value, unit, nominal) end as said
from compared
where unit <> usual_unit
   or (abs(print_powers) >= 0.8 and abs(print_powers - round(print_powers)) <= 0.2)
   or ((value_powers >= 0.8 or value_powers <= -1.8) and abs(value_powers - round(value_powers)) <= 0.2)
order by source_file, source_row

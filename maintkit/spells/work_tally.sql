-- What became of the work, one row.    no parameters
with work_counts as (
    select count(*) as jobs, count(*) filter (where desk is null) as jobs_nowhere,
           count(*) filter (where in_records) as repairs,
           count(*) filter (where in_records and serial is null and of_slot is null) as work_without_serial,
           count(*) filter (where not in_records) as repairs_before_records,
           count(*) filter (where in_records and action = 'replace' and not planned and of_slot is null) as unplanned_replacements,
           count(*) filter (where in_records and action = 'replace' and not planned and of_slot is null and cause = 'unknown')
               as repairs_unknown_cause,
           count(*) filter (where in_records and action = 'replace' and not planned and of_slot is null and cause is null)
               as repairs_blank_cause,
           count(*) filter (where in_records and planned) as planned_work,
           count(*) filter (where in_records and planned and as_found in ('failed', 'out of limit'))
               as planned_found_bad,
           count(*) filter (where in_records and action = 'replace' and serial is not null and part_type is not null
                            and inventory.quantity is null) as replacements_not_on_a_parts_list
    from repairs_placed
    left join inventory using (serial, part_type)
),
link_counts as (
    select count(*) filter (where found_by = 'ticket') as linked_by_ticket,
           count(*) filter (where found_by = 'date') as linked_by_date
    from answers
)
select work_counts.*, link_counts.*
from work_counts, link_counts

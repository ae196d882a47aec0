-- What became of modules, tickets and faults, one row.    no parameters
with fault_counts as (
    select count(*) as events,
           count(*) filter (where source = 'ticket') as tickets,
           count(*) filter (where source = 'repair') as faults_without_ticket,
           count(*) filter (where class = 'fault') as faults,
           count(*) filter (where class = 'report') as reports,
           count(*) filter (where class = 'return') as returns,
           count(*) filter (where class = 'no fault found') as no_fault_found,
           count(*) filter (where class = 'not the desk') as not_the_desk,
           count(*) filter (where class = 'slot or supply') as slot_or_supply,
           count(*) filter (where class = 'open') as open,
           count(*) filter (where likely_intermittent) as likely_intermittent,
           count(*) filter (where serial is null) as events_without_module,
           count(*) filter (where as_report and counts) as reports_counted_as_faults,
           count(*) filter (where counts) as faults_counted
    from fault_facts
),
module_counts as (
    select count(*) as modules, count(*) filter (where not age_known) as modules_age_unknown,
           count(*) filter (where age_assumed) as modules_age_assumed,
           count(*) filter (where invented and serial <> first_desk || '/' || first_position and not exists (from fitments))
               as modules_by_slot,  -- known by today's slot alone, no swap being on record
           (select count(*) from sittings where overlapped) as sittings_overlapped,
           (select count(*) from numbered_slots semi join stays using (desk, position) anti join fitments using (desk, position)) as slots_by_number,
           (select count(*) from tickets) - (select count(*) from tickets_placed) as tickets_outside_records,
           (select coalesce(sum(exposure_hours), 0) from stays)::bigint as module_hours
    from known_modules
)
select fault_counts.*, module_counts.*
from fault_counts, module_counts

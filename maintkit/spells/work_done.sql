-- Unplanned work that could fail to hold, with the fault it answered, in each stretch of days in which it may tell a return.
-- grain: repair, stretch    unit: the module, else the slot    $return_days: whole number of days
-- Care that answers no ticket has no fault to hold off: every fault of a pot would be a return from the weekly clean.
-- Days are cut into stretches of $return_days + 1, so that only the work of one and of the one before need be compared.
create or replace temp table work_done as
select repair, coalesce(repairs_placed.serial, repairs_placed.desk || chr(31) || repairs_placed.position) as unit,
       done_on, action, part_type, ref, symptom_key, event_id, happened_on as answered_on,
       unnest([0, 1]) + date_diff('day', date '0001-01-01', done_on) // ($return_days::integer + 1) as stretch
from repairs_placed
join event_work using (repair)
join events using (event_id)
where shows_fault and mends and repairs_placed.of_slot is null
      and coalesce(repairs_placed.serial, repairs_placed.position) is not null


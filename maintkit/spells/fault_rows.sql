-- Faults with the labels of the module and the slot, and what the ticket said, its greeting and closing apart.
-- grain: event_id    no parameters
create or replace temp table fault_rows as
select event_id, source, happened_on, fault_facts.serial, fault_facts.desk, fault_facts.position, bay, zone, room,
       coalesce(known_modules.family, desks.family) as family, coupling, fault_facts.module_type, board_era, origin,
       coalesce(use_weight, 1) as use_weight, air_c, rework_cycles, time, class, counts, in_window, decided_on,
       as_report, return_of, same_as, likely_intermittent, part_type, kind, action, of_slot,
       alone as symptom, symptom_key, impact, minutes_lost,
       restored_on, closed_on, bench_minutes
from fault_facts
left join known_modules on known_modules.serial = fault_facts.serial
left join desks on desks.desk = fault_facts.desk
left join positions on positions.desk = fault_facts.desk and positions.position = fault_facts.position
left join tickets on tickets.ticket = event_id and source = 'ticket'
left join complaints on said = symptom
order by happened_on, event_id

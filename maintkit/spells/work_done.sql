-- Work that could fail to hold, with the fault it answered, in each stretch of days in which it may tell a return.
-- grain: repair, stretch    $return_days: whole number of days
-- Work that mends, or a swap, could fail to hold. Days are cut into stretches of $return_days + 1, so that only
-- the work of one and of the one before need be compared.
create or replace temp table work_done as
select repair, repairs_placed.serial, done_on, root, happened_on as answered_on,
       unnest([0, 1]) + date_diff('day', date '0001-01-01', done_on) // ($return_days::integer + 1) as stretch
from repairs_placed
join actions using (action)
left join event_work using (repair)
left join events using (event_id)
where (mends or action = 'swap module') and repairs_placed.serial is not null

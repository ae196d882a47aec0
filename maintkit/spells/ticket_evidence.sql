-- Every ticket with what it proved to be: what was written down, else what the unplanned work that answers it shows, else, where not even
-- that it is open was written, what the last work on it found where that says that nothing was, or that it was not the desk.
-- grain: ticket    base_class: 'fault', 'slot or supply', 'open', 'no fault found', 'not the desk'
-- A fault is of the slot or supply where all the work that shows it is; of_slot says of which.
-- root: the first ticket that reports the same fault; mended_on: first unplanned work that shows a fault
-- decided_on: the day it was known what it was, null where that is not known or not yet    as_report: counted unproved
-- A ticket ends at the first of its closing, its restoring and the last work on it; one with none of these takes in no
-- later report. A module swapped ends nothing: of a report that nothing else ended the next work that mends that module (or the
-- slot, where a module is not told) is its end, and an entry of that work that names no symptom is the same fault again. Before the first fault found and the first unplanned work on record, of its desk or of another in the
-- same list of tickets, nobody wrote down what a report proved to be, and each counts as a fault.
-- An entry that begins with the bench, or says see and a day or yesterday, tells again of the last report of its slot within 60 days before (own choice),
-- unless two symptoms are named: one fault.
-- A slot of which two lists tell on one day had one fault, told twice, unless two symptoms are named.
-- Work on a report answers others of the slot, raised two days before or after it at most and not after the work, of which nothing more was
-- written: the same fault, or the same that was none, unless two symptoms are named. $whole_desk: text, the slot that stands for a desk
create or replace temp table ticket_evidence as
with answered as (
    select answers.ticket, max(done_on) as last_work_on,
           min(done_on) filter (where shows_fault) as mended_on,
           max(done_on) filter (where outcome is not null) as nothing_on, max(outcome) as nothing,
           coalesce(bool_and(of_slot is not null) filter (where shows_fault), bool_and(of_slot is not null)) as beside_module,
           min(of_slot) as of_slot, max(done_on) filter (where action = 'swap module') as swapped_on
    from answers
    join repairs_placed using (repair)
    left join nothing_found using (repair)
    group by answers.ticket
),
swapped as (
    select ticket, serial, desk, position, swapped_on
    from answered
    join tickets_placed using (ticket)
    where mended_on is null and swapped_on is not null and coalesce(outcome, 'open') = 'open'
      and closed_on is null and restored_on is null
),
mending as (
    select repair, done_on, serial, desk, position from repairs_placed where shows_fault or action = 're-cap'
),
ends as (
    select swapped.ticket, repair, done_on
    from swapped
    join mending on mending.serial = swapped.serial and done_on >= swapped_on
    union all
    select swapped.ticket, repair, done_on
    from swapped
    join mending on mending.desk = swapped.desk and mending.position = swapped.position and done_on >= swapped_on
    where mending.serial is null or swapped.serial is null
),
ended as (
    select ticket, min(done_on) as done_on, arg_min(repair, (done_on, repair)) as repair from ends group by ticket
),
worked as (
    select answered.* replace (coalesce(ended.done_on, last_work_on) as last_work_on, coalesce(mended_on, ended.done_on) as mended_on)
    from answered
    left join ended using (ticket)
),
ending as (
    -- an entry that ends several of a slot goes with the last of them
    select answers.ticket, max_by(symptom_key, swapped_on) as symptom_key
    from ended
    join answers using (repair)
    join swapped on swapped.ticket = ended.ticket
    join ticket_words on ticket_words.ticket = ended.ticket
    group by answers.ticket
),
listed as (
    select distinct desk, coalesce(source_file, '') as list from tickets
),
first_told as (
    select desk, min(raised_on) as day from tickets_placed where outcome = 'fault found' group by desk
    union all
    select coalesce(tickets_placed.desk, repairs_placed.desk), min(done_on)
    from repairs_placed
    left join answers using (repair)
    left join tickets_placed on tickets_placed.ticket = answers.ticket
    where not planned and in_records
    group by all
),
told as (
    -- work of no known desk may be of any
    select listed.desk, min(day) as told_from
    from listed
    join listed as beside using (list)
    join first_told on first_told.desk = beside.desk or first_told.desk is null
    group by listed.desk
),
by_itself as (
    select tickets_placed.ticket, raised_on, raised_at, tickets_placed.serial, desk, position, in_window, symptom_key,
           coalesce(known_modules.module_type, '') as module_type, coalesce(position, '') as slot, mended_on,
           beside_module, of_slot,
           closed_on, restored_on, last_work_on, if(outcome is null and nothing_on = last_work_on, nothing, null) as found,
           outcome is null and mended_on is null and found is null
               and raised_on < coalesce(told_from, date '9999-12-31') as as_report,
           case when outcome in ('not the desk', 'no fault found') then outcome
                when outcome = 'fault found' or mended_on is not null or as_report then 'fault'
                else coalesce(found, 'open') end as base_class,
           least(closed_on, restored_on, last_work_on) as until_on,
           base_class = 'open' and outcome is null and until_on is null and position <> $whole_desk as is_left
    from tickets_placed
    left join told using (desk)
    left join known_modules on known_modules.serial = tickets_placed.serial
    left join worked on worked.ticket = tickets_placed.ticket
    left join ticket_words on ticket_words.ticket = tickets_placed.ticket
),
beside as (
    select passed.ticket, worked.ticket as of_ticket, worked.base_class as proved, worked.mended_on,
           worked.beside_module, worked.of_slot, coalesce(worked.symptom_key, worked.ticket) as of_key,
           coalesce(own.symptom = its.symptom, true) as is_same
    from by_itself as passed
    join by_itself as worked on worked.desk = passed.desk and worked.position = passed.position
                            and worked.module_type = passed.module_type and worked.base_class <> 'open'
                            and worked.raised_on between passed.raised_on - 2 and passed.raised_on + 2
                            and if(worked.base_class = 'fault', worked.mended_on, worked.last_work_on) >= passed.raised_on
    left join symptom_words as own on own.ticket = passed.ticket
    left join symptom_words as its on its.ticket = worked.ticket
    where passed.is_left and (is_same or proved = 'fault')
    qualify row_number() over (
        partition by passed.ticket order by proved = 'fault' desc, is_same desc, abs(worked.raised_on - passed.raised_on),
        worked.raised_at, worked.ticket) = 1
),
judged as (
    select by_itself.* replace (coalesce(proved, base_class) as base_class,
                                coalesce(by_itself.mended_on, beside.mended_on) as mended_on,
                                coalesce(by_itself.beside_module, beside.beside_module) as beside_module,
                                coalesce(by_itself.of_slot, beside.of_slot) as of_slot)
    from by_itself
    left join beside using (ticket)
),
answered_together as (
    select ticket, of_key, ticket <> first_value(ticket) over (
        partition by of_ticket order by raised_at, ticket) as is_later
    from (
        select ticket, of_ticket, of_key from beside where is_same and proved = 'fault'
        union
        select of_ticket, of_ticket, of_key from beside where is_same and proved = 'fault'
    )
    join judged using (ticket)
),
in_two_lists as (
    select desk, position from tickets group by all having min(source_file) <> max(source_file)
),
told_twice as (
    select ticket, first_value(ticket) over told as first_told,
           first_value(coalesce(symptom_key, ticket)) over told as first_key, symptom_words.symptom as named,
           first_value(symptom_words.symptom) over told as first_named
    from judged
    join tickets using (ticket)
    semi join in_two_lists on in_two_lists.desk = tickets.desk and in_two_lists.position = tickets.position
    left join symptom_words using (ticket)
    where base_class in ('fault', 'open')
    window same_day as (partition by tickets.desk, tickets.position, judged.module_type, judged.raised_on),
           told as (same_day order by judged.raised_at, ticket)
    qualify min(source_file) over same_day <> max(source_file) over same_day
),
at_the_bench as (
    select ticket from tickets
    where regexp_matches(symptom, '^\W*((back )?(at|on|from) )?(the )?(work)?bench\b|^\W*(auf|an) der werkbank\b|^\W*werkbank\b', 'i')
       or regexp_matches(symptom, '\b(see|siehe) (the |vom )?\d{1,2}(st|nd|rd|th|[./-]\d|\.? [a-z]{3})', 'i')
       or regexp_matches(symptom, '\b(see|cf|as|like|siehe|vgl|wie)\.? (yesterday|the day before|gestern|vorgestern|am vortag)\W*$', 'i')
),
told_at_the_bench as (
    select bench.ticket, coalesce(report.symptom_key, report.ticket) as report_key
    from judged as bench
    semi join at_the_bench on at_the_bench.ticket = bench.ticket
    join judged as report on report.desk = bench.desk and report.position = bench.position and report.module_type = bench.module_type
                         and report.raised_on < bench.raised_on and report.raised_on >= bench.raised_on - 60
                         and report.base_class in ('fault', 'open')
    anti join at_the_bench as another on another.ticket = report.ticket
    left join symptom_words as own on own.ticket = bench.ticket
    left join symptom_words as its on its.ticket = report.ticket
    where bench.base_class in ('fault', 'open') and bench.position <> $whole_desk
    qualify row_number() over (partition by bench.ticket order by report.raised_at desc, report.ticket desc) = 1
        and coalesce(own.symptom = its.symptom, true)
),
sorted as (
    select judged.*, coalesce(report_key, first_key, of_key, judged.symptom_key, ending.symptom_key) as sort,
           coalesce(report_key is not null or first_told <> judged.ticket, is_later, false) as is_told
    from judged
    left join told_at_the_bench using (ticket)
    left join answered_together using (ticket)
    left join ending using (ticket)
    left join (select * from told_twice where coalesce(named = first_named, true)) using (ticket)
),
overlapping as (
    select *, is_told or raised_on <= max(until_on) over (
        partition by desk, slot, module_type, sort order by raised_at, ticket
        rows between unbounded preceding and 1 preceding) as again
    from sorted
    where base_class in ('fault', 'open') and sort is not null
),
runs as (
    select *, count(*) filter (where not coalesce(again, false)) over (
        partition by desk, slot, module_type, sort order by raised_at, ticket rows unbounded preceding) as run
    from overlapping
),
repeated as (
    select distinct desk, slot, module_type, sort, run from runs where again
),
reports as (
    select ticket, first_value(ticket) over (together order by raised_at, ticket) as root,
           bool_or(base_class = 'fault') over together as proved,
           min(mended_on) over together as mended_on, bool_and(as_report) over together as as_report,
           bool_and(beside_module) over together as beside_module, min(of_slot) over together as of_slot
    from runs
    semi join repeated using (desk, slot, module_type, sort, run)
    window together as (partition by desk, slot, module_type, sort, run)
)
select judged.ticket, raised_on, serial, desk, position, in_window, symptom_key, coalesce(root, judged.ticket) as root,
       case when not coalesce(proved, base_class = 'fault') then base_class
            when coalesce(reports.beside_module, judged.beside_module) then 'slot or supply' else 'fault' end
           as base_class,
       coalesce(reports.of_slot, judged.of_slot) as of_slot,
       coalesce(reports.as_report, judged.as_report) as as_report,
       case when base_class = 'open' then null
            when base_class <> 'fault' then coalesce(closed_on, restored_on, last_work_on)
            when judged.as_report then raised_on
            else least(coalesce(reports.mended_on, judged.mended_on), closed_on, restored_on) end as decided_on
from judged
left join reports on reports.ticket = judged.ticket
order by judged.ticket

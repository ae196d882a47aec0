-- Which event a piece of work belongs to: of several tickets for one fault, the first.
-- grain: repair    no parameters
create or replace temp table event_work as
select repair, root as event_id
from answers
join ticket_evidence using (ticket)
union all
select repair, event_id from unticketed_work
order by repair

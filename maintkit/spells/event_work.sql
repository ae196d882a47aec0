-- Which event a piece of work belongs to.
-- grain: repair    no parameters
create or replace temp table event_work as
select repair, ticket as event_id from answers
union all
select repair, event_id from unticketed_work
order by repair

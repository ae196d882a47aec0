-- Work that mends nothing and whose finding says that nothing was found, or that it was not the desk.
-- grain: repair    $said: texts of findings, $told: of each what it says of the outcome
create or replace temp table nothing_found as
with texts as (
    select unnest($said) as said, unnest($told) as outcome
)
select repair, outcome
from repairs
join actions using (action)
join texts on said = finding
where makes_fault = 'never'

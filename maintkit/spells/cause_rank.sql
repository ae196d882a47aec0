-- The three readings in order: what the strict one counts the usual one counts too, and the loose one counts all.
create or replace temp macro cause_rank(reading) as
    case reading when 'strict' then 0 when 'usual' then 1 when 'loose' then 2 end

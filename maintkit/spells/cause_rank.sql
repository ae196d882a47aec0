-- The three cause rules in order: what the strict one counts the usual one counts too, and the loose one counts all.
-- A part that came back at once after it was fitted is a return under each.
create or replace temp macro cause_rank(cause_rule) as
    case cause_rule when 'strict' then 0 when 'usual' then 1 when 'loose' then 2 when 'returned' then 4 end

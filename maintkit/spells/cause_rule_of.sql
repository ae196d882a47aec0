-- The strictest cause rule under which a part replaced for such a cause has failed: only an explicit unknown ends no
-- life under the usual one.
create or replace temp macro cause_rule_of(cause) as
    case cause when 'confirmed' then 'strict' when 'unknown' then 'loose' else 'usual' end

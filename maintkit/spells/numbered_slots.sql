-- Slots between those that entries name by number, and down to the first: a desk has a slot 7 where it has a 6 and an 8, though nothing
-- was ever written of it. Where only slots with faults counted, each would look as bad as those that failed.
-- Of desks without a list of slots or modules, where three numbers or more are written alike, or one or two no higher than another such desk has,
-- and half of them at least are of 1 to 200: others are of something else, as serials are (own choice). The numbers end where the next would lie further beyond than one in a hundred do that
-- are drawn evenly (a slip of the pen), and begin with the first named where that lies as far from 1: the spacing of uniform order statistics,
-- H. A. David and H. N. Nagaraja, Order Statistics (2003), from memory. On a desk that has both 7 and ch 9 these are of one series, written as
-- most are.
-- grain: desk, position    $record_end: date, last day of the records    $channel_words: list of text, each stands before a channel's number
create or replace temp table numbered_slots as
with told as (
    select desk, position from tickets where raised_on::date <= $record_end
    union
    select desk, position from repairs where done_on <= $record_end and "where" is distinct from 'rail'
),
named as (
    select desk, rtrim(position, '0123456789') as before, position[len(before) + 1:] as digits, try_cast(digits as integer) as number
    from told
    where desk is not null and regexp_full_match(position, '[^0-9]*[0-9]+')
      and desk not in (select desk from positions union select desk from modules where desk is not null and position is not null)
),
alike as (
    select * replace (if(is_word or (before = '' and number <= 200 and bool_or(is_word) over (partition by desk)), 'channel', before) as before),
           before as written
    from (select *, list_contains($channel_words, regexp_replace(lower(before), '[\s\-_.:#()]', '', 'g')) as is_word from named)
),
spelled as (
    select desk, before, arg_max(written, (many, written)) as written
    from (select desk, before, written, count(*) as many from alike group by all)
    group by desk, before
),
in_order as (
    select desk, before, number, max(if(digits[1] = '0', len(digits), 0)) over (partition by desk, before) as width,
           row_number() over own as place, lag(number) over own as last_but
    from (select desk, before, number, min(digits) as digits from alike group by desk, before, number
          window all_of_them as (partition by desk, before)
          qualify number between 1 and 200
              and count(*) filter (where number between 1 and 200) over all_of_them >= 0.5 * count(*) over all_of_them)
    window own as (partition by desk, before order by number)
),
ended as (
    select desk, before, max(width) as width, count(*) as numbers, min(number) as first_named,
           max(number) filter (where place = 1 or (last_but / number) ** (place - 1) >= 0.01) as last,
           if(((last - first_named + 1) / last) ** numbers >= 0.01, 1, first_named) as first
    from in_order
    group by desk, before
)
select desk, written || if(width > 0, lpad(number::varchar, width::integer, '0'), number::varchar) as position
from (select desk, before, width, unnest(range(first, last + 1)) as number from ended
      where numbers >= 3 or last <= (select max(last) from ended where numbers >= 3))
join spelled using (desk, before)
anti join alike using (desk, before, number)

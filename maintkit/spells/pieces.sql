-- Identical parts that arrived together and left together, oldest first out.
-- grain: piece (1, 2, … by stream and place in the queue)    weight: how many parts
-- arrived: move 0 = there from the start
-- departed: the move they left with, 0 = still in
-- Number the parts of a stream in the order they come and go. Its first parts are 0 … seats - 1; each move takes the
-- lowest numbers still in and adds as many at the end. A piece is the overlap of one arrival's numbers and one
-- departure's.
create or replace temp table pieces as
with marks as (
    select stream, 0 as number, 0 as arrived, null::bigint as departed from streams
    union all
    select stream, seats + parts_before, move, null from moves join streams using (stream)
    union all
    select stream, parts_before, null, move from moves
    union all
    select stream, coalesce(sum(parts), 0), null, 0 from streams left join moves using (stream) group by stream
),
edges as (
    select stream, number, max(arrived) as arrived, max(departed) as departed
    from marks
    group by stream, number
),
totals as (
    select stream, any_value(seats) + coalesce(sum(parts), 0) as numbers
    from streams
    left join moves using (stream)
    group by stream
),
ranges as (
    select edges.stream, number,
           last_value(arrived ignore nulls) over queue as arrived,
           last_value(departed ignore nulls) over queue as departed,
           lead(number, 1, numbers) over (partition by edges.stream order by number) - number as weight
    from edges
    join totals on totals.stream = edges.stream
    window queue as (partition by edges.stream order by number rows unbounded preceding)
),
in_order as (
    select * from ranges order by stream, number
)
-- numbered as they come: a window over all of them at once would not leave memory
select row_number() over () as piece, stream, arrived, departed, weight::bigint as weight
from in_order

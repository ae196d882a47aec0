-- Part spells as numbers: labels of the stay, names of the part and the reading are looked up by row number afterwards.
-- grain: piece, entry    entry, exit: age of the part, whole hours on the chosen clock
-- $reading: 'strict', 'usual', 'loose'
-- reading_row: 0 strict, 1 usual, 2 loose, 3 none
select stay - 1 as stay_row, part_code as part_row, coalesce(reading_rank(part_rows.counted_from), 3) as reading_row,
       streams.ref, part_rows.piece, part_rows.born_on as fitted_on, coalesce(moves.done_on, scrapped_on) as ended_on,
       part_rows.from_on, part_rows.to_on, part_rows.entry, part_rows.exit, part_rows.window_hours as exposure_hours,
       coalesce(reading_rank(part_rows.counted_from) <= reading_rank($reading), false) as event, is_hidden as hidden,
       part_rows.weight, part_rows.age_known, is_last and part_rows.departed = 0 and in_service as still_fitted
from part_rows
join pieces using (piece)
join streams using (stream)
join part_names using (part_type)
left join moves on moves.move = part_rows.departed
left join roster on roster.serial = streams.serial
order by part_rows.piece, part_rows.entry

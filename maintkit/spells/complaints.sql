-- Every text of a ticket: the complaint alone, and its words in small letters, in order, each once.
-- To find them is slow, and one text may be of many tickets: what stands here already stays.
-- grain: said    no parameters
insert into complaints
with said as (
    select distinct symptom as said, complaint_alone(symptom) as alone
    from tickets
    anti join complaints on said = symptom
    where symptom is not null
),
parted as (
    select said, alone, list_sort(list_distinct(regexp_extract_all(lower(alone), '[\p{L}\p{N}]+'))) as words
    from said
)
select said, alone, if(len(words) = 0, lower(trim(said)), array_to_string(words, ' '))
from parted

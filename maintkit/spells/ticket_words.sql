-- What a ticket complains of in comparable words: by the vocabulary where it found some, else the words of the text in
-- small letters, in order, each once, its greeting and closing apart.
-- grain: ticket    no parameters
create or replace temp table ticket_words as
with worded as (
    select ticket, min(coalesce(section || ': ', '') || symptom) as symptom_class
    from symptom_words
    where symptom is not null
    group by ticket
),
texts as (
    -- one text may be of many tickets, and to find its words is slow
    select distinct symptom
    from tickets
    anti join worded using (ticket)
),
parted as (
    select symptom, list_sort(list_distinct(regexp_extract_all(lower(complaint_alone(symptom)), '[\p{L}\p{N}]+'))) as words
    from texts
),
spelled as (
    select symptom, if(len(words) = 0, lower(trim(symptom)), array_to_string(words, ' ')) as spelling
    from parted
),
keyed as (
    select ticket, coalesce(symptom_class, spelling) as symptom_key
    from tickets
    left join worded using (ticket)
    left join spelled using (symptom)
)
select ticket, symptom_key
from keyed
where symptom_key <> ''
order by ticket

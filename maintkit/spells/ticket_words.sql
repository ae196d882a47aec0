-- What a ticket complains of in comparable words: by the vocabulary where it found some, else the words of the text in
-- small letters, in order, each once.
-- grain: ticket    no parameters
create or replace temp table ticket_words as
with worded as (
    select ticket, min(coalesce(section || ': ', '') || symptom) as symptom_class
    from symptom_words
    where symptom is not null
    group by ticket
)
select ticket, coalesce(symptom_class, nullif(array_to_string(list_sort(list_distinct(
           regexp_extract_all(lower(symptom), '[\p{L}\p{N}]+'))), ' '), ''), lower(trim(symptom))) as symptom_key
from tickets
left join worded using (ticket)
where coalesce(symptom_class, trim(symptom)) <> ''
order by ticket
